"""Where the foot lands, against distances worked by hand; the shoe against its neighbour, the wall and the steering."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sums.bench_car import FIGURES, part

from planner.model.figures import Figure, ShoeSize
from planner.model.shapes import Box, Cylinder, Pose, Turn
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, Driver, FootBand, Spot
from planner.sums.foot_lines import TOE_MM
from planner.sums.sheet import sums_of

FOOT = FootBand(low_mm=200.0, high_mm=250.0, low_words="hers", high_words="his", source="own measurement")
DRIVER = Driver(heel=Spot(at_mm=(1000.0, 300.0, 100.0)), foot=FOOT)
SHOE = ShoeSize(width_mm=Figure(100.0, 4.0), length_mm=Figure(300.0))


def pedal(name: str, across: float, **more: object) -> Component:
    """Its pad 120 forward and 160 above the heel, 200 mm off; the pad's face 60 wide and 50 high."""
    return part(
        name,
        "brake-pedal",
        pose=Pose(at_mm=(880, across, 600)),
        solids=(Box(size_mm=(10, 60, 50), pose=Pose(at_mm=(-5, 0, -340))),),
        motion=Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=15),
        ports_mm={"pad": (0, 0, -340)},
        **more,
    )


def lines(*parts: Component, driver: Driver | None = DRIVER, shoe: ShoeSize | None = SHOE) -> dict[str, SumLine]:
    figures = replace(FIGURES, axles={}, shoe=shoe)
    return {x.id: x for x in sums_of({p.id: p for p in parts}, {}, figures, (), driver)}


def test_where_the_ball_lands() -> None:
    """3, 4, 5: the pad is 200 mm from the heel, just where the shortest foot's ball is, and 50 below the longest's."""
    found = lines(pedal("one", 300))
    assert found["one.ball-short"].value == pytest.approx(0)
    assert found["one.ball-short"].low == -25
    assert found["one.ball-long"].value == pytest.approx(50)
    assert found["one.ball-long"].verdict is Verdict.TOLD
    far = replace(pedal("one", 300), pose=Pose(at_mm=(840, 300, 600)))
    missed = lines(far)["one.ball-short"]
    assert missed.value == pytest.approx(200 - math.hypot(160, 160))
    assert missed.verdict is Verdict.CLOSE
    assert "heel" in " ".join(missed.assumed)


def test_the_doubt_of_the_pads_place() -> None:
    unsure = pedal("one", 300, port_doubts_mm={"pad": (0.0, 0.0, 2.0)}, position_doubts_mm=(1.0, 1.0, 1.0))
    line = lines(unsure)["one.ball-short"]
    # Rates of the distance are the cosines, 0.6 along x and 0.8 along z.
    assert line.most == pytest.approx(0.6 * 1 + 0.8 * 3, abs=0.05)


def test_the_shoe_beside_the_next_pad() -> None:
    """Middles 130 mm apart, half a shoe of 100 and half a pad of 60: 50 mm; 4 mm of doubt in the width are 2 here."""
    found = lines(pedal("one", 300), pedal("other", 430))
    line = found["one.beside-other"]
    assert (line.least, line.value, line.most) == pytest.approx((48, 50, 52))
    assert "other.beside-one" not in found
    assert lines(pedal("one", 300), pedal("other", 385))["one.beside-other"].verdict is Verdict.FAILS


def test_the_toe_against_a_wall() -> None:
    """The sole rises 4 in 5: the toe's roll ends 300 mm along it; a wall 30 mm before its foremost point, by hand."""
    along, square = (-0.6, 0.8), (0.8, 0.6)
    middle = 1000 + along[0] * (300 - TOE_MM / 2) + square[0] * TOE_MM / 2
    foremost = middle - TOE_MM / 2
    wall = part(
        "wall", "bulkhead", pose=Pose(at_mm=(foremost - 30 - 1, 300, 300)), solids=(Box(size_mm=(2, 900, 900)),)
    )
    assert lines(pedal("one", 300), wall)["one.toe"].value == pytest.approx(30, abs=0.2)
    assert lines(pedal("one", 300), wall)["one.toe"].verdict is Verdict.FINE


def test_the_steering_through_the_whole_travel() -> None:
    """A column 40 mm ahead of the pad at rest; 15 deg of 340 mm swing 88 mm forward: it is hit. Aside it is clear."""
    column = part("column", "steering-column", solids=(Cylinder(across_mm=30, length_mm=400, along="y"),))
    column = replace(column, group="steering")
    ahead = replace(column, pose=Pose(at_mm=(825, 300, 260)))
    hit = lines(pedal("one", 300), ahead)["one.steering"]
    assert hit.value is not None
    assert hit.value < 0
    assert hit.verdict is Verdict.FAILS
    above = replace(column, pose=Pose(at_mm=(885, 300, 400)))
    # From the pad's top, 600 - 340 + 25, to the tube's underside, 400 - 15.
    assert lines(pedal("one", 300), above)["one.steering"].value == pytest.approx(100, abs=1.0)


def test_without_a_driver_or_a_shoe_it_is_asked_for() -> None:
    found = lines(pedal("one", 300), pedal("other", 430), driver=None, shoe=None)
    assert found["one.beside-other"].missing == ("`width` of `figures.shoe`",)
    assert "one.ball-short" not in found
