"""Levers found in a vehicle: an invented pedal given twice, once plainly and once turned round by hand."""

import math
from dataclasses import replace

import pytest

from planner.model.shapes import Box, Cylinder, Pose, Turn
from planner.model.vehicle import Component, End, Link
from planner.sums.lever import Lever, summary
from planner.sums.levers_there import levers_there


def part(id_: str, **more: object) -> Component:
    return Component(id=id_, kind="thing", name=id_, group="brakes", **{"solids": (), "pose": Pose(), **more})


PEDAL = part(
    "pedal",
    pose=Pose(at_mm=(900, 300, 600)),
    solids=(Box(size_mm=(10, 60, 50), pose=Pose(at_mm=(50, 0, -350))),),
    motion=Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=15),
    ports_mm={"rod": (5, 0, -70), "pad": (55, 0, -350)},
)
CYLINDER = part(
    "cylinder",
    pose=Pose(at_mm=(800, 300, 530)),
    solids=(Cylinder(across_mm=40, length_mm=150, along="x", pose=Pose(at_mm=(-75, 0, 0))),),
    ports_mm={"rod": (0, 0, 0)},
)
ROD = Link(
    id="rod",
    kind="rod",
    name="rod",
    group="brakes",
    ends=(End(component="pedal", port="rod"), End(component="cylinder", port="rod")),
    rigid=True,
)


def test_a_plain_pedal() -> None:
    (found,) = levers_there({"pedal": PEDAL, "cylinder": CYLINDER}, {"rod": ROD})
    assert (found.part, found.link, found.cylinder, found.across_mm, found.notes) == (
        "pedal",
        "rod",
        "cylinder",
        300,
        (),
    )
    assert found.lever == Lever(
        pivot_mm=(900, 600),
        clevis_mm=(905, 530),
        pad_mm=(955, 250),
        mouth_mm=(800, 530),
        push_deg=180,
        rod_mm=105,
        travel_deg=-15,
    )
    assert summary(found.lever).stroke_mm > 15


def test_the_same_pedal_with_its_frame_turned_round() -> None:
    """Turned half round z the part's own x and y point the other way: ports and axis are written accordingly."""
    turned = replace(
        PEDAL,
        pose=Pose(at_mm=(900, 300, 600), turn_deg=(0, 0, 180)),
        motion=Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=-15),
        ports_mm={"rod": (-5, 0, -70), "pad": (-55, 0, -350)},
    )
    (plain,) = levers_there({"pedal": PEDAL, "cylinder": CYLINDER}, {"rod": ROD})
    (found,) = levers_there({"pedal": turned, "cylinder": CYLINDER}, {"rod": ROD})
    assert found.lever.travel_deg == pytest.approx(-15)
    assert found.lever.pad_mm == pytest.approx(plain.lever.pad_mm)
    assert summary(found.lever).stroke_mm == pytest.approx(summary(plain.lever).stroke_mm)


def test_a_cylinder_out_of_line_is_said() -> None:
    leant = replace(CYLINDER, pose=Pose(at_mm=(800, 300, 530), turn_deg=(0, 0, 20)))
    (found,) = levers_there({"pedal": PEDAL, "cylinder": leant}, {"rod": ROD})
    assert "20 deg out of the lever's plane" in found.notes[0]


def test_a_clevis_beside_the_bore_is_measured() -> None:
    beside = replace(PEDAL, ports_mm={**PEDAL.ports_mm, "rod": (5, 12, -70)})
    (found,) = levers_there({"pedal": beside, "cylinder": CYLINDER}, {"rod": ROD})
    assert found.lever.beside_mm == 12
    assert found.lever.rod_mm == pytest.approx(math.hypot(105, 12))


def test_without_a_pad_port_the_far_end_is_taken_and_said() -> None:
    bare = replace(PEDAL, ports_mm={"rod": (5, 0, -70)})
    (found,) = levers_there({"pedal": bare, "cylinder": CYLINDER}, {"rod": ROD})
    assert found.lever.pad_mm == (950, 250)
    assert "no port `pad`" in found.notes[0]


@pytest.mark.parametrize(
    ("pedal", "cylinder", "rod"),
    [
        (replace(PEDAL, motion=None), CYLINDER, ROD),
        (PEDAL, replace(CYLINDER, solids=()), ROD),
        (PEDAL, CYLINDER, replace(ROD, rigid=False)),
        (replace(PEDAL, motion=Turn(about_mm=(0, 0, 0), axis=(1, 0, 0), from_deg=0, to_deg=15)), CYLINDER, ROD),
    ],
)
def test_what_is_no_lever_is_left_out(pedal: Component, cylinder: Component, rod: Link) -> None:
    assert levers_there({"pedal": pedal, "cylinder": cylinder}, {"rod": rod}) == ()
