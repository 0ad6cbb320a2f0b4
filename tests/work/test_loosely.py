"""Parts in place finger-tight: less work, and nothing but a trial fit is done with them so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import bracket, hole, part, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, Change, EndState, Grow, Job, Move, OwnTask, Replace
from planner.model.plan import Step
from planner.model.shapes import Pose
from planner.model.work import Demand, Feature, WorkList
from planner.order import least_strip
from planner.shelf import load_catalog
from planner.verify import check_gates, check_strip
from planner.verify.replay import effort_min, replay
from planner.work import work_for

MADE = Add(component=bracket())
JOBS: dict[str, tuple[Change, ...]] = {
    "a bracket": (MADE,),
    "a bracket on a hole": (MADE, hole()),
    "a bracket on a welded hole": (MADE, hole(welded=True)),
    "two brackets side by side": (MADE, Add(component=bracket("other", (60, 810, 300)))),
    "a tank that moves beside a bracket": (
        Move(part="tank", to=Pose(at_mm=(60, -620, 800))),
        Add(component=bracket("stay", (60, -740, 800))),
    ),
}
TIGHT = ":tight"


def both(*changes: Change, **more: object) -> tuple[WorkList, WorkList]:
    """The list with finger-tight parts, and the same without: the catalog's share taken away."""
    found, knockons = worked(scuttle(), *changes, **more)
    kinds = {i: replace(k, loose=None) for i, k in shelf().kinds.items()}
    job = _job(*changes, **more)
    return found, work_for(scuttle(), job, knockons, replace(shelf(), kinds=kinds))


def _job(*changes: Change, **more: object) -> Job:
    return Job(id="job", name="job", changes=changes, **more)  # type: ignore[arg-type]


def bodies(work: WorkList) -> list[str]:
    return [i.removesuffix(TIGHT) for i in work.features if i.endswith(TIGHT)]


@pytest.mark.parametrize("name", JOBS)
def test_every_plain_order_is_an_order_at_the_same_price_and_the_least_is_no_more(name: str) -> None:
    """Whenever a part is fitted tighten it at once, whenever it comes off loosen it first: replayed by verify/."""
    loose, plain = both(*JOBS[name])
    parted = set(bodies(loose))
    assert parted
    assert not bodies(plain)
    least = least_strip(plain, limit_s=20.0)
    steps: list[Step] = []
    for step in least.steps:
        if step.on is None or step.ref not in parted:
            steps.append(step)
        elif step.on:
            steps += [step, Step(ref=step.ref + TIGHT, on=True)]
        else:
            steps += [Step(ref=step.ref + TIGHT, on=False), step]
    assert replay(loose, steps) == ()
    assert effort_min(loose, steps) == least.cost
    found = least_strip(loose, limit_s=20.0)
    assert check_strip(loose, found) == ()
    assert found.cost <= least.cost


def test_a_made_bracket_is_never_tightened_before_it_is_painted() -> None:
    """By hand: 15 min to fit and 10 to take off; 6 and 4 of these finger-tight, so 9 and 6 are saved."""
    loose, plain = both(MADE)
    found, before = least_strip(loose, limit_s=20.0), least_strip(plain, limit_s=20.0)
    assert before.cost - found.cost == 15
    order = [s for s in found.steps if s.ref in ("bracket", "bracket:tight")]
    wanted = [("bracket", True), ("bracket", False), ("bracket", True), ("bracket:tight", True)]
    assert [(s.ref, s.on) for s in order] == wanted


@pytest.mark.parametrize("name", JOBS)
def test_only_trial_fits_do_with_finger_tight(name: str) -> None:
    loose, _ = both(*JOBS[name])
    for body in bodies(loose):
        for task in loose.tasks.values():
            asked = {d.feature: d for d in task.demands if d.on}
            if body in asked:
                assert (body + TIGHT in asked) == (task.work is not Work.TRIAL_FIT)
            if body + TIGHT in asked:
                assert asked[body + TIGHT].last is asked[body].last
        for gate in ("first-start", "first-move", "road-test"):
            assert any(d.feature == body + TIGHT and d.on for d in loose.tasks[gate].demands)
        assert any(
            t.work is Work.TRIAL_FIT and Demand(feature=body, on=True) in t.demands for t in loose.tasks.values()
        )


@pytest.mark.parametrize("name", JOBS)
def test_minutes_are_shared_out_and_it_comes_off_slack(name: str) -> None:
    loose, plain = both(*JOBS[name])
    for body in bodies(loose):
        whole, there, tight = plain.features[body], loose.features[body], loose.features[body + TIGHT]
        for which in ("turn_on", "turn_off"):
            one, rest, old = (getattr(f, which) for f in (there, tight, whole))
            assert one.minutes + rest.minutes == old.minutes
            assert one.hands == rest.hands == old.hands
            assert set(rest.demands) <= {*old.demands, Demand(feature=body, on=True)}
            assert rest.ways == ()
        assert there.turn_off is not None
        assert Demand(feature=body + TIGHT, on=False) in there.turn_off.demands
        assert tight.turn_on is not None
        assert Demand(feature=body, on=True) in tight.turn_on.demands
        assert (tight.subject, tight.start, tight.goal) == (whole.subject, whole.start, whole.goal)


@pytest.mark.parametrize("name", JOBS)
def test_checkpoints_are_the_same_and_the_checker_agrees(name: str) -> None:
    loose, plain = both(*JOBS[name])
    assert loose.checkpoints == plain.checkpoints
    assert set(loose.tasks) == set(plain.tasks)
    _, knockons = worked(scuttle(), *JOBS[name])
    assert check_gates(scuttle(), knockons, loose, shelf(), job=_job(*JOBS[name])) == ()


def test_a_tank_tried_finger_tight_is_tight_before_its_circuit_is_filled() -> None:
    tank = part("header-tank", "tank-2", (60, -620, 800), make_min=120, systems=("coolant",))
    loose, _ = both(Add(component=tank))
    assert bodies(loose) == ["tank-2"]
    fill = loose.features["circuit:coolant"].turn_on
    assert fill is not None
    assert {Demand(feature="tank-2", on=True), Demand(feature="tank-2:tight", on=True)} <= set(fill.demands)


def test_the_end_of_a_session_asks_for_it_tight() -> None:
    """The moved tank has a home of its own; what is asked for in place when everybody goes home is tight."""
    ends = {"end": EndState(id="end", name="end", fitted=("horn",))}
    horn = replace(scuttle().components["horn"], kind="bracket")
    car = replace(scuttle(), components={**scuttle().components, "horn": horn})
    beside = Add(component=bracket("near", (60, 110, 250)))
    tasks = (OwnTask(id="paint", title="Paint behind it", minutes=20, off=("horn",), after=("near",)),)
    work, _ = worked(car, beside, tasks=tasks, at_end=ends)
    assert "horn" in bodies(work)
    assert set(work.holds["end"].demands) == {Demand(feature="horn", on=True), Demand(feature="horn:tight", on=True)}


OTHER_TANK = part("header-tank", "tank-2", (60, -620, 800), make_min=120, systems=("coolant",))


@pytest.mark.parametrize(
    ("change", "new"),
    [(Grow(part="tank", by_mm=(0, 40, 0)), "tank@new"), (Replace(part="tank", component=OTHER_TANK), "tank-2")],
)
def test_a_part_with_two_homes_is_tight_in_one_of_them_at_the_end_of_a_session(change: Change, new: str) -> None:
    """A tank painted after its trial fit: it may not hang on its straps overnight where it is asked for."""
    ends = {"end": EndState(id="end", name="end", fitted=("tank",))}
    work, _ = worked(scuttle(), change, at_end=ends)
    (demand,) = work.holds["end"].demands
    assert new in bodies(work)
    there = work.features[demand.feature].turn_off
    assert there is not None
    assert (Demand(feature=new, on=True), Demand(feature=f"{new}:tight", on=True)) in there.ways
    for home in (new, f"{new}:tight"):
        off = work.features[home].turn_off
        assert off is not None
        assert Demand(feature=demand.feature, on=True) in off.demands


def test_parts_that_come_on_once_have_one_feature() -> None:
    bought = Add(component=part("horn", "horn-2", (60, 800, 800)))
    loose, plain = both(bought)
    assert loose == plain


def test_the_price_of_leaving_it_in_is_paid_once() -> None:
    loose, _ = both(MADE, leave_in={"bracket": 50})
    there: Feature = loose.features["bracket"]
    tight: Feature = loose.features["bracket:tight"]
    dislikes = [t.dislike_min for f in (there, tight) for t in (f.turn_on, f.turn_off) if t is not None]
    assert sorted(d or 0 for d in dislikes) == [0, 0, 0, 50]


def test_shares_of_the_catalog() -> None:
    catalog, _ = load_catalog()
    shares = {i: k.loose for i, k in catalog.kinds.items() if k.loose is not None}
    assert {"bracket", "pedal-box", "header-tank", "column-support"} <= set(shares)
    assert all(0 < s < 1 and "starting guess" in catalog.kinds[i].source for i, s in shares.items())
    steering = [i for i in shares if catalog.kinds[i].group == "steering"]
    assert steering == ["column-support"], "what steers is never left finger-tight, but for what holds the column"
