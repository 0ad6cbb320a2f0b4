"""Circuits: open to undo a member, closed when all are back, tested before anything moves."""

from __future__ import annotations

from dataclasses import replace

from workshop import demands, first_of, link, part, scuttle, shelf, worked

from planner.model.job import Add, Remove, Replace, TakeOff
from planner.model.vehicle import System
from planner.model.work import Demand, Toggle
from planner.order import least_strip

OPEN, SHUT = Demand(feature="circuit:front", on=False), Demand(feature="circuit:front", on=True)


def toggles(feature: object) -> tuple[Toggle, Toggle]:
    on, off = feature.turn_on, feature.turn_off  # type: ignore[attr-defined]
    assert on is not None
    assert off is not None
    return on, off


def test_undoing_a_hydraulic_part_demands_the_circuit_open() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    for toggle in toggles(work.features["master"]):
        assert OPEN in toggle.demands
    circuit = work.features["circuit:front"]
    assert (circuit.start, circuit.goal) == (True, True)


def test_closing_demands_every_member_fitted() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"), TakeOff(part="union"))
    close, opened = toggles(work.features["circuit:front"])
    kind = shelf().system_kinds["hydraulic-brake"]
    for member in ("master", "union"):
        assert Demand(feature=member, on=True) in close.demands
    for condition in kind.needs:
        assert Demand(feature=f"state:{condition}", on=True) in close.demands
        assert Demand(feature=f"state:{condition}", on=True) in opened.demands
    assert (close.minutes, close.hands) == (kind.close_min, kind.close_hands)
    assert (opened.minutes, opened.hands) == (kind.open_min, kind.open_hands)
    assert close.steps == kind.steps


def test_new_member_of_a_circuit_opens_it() -> None:
    """A union let into the circuit, by its own kind."""
    new = part("brake-union", "tee", (60, 850, 500), systems=("front",))
    work, _ = worked(scuttle(), Add(component=new))
    close, _ = toggles(work.features["circuit:front"])
    assert Demand(feature="tee", on=True) in close.demands
    fit = work.features["tee"].turn_on
    assert fit is not None
    assert OPEN in fit.demands


def test_remade_pipe_belongs_to_the_circuit() -> None:
    """The heir of the union stands 150 mm further right: pipe and hose no longer reach."""
    v = scuttle()
    union = v.components["union"]
    away = replace(union, id="union-2", name="union 2", pose=replace(union.pose, at_mm=(60, 400, 500)))
    work, _ = worked(v, Replace(part="union", component=away))
    assert {"front-pipe", "front-pipe@new"} <= set(work.features)
    close, _ = toggles(work.features["circuit:front"])
    assert Demand(feature="front-pipe@new", on=True) in close.demands
    fit = work.features["front-pipe@new"].turn_on
    assert fit is not None
    assert OPEN in fit.demands
    assert Demand(feature="union-2", on=True) in fit.demands
    off = work.features["front-pipe"].turn_off
    assert off is not None
    assert OPEN in off.demands


def test_circuit_whose_members_all_go_stays_open() -> None:
    v = scuttle()
    gone = ("master", "union", "wheel-cylinder", "front-pipe", "hose")
    work, _ = worked(v, *(Remove(part=p) for p in gone))
    circuit = work.features["circuit:front"]
    assert circuit.goal is False
    assert circuit.turn_on is None


def test_a_circuit_whose_only_cable_goes_is_never_closed_and_can_be_planned_all_the_same() -> None:
    """The pedal that names the circuit stays, so its checks stay as well: with the pedal fitted."""
    v = scuttle()
    pedal = part("clutch-pedal", "pedal", (60, 300, 300), systems=("clutch",))
    arm = part("bracket", "arm", (60, -300, 300), systems=("clutch",))
    cable = link("clutch-cable", "cable", "pedal", "arm", system="clutch")
    v = replace(
        v,
        components={**v.components, "pedal": pedal, "arm": arm},
        links={**v.links, "cable": cable},
        systems={**v.systems, "clutch": System(id="clutch", kind="cable-clutch", name="clutch")},
    )
    work, _ = worked(v, Remove(part="cable"))
    circuit = work.features["circuit:clutch"]
    assert (circuit.goal, circuit.turn_on) == (False, None)
    checks = [t for t in work.tasks.values() if t.checkpoint is not None and "clutch" in t.checkpoint]
    assert checks
    assert not any(demands(t, "circuit:clutch") == Demand(feature="circuit:clutch", on=True, last=True) for t in checks)
    assert least_strip(work, limit_s=2).trouble == ()


def test_untouched_circuits_are_no_features() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"))
    assert not [f for f in work.features if f.startswith("circuit:")]


def test_every_called_rule_is_a_task_before_the_road_test() -> None:
    """The opened brake circuit calls these by the catalog's own triggers."""
    work, _ = worked(scuttle(), TakeOff(part="master"))
    opened = {
        r.id
        for r in shelf().rules.values()
        for t in r.triggers
        if t.when == "opened" and "hydraulic-brake" in t.of and not r.several
    }
    assert len(opened) > 5
    always = {"nothing-loose"}
    assert opened | always <= set(work.checkpoints)
    earlier = first_of(work, "road-test")
    for rule in opened | always:
        signers = [t for t in work.tasks.values() if t.checkpoint == rule]
        assert signers, rule
        assert all(t.id in earlier for t in signers), rule


def test_checks_come_before_and_after_what_they_must() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    rules = shelf().rules
    start, move = first_of(work, "first-start"), first_of(work, "first-move")
    for gate in work.checkpoints.values():
        rule = rules[gate.rule]
        if gate.each_time:
            continue
        for task in (t.id for t in work.tasks.values() if t.checkpoint == gate.id):
            if "moving" in rule.involves:
                assert "first-move" in first_of(work, task), task
            elif "moving" in rule.blocks:
                assert task in move, task
            if "engine" in rule.blocks and not rule.involves:
                assert task in start, task
    assert "first-start" in move
    assert {"first-start", "first-move"} <= first_of(work, "road-test")


def test_checks_of_an_opened_circuit_hold_it_shut_for_good() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    found = demands(work.tasks["check.brake-leak"], "circuit:front")
    assert found == Demand(feature="circuit:front", on=True, last=True)


def test_checks_that_hold_filling_back_come_before_it() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    close, _ = toggles(work.features["circuit:front"])
    assert "filling" in {b.value for b in shelf().rules["brake-free-play"].blocks}
    assert "check.brake-free-play" in close.after
    assert SHUT not in work.tasks["check.brake-free-play"].demands


def test_cautions_of_brakes_are_told() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    for toggle in (*toggles(work.features["master"]), *toggles(work.features["circuit:front"])):
        assert toggle.cautions, toggle.title
    assert shelf().cautions["brakes"] in toggles(work.features["master"])[1].cautions
