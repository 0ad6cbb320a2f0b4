"""Linkages of a vehicle file as lines of the sheet, against figures worked by hand; what is missing is said."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sums.bench_car import FIGURES, part

from planner.model.figures import Figure, LinkageFigures, StageFigures, TurnFigures
from planner.model.shapes import Pose, Turn
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, End, Link
from planner.sums.sheet import sums_of

# A pedal 200 mm long with its rod 50 mm from the pivot, a shaft with two levers of 50 and 40 mm, a carburettor of
# 40 mm: two parallelograms, so that everything turns alike.
SWING = Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=50)
PEDAL = part("foot", "throttle-pedal", motion=SWING, ports_mm={"rod": (0, 0, -50), "pad": (0, 0, -200)})
SHAFT = part(
    "shaft", "throttle-relay", pose=Pose(at_mm=(-300, 0, 0)), ports_mm={"in": (0, 0, -50), "out": (0, -90, -40)}
)
CARB = part("carb", "carburettor", pose=Pose(at_mm=(-500, -90, 0)), ports_mm={"lever": (0, 0, -40)})
TURNS = TurnFigures(about_mm=(0, 0, 0), axis=(0, 1, 0))
STAGES = (StageFigures(link="first", turns=TURNS), StageFigures(link="second", turns=TURNS))
THROTTLE = LinkageFigures(part="foot", port="pad", stages=STAGES, full_deg=Figure(40.0))


def link(name: str, one: tuple[str, str], other: tuple[str, str], *, rigid: bool = True) -> Link:
    ends = (End(component=one[0], port=one[1]), End(component=other[0], port=other[1]))
    return Link(id=name, kind="throttle-rod", name=name, group="throttle", ends=ends, rigid=rigid)


PARTS = {p.id: p for p in (PEDAL, SHAFT, CARB)}
LINKS = {
    "first": link("first", ("foot", "rod"), ("shaft", "in")),
    # Told the other way round: from the carburettor.
    "second": link("second", ("carb", "lever"), ("shaft", "out")),
}


def lines(
    linkage: LinkageFigures = THROTTLE, parts: dict[str, Component] = PARTS, links: dict[str, Link] = LINKS
) -> dict[str, SumLine]:
    return {x.id: x for x in sums_of(parts, links, replace(FIGURES, axles={}, linkages={"gas": linkage}))}


def test_parallelograms_turn_alike() -> None:
    """50 deg of pedal are 50 of throttle; full open at 40 leaves 10 deg of a 200 mm pedal, 34.9 mm."""
    found = lines()
    assert found["gas.turns"].value == pytest.approx(50)
    assert (found["gas.turns"].low, found["gas.turns"].verdict) == (40, Verdict.FINE)
    assert found["gas.over-travel"].value == pytest.approx(200 * math.radians(10), rel=1e-6)
    for share in (25, 50, 75):
        assert found[f"gas.open-{share}"].value == pytest.approx(share, abs=1e-6)
    # Square at rest, and a parallelogram turned by 50 deg meets at 40.
    assert found["gas.meets"].value == pytest.approx(40)
    # The last rod goes 40 mm a rad, the pad 200.
    assert found["gas.slack"].value == pytest.approx(5.0)


def test_a_throttle_that_never_opens_fails() -> None:
    found = lines(replace(THROTTLE, full_deg=Figure(78.0)))
    assert found["gas.turns"].verdict is Verdict.FAILS
    assert found["gas.over-travel"].value == pytest.approx(-200 * math.radians(28), rel=1e-6)
    assert found["gas.open-50"].value == pytest.approx(100 * 25 / 78)


def test_a_shaft_put_elsewhere_changes_the_opening() -> None:
    """Moved along, its levers stay parallel to the others and all turn alike; turned where it sits they do not."""
    lower = replace(SHAFT, pose=Pose(at_mm=(-300, 0, -15)))
    assert lines(parts={**PARTS, "shaft": lower})["gas.turns"].value == pytest.approx(50)
    turned = replace(SHAFT, pose=Pose(at_mm=(-300, 0, 0), turn_deg=(0, 25, 0)))
    assert lines(parts={**PARTS, "shaft": turned})["gas.turns"].value != pytest.approx(50, abs=1.0)


def test_the_doubt_of_a_port_is_in_the_answer() -> None:
    unsure = replace(PEDAL, port_doubts_mm={"rod": (0.0, 0.0, 5.0)})
    line = lines(parts={**PARTS, "foot": unsure})["gas.turns"]
    assert line.least is not None
    assert line.most is not None
    assert line.least < 47
    assert line.most > 53


def test_a_handbrakes_cable() -> None:
    """Arm 60 mm square to the cable, 300 mm to the hand, 20 deg: 60 sin 20 and a little for the slant."""
    lever = part("lever", "handbrake-lever", ports_mm={"cable": (0, 0, -60), "hand": (300, 0, 0), "stop": (0, 0, 0)})
    outer = part("floor", "floor", pose=Pose(at_mm=(900, 0, -60)))
    drum = part("drum", "brake-drum", pose=Pose(at_mm=(1500, 0, -60)))
    linkage = LinkageFigures(
        part="lever",
        port="hand",
        turns=TURNS,
        travel_deg=20.0,
        stages=(StageFigures(link="cable", outer=(("floor", ""),)),),
        pull_mm=Figure(18.0),
    )
    cable = link("cable", ("lever", "cable"), ("drum", ""), rigid=False)
    found = lines(linkage, {p.id: p for p in (lever, outer, drum)}, {"cable": cable})
    end = -60 * math.sin(math.radians(20)), -60 * math.cos(math.radians(20))
    pull = math.dist(end, (900, -60)) - 900
    assert found["gas.pulls"].value == pytest.approx(pull, abs=1e-9)
    assert found["gas.pulls"].verdict is Verdict.FINE
    assert found["gas.gain"].value == pytest.approx(300 * math.radians(20) / pull)


def test_a_throttle_on_a_cable() -> None:
    """Outers 400 mm off, square to arms of 50 and 40 mm: 10 deg draw the carburettor 12.5, by the arms' ratio."""
    near = part("near", "bulkhead", pose=Pose(at_mm=(400, 0, -50)))
    far = part("far", "bracket", pose=Pose(at_mm=(-100, -90, -40)))
    stage = StageFigures(link="cable", turns=TURNS, outer=(("near", ""), ("far", "")))
    cable = link("cable", ("foot", "rod"), ("carb", "lever"), rigid=False)
    parts = {p.id: p for p in (PEDAL, CARB, near, far)}
    found = lines(replace(THROTTLE, stages=(stage,), travel_deg=10.0), parts, {"cable": cable})
    assert found["gas.turns"].value == pytest.approx(12.5, rel=0.01)
    assert found["gas.slack"].value == pytest.approx(200 / 50)
    one_outer = replace(stage, outer=(("near", ""),))
    asked = lines(replace(THROTTLE, stages=(one_outer,)), parts, {"cable": cable})["gas.turns"]
    assert "both places of `outer`" in asked.note


@pytest.mark.parametrize(
    ("linkage", "words"),
    [
        (replace(THROTTLE, full_deg=None), "`full` of `figures.linkages.gas`"),
        (replace(THROTTLE, part="none"), "a part `none` (the vehicle has none of that name)"),
        (replace(THROTTLE, port="none"), "a place `none` of `foot`"),
        (replace(THROTTLE, stages=(StageFigures(link="none", turns=TURNS),)), "a link `none`"),
        (replace(THROTTLE, stages=(StageFigures(link="second", turns=TURNS),)), "does not begin there"),
        (replace(THROTTLE, stages=(StageFigures(link="first"),)), "`turns` or both places of `outer` of stage 1"),
        (replace(THROTTLE, port=""), "pushed on its own pivot"),
    ],
)
def test_what_is_missing_is_said(linkage: LinkageFigures, words: str) -> None:
    line = lines(linkage)["gas.turns"] if words[0] == "`" or "pivot" not in words else lines(linkage)["gas.slack"]
    assert line.verdict is Verdict.UNKNOWN
    assert words in line.note


def test_a_dead_centre_in_the_travel_is_said() -> None:
    """A crank of 40 on a rocker of 80 mm, turned right round: the rocker comes back."""
    crank = part(
        "foot", "gear-lever", motion=replace(SWING, to_deg=170.0), ports_mm={"rod": (0, 0, -40), "pad": (0, 0, 90)}
    )
    carb = part("carb", "carburettor", pose=Pose(at_mm=(-120, 0, 20)), ports_mm={"lever": (0, 0, -80)})
    linkage = replace(THROTTLE, stages=(StageFigures(link="rod", turns=TURNS),))
    found = lines(linkage, {"foot": crank, "carb": carb}, {"rod": link("rod", ("foot", "rod"), ("carb", "lever"))})
    assert "dead centre" in found["gas.meets"].note
