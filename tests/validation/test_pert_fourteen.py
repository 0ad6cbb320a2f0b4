"""PERT on a published exercise of 14 activities (wizedu.com/questions/717873): least, most likely, largest duration.

Means, total 50.83, the critical path and the slacks 8.00 (B) and 1.83 (D, F) are from the source; the slacks 5.00 (G)
and 2.50 (J, L), the variance 11.19 and the chances follow from the table by the formulas and were worked out apart.
"""

from __future__ import annotations

import pytest

from planner.order import critical_path
from planner.order.pert import ThreePoint, paths_of

# Activity: predecessors, least, most likely, largest, mean.
TABLE = {
    "A": ("", 5, 5, 7, 5.33),
    "B": ("", 1, 2, 5, 2.33),
    "C": ("A", 5, 5, 5, 5),
    "D": ("A", 4, 8, 13, 8.17),
    "E": ("BC", 1, 10, 17, 9.67),
    "F": ("D", 1, 5, 7, 4.67),
    "G": ("D", 2, 6, 9, 5.83),
    "H": ("EF", 4, 4, 6, 4.33),
    "I": ("GH", 2, 7, 10, 6.67),
    "J": ("I", 2, 4, 7, 4.17),
    "K": ("I", 6, 10, 13, 9.83),
    "L": ("J", 2, 6, 6, 5.33),
    "M": ("K", 2, 2, 3, 2.17),
    "N": ("LM", 7, 7, 12, 7.83),
}
SLACK = {"B": 8.0, "D": 1.83, "F": 1.83, "G": 5.0, "J": 2.5, "L": 2.5}
POINTS = {n: ThreePoint(least=a, likely=m, most=b) for n, (_, a, m, b, _) in TABLE.items()}
AFTER = {n: list(row[0]) for n, row in TABLE.items()}
# In sixths of the unit the means are whole numbers.
WINDOWS = critical_path({n: a + 4 * m + b for n, (_, a, m, b, _) in TABLE.items()}, AFTER)


@pytest.mark.parametrize("name", TABLE)
def test_mean_and_slack_of_each_activity(name: str) -> None:
    assert POINTS[name].mean == pytest.approx(TABLE[name][4], abs=0.005)
    assert WINDOWS[name].float_ / 6 == pytest.approx(SLACK.get(name, 0.0), abs=0.005)


def test_total_and_critical_path() -> None:
    assert max(w.earliest_finish for w in WINDOWS.values()) / 6 == pytest.approx(50.83, abs=0.005)
    assert "".join(n for n, w in WINDOWS.items() if w.float_ == 0) == "ACEHIKMN"


def test_variance_and_chances() -> None:
    path = paths_of(POINTS, AFTER)[0]
    assert "".join(path.names) == "ACEHIKMN"
    assert path.mean == pytest.approx(50.83, abs=0.005)
    assert path.variance == pytest.approx(11.19, abs=0.005)
    assert path.chance_by(53) == pytest.approx(0.741, abs=0.0005)
    assert path.chance_by(55) == pytest.approx(0.893, abs=0.0005)
