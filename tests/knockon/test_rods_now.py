"""A push-rod that stands out of its cylinder's line, or beside its lever's pin, on the vehicle as it is.

Angles and distances are worked by hand beside each case (a right-angled triangle); 5 degrees at most is common
practice, no published source.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from garage import link, part, vehicle, wall

from planner.knockon import Fault, present_faults, swing_for
from planner.model.effects import CauseKind
from planner.model.shapes import Box, Cylinder, Pose, Turn, Vec
from planner.model.vehicle import Component, Link

KIND = "brake-master-cylinder"
ROUND = Cylinder(across_mm=30.0, length_mm=140.0, along="x")
BLOCK = Box(size_mm=(140.0, 40.0, 60.0))
LONG = (10.0, 20.0, 300.0)


def cylinder(solid: Cylinder | Box = ROUND, rod: Vec = (70.0, 0.0, 0.0), turn: Vec = (0.0, 0.0, 0.0)) -> Component:
    """Its open end looks rearward: the rod goes in at its rear face, at x 170."""
    made = part("cylinder", (100.0, 0.0, 500.0), (140.0, 30.0, 30.0), on="wall")
    return replace(made, kind=KIND, solids=(solid,), ports_mm={"rod": rod}, pose=replace(made.pose, turn_deg=turn))


def pedal(pin: Vec, at: Vec = (300.0, 0.0, 500.0), size: Vec = LONG) -> Component:
    return replace(part("pedal", at, size, on="wall"), ports_mm={"pin": pin})


def rod(**more: object) -> Link:
    made = link("rod", "pedal.pin", "cylinder.rod", rigid=True, swing_deg=3.0, pushes=(KIND,))
    return replace(made, **more)  # type: ignore[arg-type]


def faults(*parts: Component, a_rod: Link | None = None) -> list[Fault]:
    found = present_faults(vehicle([wall(), *parts], links=(a_rod or rod(),)))
    return [f for f in found if f.kind is CauseKind.LINKED_TO]


def test_a_rod_in_line_is_sound() -> None:
    assert faults(cylinder(), pedal((0.0, 0.0, 0.0))) == []


@pytest.mark.parametrize("solid", [ROUND, BLOCK])
def test_a_rod_out_of_line_is_told_by_its_angle_and_how_far_it_is_beside(solid: Cylinder | Box) -> None:
    # From (170, 0, 500) to (300, 0, 540): 40 up in 130 along.
    [fault] = faults(cylinder(solid), pedal((0.0, 0.0, 40.0)))
    assert (fault.part, fault.other) == ("rod", "cylinder")
    assert fault.lean_deg == pytest.approx(math.degrees(math.atan(40 / 130)))
    assert fault.mm == pytest.approx(40.0)
    # 17.1027 degrees, rounded up to a tenth: what is told is not less than it is.
    assert "leans 17.2 degrees out of the line" in fault.text
    assert "5 at the most: 40 mm beside that line" in fault.text


def test_sideways_counts_as_well() -> None:
    [fault] = faults(cylinder(), pedal((0.0, 30.0, 40.0), size=(10.0, 80.0, 300.0)))
    assert fault.mm == pytest.approx(50.0)
    assert fault.lean_deg == pytest.approx(math.degrees(math.atan(50 / 130)))


@pytest.mark.parametrize(("up_mm", "found"), [(11.3, 0), (11.5, 1)])
def test_up_to_five_degrees_are_let_pass(up_mm: float, found: int) -> None:
    # 130 mm x tan 5 deg = 11.374 mm.
    assert len(faults(cylinder(), pedal((0.0, 0.0, up_mm)))) == found


def test_an_owner_may_allow_more_by_its_swing() -> None:
    # 20 up in 130 along is 8.7 degrees.
    assert len(faults(cylinder(), pedal((0.0, 0.0, 20.0)))) == 1
    assert faults(cylinder(), pedal((0.0, 0.0, 20.0)), a_rod=rod(swing_deg=9.0)) == []
    [fault] = faults(cylinder(), pedal((0.0, 0.0, 20.0)), a_rod=rod(swing_deg=8.0))
    assert "8 at the most" in fault.text


def test_a_turned_cylinder_has_a_turned_line() -> None:
    # Turned by 90 deg about z its line goes along y: a rod straight back stands square to it.
    [fault] = faults(cylinder(turn=(0.0, 0.0, 90.0), rod=(0.0, 0.0, 0.0)), pedal((0.0, 0.0, 0.0)))
    assert fault.lean_deg == pytest.approx(90.0)


def test_a_rod_that_goes_back_through_its_cylinder_is_told() -> None:
    # It joins the front face and its pin is behind the rear one.
    [fault] = faults(cylinder(rod=(-70.0, 0.0, 0.0)), pedal((0.0, 0.0, 0.0)))
    assert fault.lean_deg == pytest.approx(180.0)


def test_a_rod_beside_the_bore_is_told() -> None:
    # Both ends 25 mm up: level, but beside the piston.
    [fault] = faults(cylinder(rod=(70.0, 0.0, 25.0)), pedal((0.0, 0.0, 25.0)))
    assert (fault.other, fault.mm) == ("cylinder", pytest.approx(25.0))
    assert "25 mm beside the line of its piston" in fault.text


def test_a_rod_that_ends_in_the_air_meets_no_pin() -> None:
    # The lever's rear face is at x 305; the port 45 mm behind that.
    [fault] = faults(cylinder(), pedal((50.0, 0.0, 0.0)))
    assert fault.other == "pedal"
    assert fault.mm == pytest.approx(45.0, abs=0.2)
    assert "meets no pin" in fault.text


def test_a_rod_at_the_pivot_is_told() -> None:
    turning = Turn(about_mm=(0.0, 0.0, 3.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=20.0)
    [fault] = faults(cylinder(), replace(pedal((0.0, 0.0, 0.0)), motion=turning))
    assert "3 mm from its pivot" in fault.text
    far = replace(turning, about_mm=(0.0, 0.0, 60.0))
    assert faults(cylinder(), replace(pedal((0.0, 0.0, 0.0)), motion=far)) == []


def test_a_shape_without_a_line_is_not_judged() -> None:
    cube = Box(size_mm=(100.0, 100.0, 100.0), pose=Pose(at_mm=(20.0, 0.0, 0.0)))
    assert faults(cylinder(cube), pedal((0.0, 0.0, 40.0))) == []


def test_a_link_that_pushes_nothing_may_lean() -> None:
    assert faults(cylinder(), pedal((0.0, 0.0, 40.0)), a_rod=rod(pushes=())) == []


def test_no_owner_is_told_to_let_a_rod_lean_far() -> None:
    assert (swing_for(6.2), swing_for(10.0), swing_for(10.1), swing_for(0.0)) == (7, 10, None, None)
