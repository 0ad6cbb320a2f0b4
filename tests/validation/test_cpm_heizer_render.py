"""Critical path against Heizer & Render, Operations Management, "Milwaukee Paper" [weeks]."""

from __future__ import annotations

import pytest
from cpm_cells import cells

from planner.order import critical_path

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
