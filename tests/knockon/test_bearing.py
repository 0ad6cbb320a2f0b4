"""What carries a part in its new place is asked where nothing near does: distances worked out by hand."""

from __future__ import annotations

from dataclasses import replace

from garage import catalog, job, mover, part, space, vehicle, wall

from planner.knockon import adrift_now, find_knockons
from planner.model.catalog import Catalog
from planner.model.effects import Effect, EffectKind, Knockons, Proof
from planner.model.job import Add, Change, Move
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Freedom, Vehicle
from planner.verify import check_homes

TRAY = (100.0, 100.0, 10.0)
"""Half its length and the 50 mm for a bracket nobody drew make 100 mm."""


def bench() -> Vehicle:
    """A tray with its battery on the rear face of the wall (x = 10), and a beam 400 to 440 mm behind that."""
    beam = part("beam", (430, 0, 500), (40, 2000, 40), on=None, freedom=Freedom.STAYS, group="structure")
    tray = mover("tray", (60, 0, 500), TRAY)
    battery = mover("battery", (60, 0, 555), (100.0, 100.0, 100.0), on="tray")
    return vehicle([wall(), beam, tray, battery])


def asked(found: Knockons) -> dict[str, Effect]:
    return {e.subject: e for e in found.effects if e.kind is EffectKind.MEASURED}


def found_for(v: Vehicle, *changes: Change, known: Catalog | None = None) -> Knockons:
    found = find_knockons(v, job(*changes), known or catalog())
    assert found.proof is not Proof.NONE, found.trouble
    assert check_homes(v, job(*changes), found, known or catalog()) == ()
    return found


def at(*mm: float) -> Pose:
    x, y, z = mm
    return Pose(at_mm=(x, y, z))


def test_a_part_that_is_put_beside_another_carrier_is_asked_about() -> None:
    """Moved 290 mm rearward it ends at x = 400, 10 mm from the beam, and begins at 300, 290 mm from its wall."""
    found = found_for(bench(), Move(part="tray", to=at(350, 0, 500)))
    question = asked(found)["tray~wall"]
    assert question.text == "what carries tray in its new place is to be settled"
    assert question.causes[0].text == (
        "wall, which it is said to be mounted on, is 290 mm from it, and beam is 10 mm from it: "
        "if that carries it, the job says so (`onto: beam`)"
    )
    assert "battery~tray" not in asked(found)
    named = found_for(bench(), Move(part="tray", to=at(350, 0, 500), onto="beam"))
    assert not asked(named)


def test_a_part_that_leaves_its_tray_for_the_air_has_nothing_near() -> None:
    question = asked(found_for(bench(), Move(part="battery", to=at(60, 1500, 555))))["battery~tray"]
    assert "tray, which it is said to be mounted on, is 1400 mm from it" in question.causes[0].text
    # The wall ends at y = 1000, the battery begins at 1450: more than the 100 mm that a bracket might bridge.
    assert question.causes[0].text.endswith("move it there, or add what is to carry it")


def test_what_no_bracket_has_to_bridge_is_not_asked_about() -> None:
    """50 mm farther from its wall than it was; a new one 100 mm off, with half its length in that."""
    new = replace(bench().components["tray"], id="shelf", name="shelf", pose=at(160, 500, 500))
    assert not asked(found_for(bench(), Move(part="tray", to=at(110, 0, 500)), Add(component=new)))
    off = replace(new, pose=at(161, 500, 500))
    assert list(asked(found_for(bench(), Add(component=off)))) == ["shelf~wall"]


def test_the_checker_misses_the_question_that_is_left_out() -> None:
    change = Move(part="tray", to=at(350, 0, 500))
    found = find_knockons(bench(), job(change), catalog())
    bare = replace(found, effects=tuple(e for e in found.effects if e.subject != "tray~wall"))
    said = check_homes(bench(), job(change), bare, catalog())
    assert said == ("`tray` is mounted on `wall`, 290 mm off, and nobody is asked what carries it",)


def test_a_vehicle_is_read_the_same_way() -> None:
    v = bench()
    tray = replace(v.components["tray"], pose=at(340, 0, 500))
    drawn = replace(
        v, components=v.components | {"tray": tray, "battery": replace(v.components["battery"], mounted_on="wall")}
    )
    [found] = adrift_now(drawn)
    assert (found.part, found.host, found.away_mm, found.nearest, found.nearest_mm) == ("tray", "wall", 280, "beam", 20)
    assert adrift_now(v) == ()


def with_bearers() -> Catalog:
    known = catalog()
    return replace(known, kinds=known.kinds | {"gadget": replace(known.kinds["gadget"], bears=True)})


def test_what_leaves_its_tray_for_a_bare_wall_is_asked_about() -> None:
    """A new block takes the battery's place; the only room left is at the wall, and its tray stays behind."""
    size: Vec = (100.0, 100.0, 100.0)
    v = bench()
    tray = replace(v.components["tray"], kind="gadget", freedom=Freedom.STAYS)
    v = replace(v, components=v.components | {"tray": tray}, spaces={"spot": space("spot", (60, 700, 500), size)})
    block = part("block", (60, 0, 580), size, freedom=Freedom.STAYS)
    found = found_for(v, Add(component=block), known=with_bearers())
    question = asked(found)["battery~wall"]
    assert question.causes[0].text.startswith(
        "tray carries it now and does not go with it: nothing is said to carry it"
    )
    bare = replace(found, effects=tuple(e for e in found.effects if e.subject != "battery~wall"))
    said = check_homes(v, job(Add(component=block)), bare, with_bearers())
    assert said == ("`battery` leaves what carries it for `wall`, and nobody is asked what carries it there",)
    assert "battery~wall" not in asked(found_for(v, Add(component=block)))
