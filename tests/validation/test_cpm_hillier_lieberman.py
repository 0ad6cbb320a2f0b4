"""Critical path against Hillier & Lieberman, Introduction to Operations Research, "Reliable Construction".

Duration 44 weeks and the critical path are from the source's companion; activity table: value from memory (it
gives every published result).
"""

from __future__ import annotations

import pytest
from cpm_cells import cells

from planner.order import Window, critical_path

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
PESSIMISTIC = {
    "A": 3, "B": 8, "C": 18, "D": 10, "E": 5, "F": 10, "G": 11, "H": 17, "I": 9, "J": 9, "K": 4, "L": 7, "M": 3, "N": 9,
}  # fmt: skip


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
    assert max(w.earliest_finish for w in windows(PESSIMISTIC).values()) == 70
