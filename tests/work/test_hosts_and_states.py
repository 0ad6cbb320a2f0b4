"""Parts stay on something, checks are made in the right state, links stay in line: on small vehicles and the demo."""

from dataclasses import replace

import pytest
from garage import catalog, job, link, mover, part, space, vehicle, wall
from trials import answer
from trials import catalog as shelf_catalog

from planner.knockon import find_knockons
from planner.model.catalog import CheckpointRule, Demanded, Trigger, When
from planner.model.effects import EffectKind, Proof
from planner.model.job import Add, Cut, Move, Replace
from planner.model.shapes import Box, Pose
from planner.model.vehicle import Freedom, Vehicle
from planner.model.work import Demand, WorkList
from planner.order import least_strip
from planner.verify import check_gates, check_steps, check_strip
from planner.work import work_for

CUBE = (100.0, 100.0, 100.0)
JOBS = ("hung-pedals", "battery-aft")


def bracketed() -> Vehicle:
    """A box on a bracket on the wall."""
    return vehicle([wall(), part("bracket", (60, 0, 500), CUBE), part("box", (60, 0, 600), CUBE, on="bracket")])


def test_a_part_on_a_replaced_host_waits_for_the_new_host() -> None:
    v = bracketed()
    j = job(Replace(part="bracket", component=part("bracket-2", (60, 0, 500), CUBE)))
    found = find_knockons(v, j, catalog())
    work = work_for(v, j, found, catalog())
    strip = least_strip(work)
    steps = [(s.ref, s.on) for s in strip.steps]
    assert check_strip(work, strip) == ()
    assert check_gates(v, found, work, catalog(), job=j) == ()
    assert steps.index(("box", False)) < steps.index(("bracket", False))
    assert steps.index(("bracket-2", True)) < steps.index(("box", True))


def test_the_checker_sees_a_part_that_could_be_fitted_on_nothing() -> None:
    v = bracketed()
    j = job(Replace(part="bracket", component=part("bracket-2", (60, 0, 500), CUBE)))
    found = find_knockons(v, j, catalog())
    work = work_for(v, j, found, catalog())
    box = work.features["box"]
    assert box.turn_on is not None
    loose = replace(box.turn_on, demands=tuple(d for d in box.turn_on.demands if d.feature != "bracket-2"))
    spoilt = WorkList(
        features={**work.features, "box": replace(box, turn_on=loose)},
        tasks=work.tasks,
        checkpoints=work.checkpoints,
        buys=work.buys,
    )
    assert any("bracket-2" in line for line in check_gates(v, found, spoilt, catalog(), job=j))


def test_a_part_that_goes_where_its_host_goes_keeps_its_holes() -> None:
    v = bracketed()
    j = job(Move(part="bracket", to=Pose(at_mm=(60, 300, 500))))
    work = work_for(v, j, find_knockons(v, j, catalog()), catalog())
    assert [t for t in work.tasks if t.startswith("box.")] == []
    assert [t for t in work.tasks if t.startswith("bracket.")] != []


def test_a_cut_beside_its_host_has_no_answer() -> None:
    hole = Box(size_mm=(40, 40, 40), pose=Pose(at_mm=(5000, 0, 500)))
    found = find_knockons(bracketed(), job(Cut(id="slot", host="wall", hole=hole)), catalog())
    assert found.proof is Proof.NONE
    assert "does not meet wall" in found.trouble[0]


def test_a_part_that_never_comes_off_cannot_have_its_host_replaced() -> None:
    v = vehicle(
        [
            wall(),
            part("bracket", (60, 0, 500), CUBE),
            part("box", (60, 0, 600), CUBE, on="bracket", freedom=Freedom.STAYS),
        ]
    )
    found = find_knockons(v, job(Replace(part="bracket", component=part("b2", (60, 0, 500), CUBE))), catalog())
    assert found.proof is Proof.NONE
    assert "box never comes off" in found.trouble[0]


@pytest.mark.parametrize(("aside", "proof"), [(0.0, Proof.PROVED), (300.0, Proof.NONE)])
def test_a_push_rod_stays_in_line(aside: float, proof: Proof) -> None:
    """400 mm between the ends: 10 mm along the rod is a matter of length, 300 mm aside swings it by 37 degrees."""
    rod = link("rod", "lever", "cylinder", rigid=True, adjust_mm=5.0, swing_deg=3.0, passes=("wall",), kind="rod")
    v = vehicle([wall(), part("lever", (60, 0, 500), CUBE), part("cylinder", (460, 0, 500), CUBE)], links=[rod])
    j = job(Move(part="cylinder", to=Pose(at_mm=(470, aside, 500))))
    assert find_knockons(v, j, catalog()).proof is proof


def test_a_mover_takes_the_home_that_keeps_its_rod_in_line() -> None:
    """Aside is 150 mm away and would swing the rod by 20 degrees; behind is 400 mm away and in line."""
    rod = link("rod", "lever", "cylinder", rigid=True, adjust_mm=5.0, swing_deg=3.0, passes=("wall",), kind="rod")
    v = vehicle(
        [wall(), part("lever", (60, 0, 500), CUBE), mover("cylinder", (460, 0, 500), CUBE)],
        links=[rod],
        spaces=[space("aside", (460, 150, 500), CUBE), space("behind", (860, 0, 500), CUBE)],
    )
    pushed = job(Add(component=part("new", (460, 0, 500), CUBE)))
    found = find_knockons(v, pushed, catalog())
    assert found.homes["cylinder"].at_mm == (860, 0, 500)
    free = replace(v, links={"rod": replace(rod, swing_deg=None)})
    assert find_knockons(free, pushed, catalog()).homes["cylinder"].at_mm == (460, 150, 500)


def test_checks_are_made_outside_the_states_they_exclude() -> None:
    rule = CheckpointRule(
        id="lamps", title="Lamps", group="body", triggers=(Trigger(when=When.ALWAYS),), measure="m", limit="l",
        blocks=(), source="starting guess", caution="c", without=("dark",),
    )  # fmt: skip
    v = bracketed()
    j = job(Move(part="bracket", to=Pose(at_mm=(60, 300, 500))))
    cat = catalog(rules={"lamps": rule})
    work = work_for(v, j, find_knockons(v, j, cat), cat)
    assert all(d.feature != "state:dark" for d in work.tasks["check.lamps"].demands)


@pytest.mark.parametrize("name", JOBS)
def test_no_check_of_the_demo_is_made_in_a_state_it_excludes(name: str) -> None:
    found = answer(name)
    rules = {r.id: r for r in _rules()}
    held: set[str] = set()
    entered_after: dict[str, set[str]] = {}
    for slot in found.plan.slots:
        step = slot.step
        if step.on is not None:
            subject = found.work.features[step.ref].subject
            held = held | {subject} if step.on else held - {subject}
            if step.on:
                for seen in entered_after.values():
                    seen.add(subject)
        elif found.work.tasks[step.ref].checkpoint is not None:
            rule = rules[found.work.checkpoints[found.work.tasks[step.ref].checkpoint or ""].rule]
            assert not held & set(rule.without), f"{rule.id} is made in {held & set(rule.without)}"
            assert set(rule.conditions) <= held
            entered_after[rule.id] = set()
    for rule_id, entered in entered_after.items():
        assert not entered & set(rules[rule_id].without), f"{rule_id} is undone"


def _rules() -> list[CheckpointRule]:
    return list(shelf_catalog().rules.values())


@pytest.mark.parametrize("name", JOBS)
def test_every_check_that_needs_no_engine_comes_before_the_first_start(name: str) -> None:
    found = answer(name)
    place = {s.step.ref: n for n, s in enumerate(found.plan.slots) if s.step.on is None}
    rules = {r.id: r for r in _rules()}
    start = place["first-start"]
    for task in found.work.tasks.values():
        rule = None if task.checkpoint is None else rules[found.work.checkpoints[task.checkpoint].rule]
        if rule is not None and not rule.involves and not rule.closing:
            assert place[task.id] < start, task.title
    assert found.work.tasks["first-start"].hands == 2


def test_open_ends_and_lost_kinds_are_told() -> None:
    texts = [e.text for e in answer("hung-pedals").knockons.effects if e.kind is EffectKind.MEASURED]
    assert any("open end" in t for t in texts)


def test_demands_hold_for_good() -> None:
    work = answer("hung-pedals").work
    lamps = work.tasks["check.lamps-work"]
    assert Demand(feature="state:battery-isolated", on=False, last=True) in lamps.demands


def test_nobody_sits_in_a_vehicle_on_stands_to_try_a_pedal() -> None:
    """The caution of the stands says it, HSE INDG434 behind it; the checker finds it where a step may be done so."""
    found = answer("hung-pedals")
    stands = Demand(feature="state:on-stands", on=False)
    tried = [t for t in found.work.tasks.values() if "driving shoes" in t.title and t.effect]
    assert len(tried) == 3
    assert all(stands in t.demands for t in tried)
    assert all(any("never on a jack or stands" in c for c in t.cautions) for t in tried)
    loose = replace(tried[0], demands=tuple(d for d in tried[0].demands if d != stands))
    spoilt = replace(found.work, tasks={**found.work.tasks, loose.id: loose})
    told = check_steps(found.vehicle, found.knockons, spoilt, shelf_catalog(), job=found.job)
    assert [t for t in told if "on stands, and somebody sits in it" in t and loose.id in t]


def test_every_step_in_which_somebody_sits_in_the_vehicle_says_so() -> None:
    steps = [s for t in shelf_catalog().templates.values() for s in t.steps]
    sat = [s for s in steps if "driving shoes" in s.title or "sit in" in s.title.lower()]
    assert len(sat) == 6
    assert all({Demanded.SEATED, Demanded.ON_WHEELS} & {*s.demands} for s in sat)
