"""Critical path and PERT against Hillier & Lieberman, Introduction to Operations Research, "Reliable Construction".

Duration 44 weeks, the critical path, its variance 9 and the chance 0.8413 of 47 weeks are from the source's companion;
activity table: value from memory (it gives every published result).
"""

from __future__ import annotations

import pytest
from cpm_cells import cells

from planner.order import Window, critical_path
from planner.order.pert import ThreePoint, paths_of

# Activity: predecessors, expected duration [weeks], then ES EF LS LF slack.
TABLE = {
    "A": ("", 2, 0, 2, 0, 2, 0),
    "B": ("A", 4, 2, 6, 2, 6, 0),
    "C": ("B", 10, 6, 16, 6, 16, 0),
    "D": ("C", 6, 16, 22, 20, 26, 4),
    "E": ("C", 4, 16, 20, 16, 20, 0),
    "F": ("E", 5, 20, 25, 20, 25, 0),
    "G": ("D", 7, 22, 29, 26, 33, 4),
    "H": ("EG", 9, 29, 38, 33, 42, 4),
    "I": ("C", 7, 16, 23, 18, 25, 2),
    "J": ("FI", 8, 25, 33, 25, 33, 0),
    "K": ("J", 4, 33, 37, 34, 38, 1),
    "L": ("J", 5, 33, 38, 33, 38, 0),
    "M": ("H", 2, 38, 40, 42, 44, 4),
    "N": ("KL", 6, 38, 44, 38, 44, 0),
}
# Activity: least, most likely, largest duration [weeks]; 36 times the variance.
ESTIMATES = {
    "A": (1, 2, 3, 4),
    "B": (2, 3.5, 8, 36),
    "C": (6, 9, 18, 144),
    "D": (4, 5.5, 10, 36),
    "E": (1, 4.5, 5, 16),
    "F": (4, 4, 10, 36),
    "G": (5, 6.5, 11, 36),
    "H": (5, 8, 17, 144),
    "I": (3, 7.5, 9, 36),
    "J": (3, 9, 9, 36),
    "K": (4, 4, 4, 0),
    "L": (1, 5.5, 7, 36),
    "M": (1, 2, 3, 4),
    "N": (5, 5.5, 9, 16),
}
POINTS = {n: ThreePoint(least=a, likely=m, most=b) for n, (a, m, b, _) in ESTIMATES.items()}
PATHS = paths_of(POINTS, {n: list(row[0]) for n, row in TABLE.items()})


def windows(durations: dict[str, int]) -> dict[str, Window]:
    return critical_path(durations, {name: list(row[0]) for name, row in TABLE.items()})


@pytest.mark.parametrize("name", TABLE)
def test_every_cell(name: str) -> None:
    found = windows({n: row[1] for n, row in TABLE.items()})[name]
    assert cells(found) == TABLE[name][2:]


def test_duration_and_critical_path() -> None:
    found = windows({n: row[1] for n, row in TABLE.items()})
    assert max(w.earliest_finish for w in found.values()) == 44
    assert [n for n, w in found.items() if w.float_ == 0] == list("ABCEFJLN")


def test_all_at_their_worst() -> None:
    # 70 weeks with every pessimistic duration; recomputed from the table.
    assert max(w.earliest_finish for w in windows({n: row[2] for n, row in ESTIMATES.items()}).values()) == 70


@pytest.mark.parametrize("name", ESTIMATES)
def test_mean_and_variance_of_each_activity(name: str) -> None:
    assert POINTS[name].mean == pytest.approx(TABLE[name][1])
    assert 36 * POINTS[name].variance == pytest.approx(ESTIMATES[name][3])


def test_the_six_paths() -> None:
    # Lengths from the source, the longest first.
    assert [p.mean for p in PATHS] == pytest.approx([44, 43, 42, 41, 40, 31])
    assert "".join(PATHS[0].names) == "ABCEFJLN"


def test_variance_of_the_critical_path_and_chance_of_47_weeks() -> None:
    assert PATHS[0].variance == pytest.approx(9)
    assert PATHS[0].deviation == pytest.approx(3)
    # Z = 1.
    assert PATHS[0].chance_by(47) == pytest.approx(0.8413, abs=5e-5)
