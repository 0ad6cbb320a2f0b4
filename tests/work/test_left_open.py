"""What a job leaves without its pipe, rod or part is looked at before the road; fuel tanks are drained first."""

from __future__ import annotations

from dataclasses import replace

from workshop import link, part, scuttle, shelf, worked

from planner.model.effects import EffectKind, Knockons
from planner.model.job import Add, Move, Remove
from planner.model.vehicle import Vehicle
from planner.model.work import Demand


def with_pedal() -> Vehicle:
    v = scuttle()
    pedal = part("brake-pedal", "pedal", (-200, 0, 500), ports_mm={"rod": (0, 0, 0)})
    rod = link("pedal-push-rod", "rod", "pedal.rod", "master", system="front")
    return replace(v, components=v.components | {"pedal": pedal}, links=v.links | {"rod": rod})


def questions(knockons: Knockons) -> list[str]:
    return [e.text for e in knockons.effects if e.kind is EffectKind.MEASURED]


def test_a_pedal_left_without_its_rod_stands_in_the_last_check() -> None:
    v = with_pedal()
    work, found = worked(v, Remove(part="master"))
    told = "pedal is left with an open end (`rod`)"
    assert told in questions(found)
    last = work.checkpoints["nothing-loose"]
    assert f"{told}: joined or blanked" in last.limit
    assert {"engine", "moving", "road"} <= set(last.blocks)
    rule = shelf().rules["nothing-loose"]
    assert last.limit.startswith(rule.limit)


def test_nothing_left_open_adds_no_word() -> None:
    work, _ = worked(
        with_pedal(), Move(part="horn", to=replace(with_pedal().components["horn"].pose, at_mm=(60, 0, 200)))
    )
    assert work.checkpoints["nothing-loose"].limit == shelf().rules["nothing-loose"].limit


def test_a_tandem_cylinder_does_what_the_single_one_did() -> None:
    v = with_pedal()
    new = part("tandem-master-cylinder", "tandem", (60, 0, 500), systems=("front",))
    _, found = worked(v, Remove(part="master"), Add(component=new))
    assert not [q for q in questions(found) if "left without a brake master cylinder" in q]
    _, alone = worked(v, Remove(part="master"))
    assert [q for q in questions(alone) if "left without a brake master cylinder" in q]


def test_a_tank_is_drained_before_it_comes_off() -> None:
    """Common practice, no published source: nobody unscrews a full petrol tank."""
    v = scuttle()
    tank = part("fuel-tank", "petrol", (60, 600, 800), systems=("fuel",))
    v = replace(v, components=v.components | {"petrol": tank})
    work, _ = worked(v, Move(part="petrol", to=replace(tank.pose, at_mm=(60, 620, 800))))
    off = work.features["petrol"].turn_off
    assert off is not None
    assert Demand(feature="state:tank-drained", on=True) in off.demands
    drain = work.features["state:tank-drained"].turn_on
    assert drain is not None
    assert "fuel-safe" in drain.checks
    assert any("never weld" in c for c in drain.cautions)


def test_a_check_called_for_by_what_goes_is_made_when_it_is_gone() -> None:
    work, _ = worked(with_pedal(), Remove(part="union"))
    gone = {i for i, f in work.features.items() if f.start and f.goal is False and not i.startswith("state:")}
    assert "union" in gone
    checks = [t for t in work.tasks.values() if t.checkpoint is not None and t.id != "check.nothing-loose"]
    seen = {d.feature for t in checks for d in t.demands if not d.on and d.last}
    assert "union" in seen
