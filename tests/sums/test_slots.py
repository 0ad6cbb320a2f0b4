"""Holes against what passes through them, in level, upright and leaning sheets: by hand, and by sampled points."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sums.bench_car import LINKS, PARTS, PEDAL, ROD, part

from planner.model.job import Cut
from planner.model.shapes import Box, Pose, Turn
from planner.model.sums import Verdict
from planner.sums.lever import LeverError, state_at
from planner.sums.lever_slot import Sheet, rod_slot
from planner.sums.levers_there import LeverThere, levers_there
from planner.sums.slots import CLEAR_MM, sheet_slot, slot_lines, walls_of

SWUNG = replace(PEDAL, motion=Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=16))
BULKHEAD = part("bulkhead", "bulkhead", pose=Pose(at_mm=(840, 300, 500)), solids=(Box(size_mm=(2, 600, 400)),))
FLOOR = part("floor", "floor", pose=Pose(at_mm=(900, 300, 300)), solids=(Box(size_mm=(600, 400, 2)),))


def there() -> LeverThere:
    (found,) = levers_there({**PARTS, "pedal": SWUNG}, LINKS)
    return found


def test_the_rods_slot_against_points_on_its_skin() -> None:
    """Every 0.05 deg, points every degree round both ends and every 0.25 mm along both sides of the rod."""
    lever, sheet = there().lever, Sheet(at_mm=(840, 500), runs_deg=90, thickness_mm=2)
    found = rod_slot(lever, 8, sheet, clear_mm=0)
    low, high = math.inf, -math.inf
    for n in range(321):
        state = state_at(lever, lever.travel_deg * n / 320)
        (ax, az), (bx, bz) = state.clevis_mm, state.seat_mm
        length = math.hypot(bx - ax, bz - az)
        nx, nz = -(bz - az) / length * 4, (bx - ax) / length * 4
        steps = int(length * 4)
        for k in range(steps + 1):
            x, z = ax + (bx - ax) * k / steps, az + (bz - az) * k / steps
            for side in (-1, 1):
                if abs(x + side * nx - 840) <= 1:
                    low, high = min(low, z + side * nz - 500), max(high, z + side * nz - 500)
    assert (found.low_mm, found.high_mm) == pytest.approx((low, high), abs=0.02)


def test_walls_by_their_thin_side() -> None:
    (upright,) = walls_of(BULKHEAD)
    assert abs(upright.sheet.runs_deg) == pytest.approx(90)
    (level,) = walls_of(FLOOR)
    assert level.sheet.runs_deg == pytest.approx(0)
    (leaning,) = walls_of(replace(FLOOR, pose=replace(FLOOR.pose, turn_deg=(0, 30, 0))))
    # Right-handed about y, x turns towards -z.
    assert leaning.sheet.runs_deg == pytest.approx(-30)
    assert walls_of(replace(BULKHEAD, solids=(Box(size_mm=(400, 2, 400)),))) == ()
    assert walls_of(replace(FLOOR, pose=replace(FLOOR.pose, turn_deg=(30, 0, 0)))) == ()


def test_the_arms_slot_in_a_level_floor_by_hand() -> None:
    """The arm hangs at x = 900 and swings 16 deg forward; its faces cut the floor's faces 299 and 301 mm below."""
    passing, _ = sheet_slot(there(), SWUNG, ROD, FLOOR, clear_mm=0) or pytest.fail("nothing passes")
    turn = math.radians(16)
    forward = -301 * math.tan(turn) - 8 / math.cos(turn)
    assert passing.slot.low_mm == pytest.approx(forward, abs=1e-3)
    assert passing.slot.high_mm == pytest.approx(8, abs=1e-3)
    assert (passing.left_mm, passing.right_mm) == (292, 308)


def test_what_does_not_pass_has_no_slot() -> None:
    far = replace(FLOOR, pose=Pose(at_mm=(900, 300, 60)))
    assert sheet_slot(there(), SWUNG, ROD, far) is None
    with pytest.raises(LeverError):
        rod_slot(there().lever, 8, Sheet(at_mm=(840, 100), runs_deg=0, thickness_mm=2), clear_mm=0)


@pytest.mark.parametrize(
    ("at", "size", "verdict"),
    [
        ((840, 300, 525), (6, 60, 60), Verdict.FINE),
        ((840, 312, 525), (6, 30, 60), Verdict.FAILS),
        ((840, 300, 525), (6, 60, 16), Verdict.FAILS),
    ],
)
def test_a_hole_is_held_against_it(at: tuple, size: tuple, verdict: Verdict) -> None:
    hole = Cut(id="slot", host="bulkhead", hole=Box(size_mm=size, pose=Pose(at_mm=at)))
    parts = {**PARTS, "pedal": SWUNG, "bulkhead": BULKHEAD}
    lines = slot_lines([there()], parts, LINKS, [hole])
    assert {x.id for x in lines} == {"slot.along", "slot.across"}
    assert (Verdict.FAILS in {x.verdict for x in lines}) is (verdict is Verdict.FAILS)
    across = next(x for x in lines if x.id == "slot.across")
    assert across.value == 8 + 2 * CLEAR_MM
    assert across.margin == pytest.approx(size[1] / 2 - abs(at[1] - 300) - 9)
    assert f"the hole is {size[2]} x {size[1]} mm" in across.note


def test_a_hole_elsewhere_is_nobodys() -> None:
    hole = Cut(id="hole", host="bulkhead", hole=Box(size_mm=(6, 20, 20), pose=Pose(at_mm=(840, 100, 525))))
    assert slot_lines([there()], {**PARTS, "pedal": SWUNG, "bulkhead": BULKHEAD}, LINKS, [hole]) == ()
