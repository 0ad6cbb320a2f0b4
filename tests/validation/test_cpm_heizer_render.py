"""Critical path and PERT against Heizer & Render, Operations Management, "Milwaukee Paper" [weeks].

The table of times is from the source; the three-point estimates and what follows from them: values from memory.
"""

from __future__ import annotations

import pytest
from cpm_cells import cells

from planner.order import critical_path
from planner.order.pert import ThreePoint, path_of, paths_of

# Activity: predecessors, duration, then ES EF LS LF slack.
TABLE = {
    "A": ("", 2, 0, 2, 0, 2, 0),
    "B": ("", 3, 0, 3, 1, 4, 1),
    "C": ("A", 2, 2, 4, 2, 4, 0),
    "D": ("B", 4, 3, 7, 4, 8, 1),
    "E": ("C", 4, 4, 8, 4, 8, 0),
    "F": ("C", 3, 4, 7, 10, 13, 6),
    "G": ("DE", 5, 8, 13, 8, 13, 0),
    "H": ("FG", 2, 13, 15, 13, 15, 0),
}
FOUND = critical_path({n: r[1] for n, r in TABLE.items()}, {n: list(r[0]) for n, r in TABLE.items()})


@pytest.mark.parametrize("name", TABLE)
def test_every_cell(name: str) -> None:
    found = FOUND[name]
    assert cells(found) == TABLE[name][2:]


def test_duration_and_critical_path() -> None:
    assert max(w.earliest_finish for w in FOUND.values()) == 15
    assert [n for n, w in FOUND.items() if w.float_ == 0] == list("ACEGH")


# Activity: least, most likely, largest duration [weeks].
ESTIMATES = {
    "A": (1, 2, 3),
    "B": (2, 3, 4),
    "C": (1, 2, 3),
    "D": (2, 4, 6),
    "E": (1, 4, 7),
    "F": (1, 2, 9),
    "G": (3, 4, 11),
    "H": (1, 2, 3),
}
POINTS = {n: ThreePoint(least=a, likely=m, most=b) for n, (a, m, b) in ESTIMATES.items()}


@pytest.mark.parametrize("name", TABLE)
def test_mean_is_the_duration_of_the_table(name: str) -> None:
    assert POINTS[name].mean == pytest.approx(TABLE[name][1])


def test_variance_of_the_critical_path_and_chance_of_16_weeks() -> None:
    path = path_of(POINTS, "ACEGH")
    assert paths_of(POINTS, {n: list(r[0]) for n, r in TABLE.items()})[0] == path
    assert path.mean == pytest.approx(15)
    assert path.variance == pytest.approx(3.11, abs=0.005)
    assert path.deviation == pytest.approx(1.76, abs=0.005)
    assert path.chance_by(16) == pytest.approx(0.715, abs=0.0005)
