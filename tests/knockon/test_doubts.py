"""A gap as an interval: worked out by hand along its direction, and told only when it decides something."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import box, part

from planner.knockon.doubts import Verdict, clearance_of, most_doubt_mm
from planner.knockon.placed import place
from planner.model.shapes import Cylinder, Pose, Tube

CUBE = (100.0, 100.0, 100.0)
ONE = part("one", (0, 0, 500), CUBE)


def test_a_gap_in_doubt() -> None:
    """4 mm, 5 wanted, sure to 3: from 1 to 7."""
    two = part("two", (0, 104, 500), CUBE, position_doubts_mm=(0.0, 3.0, 0.0))
    found = clearance_of(place(ONE), place(two), 5.0)
    assert (found.mm, found.low_mm, found.high_mm) == pytest.approx((4.0, 1.0, 7.0), abs=0.01)
    assert found.verdict is Verdict.UNDECIDED
    assert found.normal == pytest.approx((0.0, 1.0, 0.0), abs=1e-6)


@pytest.mark.parametrize(
    ("gap_mm", "verdict"),
    [(1.9, Verdict.CLASH), (2.1, Verdict.UNDECIDED), (7.9, Verdict.UNDECIDED), (8.0, Verdict.CLEAR)],
)
def test_the_verdict_at_its_borders(gap_mm: float, verdict: Verdict) -> None:
    two = part("two", (0, 100 + gap_mm, 500), CUBE, position_doubts_mm=(0.0, 3.0, 0.0))
    assert clearance_of(place(ONE), place(two), 5.0).verdict is verdict


def test_doubt_across_the_gap_does_not_count() -> None:
    two = part("two", (0, 104, 500), CUBE, position_doubts_mm=(9.0, 0.0, 9.0))
    assert clearance_of(place(ONE), place(two), 5.0).doubt_mm == pytest.approx(0.0, abs=1e-6)


def test_a_size_counts_by_half_and_both_parts_count() -> None:
    """A block 4 mm in doubt has each face 2 mm in doubt; the other part stands 1 mm in doubt."""
    one = replace(ONE, solids=(replace(box(CUBE), doubt_mm=4.0),), position_doubt_mm=1.0)
    two = part("two", (0, 104, 500), CUBE)
    assert clearance_of(place(one), place(two), 5.0).doubt_mm == pytest.approx(3.0, abs=1e-6)


def test_a_size_measured_from_its_own_zero_counts_whole_across_from_it() -> None:
    """4 mm in doubt, the left face on the part's zero: its right face is 4 mm in doubt, its left face not at all."""
    one = replace(ONE, solids=(replace(box(CUBE, (0, 50, 0)), doubt_mm=4.0),))
    for middle_mm, doubt_mm in ((154, 4.0), (-54, 0.0)):
        found = clearance_of(place(one), place(part("two", (0, middle_mm, 500), CUBE)), 5.0)
        assert (found.mm, found.doubt_mm) == pytest.approx((4.0, doubt_mm), abs=1e-6)


def test_a_part_set_anew_has_only_its_sizes_in_doubt() -> None:
    one = replace(ONE, solids=(replace(box(CUBE), doubt_mm=4.0),), position_doubt_mm=1.0)
    two = part("two", (0, 104, 500), CUBE)
    assert clearance_of(place(one), place(two), 5.0, frozenset({"one"})).doubt_mm == pytest.approx(2.0, abs=1e-6)


def test_a_gap_askew_takes_its_share_of_each_axis() -> None:
    """Two balls 300 and 400 apart: the gap points along (0.6, 0.8)."""
    ball = Tube(across_mm=20.0, through_mm=((0, 0, 0), (0, 0, 1)))
    one = replace(ONE, solids=(ball,), pose=Pose())
    two = replace(one, id="two", pose=Pose(at_mm=(300, 400, 0)), position_doubts_mm=(2.0, 1.0, 50.0))
    assert clearance_of(place(one), place(two), 5.0).doubt_mm == pytest.approx(0.6 * 2 + 0.8 * 1, abs=1e-3)


def test_points_of_a_tube_count_whole() -> None:
    tube = Tube(across_mm=20.0, through_mm=((-50, 0, 0), (50, 0, 0)), doubt_mm=2.0)
    one = replace(ONE, solids=(tube,))
    assert clearance_of(place(one), place(part("two", (0, 104, 500), CUBE)), 5.0).doubt_mm == pytest.approx(
        2.0, abs=1e-6
    )


@pytest.mark.parametrize("along", ["x", "y"])
def test_a_round_bar_counts_by_half_along_and_across(along: str) -> None:
    bar = Cylinder(across_mm=100.0, length_mm=100.0, along=along, doubt_mm=3.0)
    one = replace(ONE, solids=(bar,))
    assert clearance_of(place(one), place(part("two", (0, 104, 500), CUBE)), 5.0).doubt_mm == pytest.approx(
        1.5, abs=1e-6
    )


def test_no_gap_is_more_in_doubt_than_the_part() -> None:
    one = replace(ONE, solids=(replace(box(CUBE), doubt_mm=4.0),), position_doubts_mm=(1.0, 2.0, 3.0))
    for at in ((130.0, 140.0, 600.0), (0.0, 130.0, 640.0), (150.0, 0.0, 500.0)):
        turned = part("two", at, CUBE, turn=(10.0, 20.0, 30.0))
        assert clearance_of(place(one), place(turned), 5.0).doubt_mm <= most_doubt_mm(one) + 1e-9
