"""What a job leaves without its pipe, rod or part is looked at before the road; fuel tanks are drained first."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from workshop import link, part, scuttle, shelf, worked

from planner.model.effects import EffectKind, Knockons
from planner.model.job import Add, Move, Remove, TakeOff
from planner.model.vehicle import Owed, System, Vehicle
from planner.model.work import Demand
from planner.verify import check_gates
from planner.work.owed import owed_checkpoints


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
    assert last.limit.startswith(rule.whole_limit)


def test_an_end_that_a_cable_worked_is_no_pipe_to_be_blanked() -> None:
    """No fluid runs in a handbrake's cable: what it pulled is worked by something else, or it is taken off."""
    v = with_pedal()
    cable = link("handbrake-cable", "cable", "pedal.rod", "horn", system="hand")
    hand = System(id="hand", kind="handbrake", name="hand")
    links = {i: k for i, k in v.links.items() if i != "rod"} | {"cable": cable}
    v = replace(v, links=links, systems=v.systems | {"hand": hand})
    work, found = worked(v, Remove(part="cable"))
    told = "pedal is left with nothing joined to it (`rod`)"
    assert told in questions(found)
    assert f"{told}: worked by something else, or taken off or tied back" in work.checkpoints["nothing-loose"].limit
    whole = shelf().rules["nothing-loose"].whole_limit
    assert "blank" not in work.checkpoints["nothing-loose"].limit.removeprefix(whole)


def test_nothing_left_open_adds_no_word() -> None:
    work, _ = worked(
        with_pedal(), Move(part="horn", to=replace(with_pedal().components["horn"].pose, at_mm=(60, 0, 200)))
    )
    assert work.checkpoints["nothing-loose"].limit == shelf().rules["nothing-loose"].whole_limit


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


def test_no_circuit_is_filled_before_its_open_end_is_looked_at() -> None:
    """Common practice, no published source: fluid runs out of an open union, and the pedal never gets hard."""
    v = with_pedal()
    work, found = worked(v, Remove(part="front-pipe"), TakeOff(part="filter"))
    told = "union is left with an open end (`in`)"
    assert told in questions(found)
    look = work.tasks["check.open-ends"]
    assert f"{told}: joined or blanked" in work.checkpoints["open-ends"].limit
    assert Demand(feature="front-pipe", on=False, last=True) in look.demands
    closing = {i: work.features[f"circuit:{i}"].turn_on for i in ("front", "fuel")}
    assert closing["front"] is not None
    assert closing["fuel"] is not None
    assert look.id in closing["front"].after
    assert look.id not in closing["fuel"].after
    assert check_gates(v, found, work, shelf()) == ()
    bare = replace(closing["front"], after=tuple(t for t in closing["front"].after if t != look.id))
    front = replace(work.features["circuit:front"], turn_on=bare)
    said = check_gates(v, found, replace(work, features=work.features | {front.id: front}), shelf())
    assert [s for s in said if "end left open" in s]
    gone = {i: c for i, c in work.checkpoints.items() if i != "open-ends"}
    said = check_gates(v, found, replace(work, checkpoints=gone), shelf())
    assert [s for s in said if "`open-ends` is called for" in s]


def test_a_circuit_that_lost_its_cylinder_is_not_filled_unseen() -> None:
    v = with_pedal()
    work, found = worked(v, Remove(part="master"))
    closing = work.features["circuit:front"].turn_on
    assert closing is not None
    assert "check.open-ends" in closing.after
    assert check_gates(v, found, work, shelf()) == ()


def test_a_size_that_is_a_guess_is_no_open_end() -> None:
    v = with_pedal()
    rough = part("horn", "second-horn", (60, 700, 250))
    rough = replace(rough, solids=tuple(replace(s, doubt_mm=40.0) for s in rough.solids))
    work, found = worked(v, Add(component=rough))
    assert [e for e in found.effects if e.subject == "second-horn.size"]
    assert "open-ends" not in work.checkpoints
    assert "never measured" not in work.checkpoints["nothing-loose"].limit


@pytest.mark.parametrize(
    ("limit", "more"),
    [
        ("", ()),
        ("sinks not more than 5 mm in 1 min, it is never spongy; here: about 40 mm", ()),
        ("at most 5 mm and no noise from the servo", ("at most 5 mm and no noise from the servo",)),
    ],
)
def test_what_was_left_open_under_words_of_its_own_is_said_yes_to(limit: str, more: tuple[str, ...]) -> None:
    """Of an owner's own words nobody knows what the rule's number says: all of them are asked for."""
    owed = Owed(id="pedal", what="Pedal holds", limit=limit, check="brake-pedal-holds")
    ground = SimpleNamespace(vehicle=SimpleNamespace(to_prove={"pedal": owed}), catalog=shelf())
    (point,) = owed_checkpoints(ground).values()  # type: ignore[arg-type]  # it looks at nothing else
    assert point.beside == ("it is never spongy", *more)
