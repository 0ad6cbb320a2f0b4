"""Critical path against Taylor, Introduction to Management Science, chapter 8, problems 1 and 2 (arrow networks).

An arrow i-j becomes an activity whose predecessors are all arrows that end in i.
"""

from __future__ import annotations

import pytest
from cpm_cells import cells

from planner.order import Window, critical_path

# Arrow: duration, then ES EF LS LF slack.
PROBLEM_1 = {
    "1-2": (7, 0, 7, 2, 9, 2),
    "1-3": (10, 0, 10, 0, 10, 0),
    "2-4": (6, 7, 13, 9, 15, 2),
    "3-4": (5, 10, 15, 10, 15, 0),
    "3-5": (4, 10, 14, 14, 18, 4),
    "4-5": (3, 15, 18, 15, 18, 0),
    "5-6": (2, 18, 20, 18, 20, 0),
}
# Arrow: duration, then ES LS slack; 4-5 is a dummy.
PROBLEM_2 = {
    "1-2": (8, 0, 1, 1),
    "1-3": (10, 0, 0, 0),
    "1-4": (9, 0, 6, 6),
    "2-5": (6, 8, 9, 1),
    "2-6": (4, 8, 16, 8),
    "3-5": (5, 10, 10, 0),
    "4-5": (0, 9, 15, 6),
    "4-7": (7, 9, 20, 11),
    "5-7": (12, 15, 15, 0),
    "5-8": (15, 15, 16, 1),
    "6-9": (18, 12, 20, 8),
    "7-8": (4, 27, 27, 0),
    "8-9": (7, 31, 31, 0),
}


def windows(durations: dict[str, int]) -> dict[str, Window]:
    after = {arrow: [other for other in durations if other.split("-")[1] == arrow.split("-")[0]] for arrow in durations}
    return critical_path(durations, after)


@pytest.mark.parametrize("arrow", PROBLEM_1)
def test_every_cell_of_problem_1(arrow: str) -> None:
    found = windows({a: row[0] for a, row in PROBLEM_1.items()})[arrow]
    assert cells(found) == PROBLEM_1[arrow][1:]


def test_problem_1_takes_20_along_1_3_4_5_6() -> None:
    found = windows({a: row[0] for a, row in PROBLEM_1.items()})
    assert max(w.earliest_finish for w in found.values()) == 20
    assert [a for a, w in found.items() if w.float_ == 0] == ["1-3", "3-4", "4-5", "5-6"]


@pytest.mark.parametrize("arrow", PROBLEM_2)
def test_every_cell_of_problem_2(arrow: str) -> None:
    found = windows({a: row[0] for a, row in PROBLEM_2.items()})[arrow]
    assert (found.earliest_start, found.latest_start, found.float_) == PROBLEM_2[arrow][1:]


def test_problem_2_takes_38_along_1_3_5_7_8_9() -> None:
    found = windows({a: row[0] for a, row in PROBLEM_2.items()})
    assert max(w.earliest_finish for w in found.values()) == 38
    assert [a for a, w in found.items() if w.float_ == 0] == ["1-3", "3-5", "5-7", "7-8", "8-9"]
