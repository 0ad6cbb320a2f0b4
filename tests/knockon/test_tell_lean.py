"""No answer because a push-rod may not leave its line: the rod is named, with what would have to give and how far.

The rod here is 100 mm from joint to joint, straight along x: 3 degrees of lean are 100 tan 3 = 5.24 mm aside, 20 mm
aside are 11.31 degrees.
"""

from __future__ import annotations

from dataclasses import replace

from garage import catalog, job, link, mover, space, vehicle, wall

from planner.knockon import find_knockons
from planner.knockon.demands import over_line_mm
from planner.knockon.tell_lean import tied_to
from planner.model.effects import Held, Knockons, Proof
from planner.model.job import Move
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom, Vehicle

CYLINDER, PEDAL = (100.0, 0.0, 500.0), (250.0, 0.0, 500.0)


def pedal_and_cylinder(*, second: bool = False) -> Vehicle:
    """A cylinder and a pedal with a rod between them; homes of the pedal all lie 260 mm and more aside."""
    ports = {"rod": (25.0, 0.0, 0.0), "rod-2": (25.0, 0.0, 0.0)}
    cylinder = mover("cylinder", CYLINDER, (50.0, 40.0, 40.0), ports_mm=ports)
    above = mover("cylinder-2", (100.0, 0.0, 600.0), (50.0, 40.0, 40.0), ports_mm=ports)
    at_pedal = {"rod": (-25.0, 0.0, 0.0), "rod-2": (-25.0, 0.0, 100.0)}
    pedal = mover("pedal", PEDAL, (50.0, 40.0, 40.0), ports_mm=at_pedal)
    rods = [link("rod", "pedal.rod", "cylinder.rod", rigid=True, adjust_mm=20.0, swing_deg=3.0)]
    rods += [link("rod-2", "pedal.rod-2", "cylinder-2.rod", rigid=True, swing_deg=3.0)] if second else []
    aside = space("aside", (250.0, 400.0, 500.0), (100.0, 280.0, 50.0), takes=("pedal",))
    return vehicle([wall(), cylinder, pedal, *([above] if second else [])], links=rods, spaces=[aside])


def moved(v: Vehicle, up_mm: float) -> Knockons:
    x, y, z = CYLINDER
    return find_knockons(v, job(Move(part="cylinder", to=Pose(at_mm=(x, y, z + up_mm)))), catalog())


def held(told: Knockons) -> dict[str, Held]:
    return {h.sort: h for h in told.held}


def test_the_rod_is_named_as_the_cause() -> None:
    told = moved(pedal_and_cylinder(), 20.0)
    assert told.proof is Proof.NONE
    [line] = told.trouble
    # atan(20 / 100) = 11.31 degrees, told to the tenth above.
    assert line.startswith("pedal: with it where it is rod would lean 11.4 degrees out of its line, 3 at the most; ")
    assert "others" not in line


def test_each_thing_that_could_give_is_told_and_does() -> None:
    v = pedal_and_cylinder()
    # atan(10 / 100) = 5.71 degrees.
    told = held(moved(v, 10.0))
    assert set(told) == {"asked for", "kept", "line"}
    assert told["asked for"].gives.startswith("if cylinder were moved 5 mm instead of 10 mm: then it can be done")
    assert moved(v, 5.0).proof is Proof.PROVED
    assert moved(v, 6.0).proof is Proof.NONE
    assert told["line"].gives.startswith("if the joints of rod and its hole let it lean 5.8 degrees (`swing: 5.8`)")
    assert told["line"].text == "rod stays within 3 degrees of its line (`swing`)"
    assert told["kept"].gives.startswith("if the job moved pedal by as much as cylinder: then it can be done")


def test_a_second_rod_brings_its_own_cylinder_along() -> None:
    told = held(moved(pedal_and_cylinder(second=True), 20.0))
    assert told["kept"].gives.startswith("if the job moved pedal and cylinder 2 by as much as cylinder: ")


def test_a_rod_is_not_said_to_lean_as_far_as_you_like() -> None:
    assert held(moved(pedal_and_cylinder(), 20.0))["line"].gives.startswith(
        "it would have to lean 11.4 degrees, too far"
    )


def test_a_pedal_is_never_said_to_be_done_without() -> None:
    assert not any("done without" in h.gives for h in moved(pedal_and_cylinder(), 20.0).held)


def test_a_pedal_that_stays() -> None:
    v = pedal_and_cylinder()
    stays = replace(v.components["pedal"], freedom=Freedom.STAYS)
    told = moved(replace(v, components={**v.components, "pedal": stays}), 20.0)
    assert told.proof is Proof.NONE
    [line] = told.trouble
    assert line == "rod: the job swings it 11 degrees out of its line, and 3 degrees is the most it may stand off"
    assert held(told)["asked for"].gives.startswith("if cylinder were moved 5 mm instead of 20 mm")


def test_how_far_an_end_is_beyond_its_line() -> None:
    """An arc of 8.31 degrees round a rod of hypot(100, 20) = 101.98 mm: 14.79 mm."""
    rod = pedal_and_cylinder().links["rod"]
    before = ((225.0, 0.0, 500.0), (125.0, 0.0, 500.0))
    assert abs(over_line_mm(rod, before, (before[0], (125.0, 0.0, 520.0))) - 14.79) < 0.01
    assert over_line_mm(rod, before, (before[0], (125.0, 0.0, 505.0))) == 0.0


def test_what_rods_tie_together() -> None:
    links = list(pedal_and_cylinder(second=True).links.values())
    assert tied_to("cylinder", links, ("cylinder",)) == ["pedal", "cylinder-2"]
    assert tied_to("cylinder", links, ("cylinder", "cylinder-2")) == ["pedal"]
    assert tied_to("wall", links, ()) == []
