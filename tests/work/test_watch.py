"""Hot work on the vehicle: watched by a second person, in one session, half an hour after the last spark and all.

29 CFR 1910.252(a)(2)(iii): a fire watch during the work and for at least half an hour after it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, time

import pytest
from workshop import bracket, first_of, hole, part, scuttle, shelf, worked

from planner.model.effects import Knockons
from planner.model.job import Add, Job, Move, OwnTask, Repeating, TakeOff
from planner.model.shapes import Pose
from planner.model.words import Work
from planner.model.work import Hold, Task, WorkList
from planner.order import scheduled
from planner.verify import check_gates, check_plan

WATCH = "state:fire-watch-ready"
HOT = ("battery-isolated", "charging-unplugged", "fuel-pipe-capped", "fire-watch-ready")
WELD = OwnTask(id="weld-in", title="Weld it in", minutes=40, splits=True, after=("slot",), conditions=HOT)
AGAIN = replace(WELD, id="weld-on", title="Weld the rest", after=("weld-in",))
HOLE = hole(welded=True)


def job(*tasks: OwnTask, **more: object) -> Job:
    return Job(id="job", name="job", changes=(HOLE,), tasks=tasks, **more)  # type: ignore[arg-type]


def built(*tasks: OwnTask) -> tuple[WorkList, Knockons]:
    work, knockons = worked(scuttle(), HOLE, tasks=tasks)
    assert check_gates(scuttle(), knockons, work, shelf(), job=job(*tasks)) == ()
    return work, knockons


def test_an_own_task_that_asks_for_the_watch_is_watched_to_its_end() -> None:
    work, _ = built(WELD)
    task = work.tasks["weld-in"]
    assert (task.hands, task.splits, task.checkpoint) == (2, False, "fire-watch")
    assert task.minutes == 40 + 30 + shelf().rules["fire-watch"].minutes
    assert shelf().cautions["hot work"] in task.cautions
    cold, _ = built(replace(WELD, conditions=("battery-isolated",)))
    assert (cold.tasks["weld-in"].hands, cold.tasks["weld-in"].minutes) == (1, 40)


def test_nothing_is_done_beside_a_weld_at_the_bench_or_on_the_vehicle() -> None:
    """Common practice, no published source: no paint, solvent or fuel is handled while somebody welds."""
    work, _ = worked(
        scuttle(), HOLE, Add(component=part("pedal-box", "box", (60, 800, 800), make_min=600)), tasks=(WELD,)
    )
    welds = [t for t in work.tasks.values() if t.work is Work.WELDING]
    assert {t.effect for t in welds} == {"cut:slot", "new:box"}
    assert all(t.apart for t in (*welds, work.tasks["weld-in"]))
    assert not work.tasks["slot.9"].apart


def test_what_is_welded_at_the_bench_leaves_half_an_hour_of_its_session() -> None:
    """29 CFR 1910.252(a)(2)(iii)(B); on the vehicle the half hour is part of the step and is signed with it."""
    change = Add(component=part("pedal-box", "box", (60, 800, 800), make_min=600))
    work, knockons = worked(scuttle(), HOLE, change, tasks=(WELD,))
    at_bench = [t for t in work.tasks.values() if t.work is Work.WELDING and t.effect == "new:box"]
    assert {t.stay_min for t in at_bench} == {30}
    assert {t.stay_min for t in work.tasks.values() if t.effect == "cut:slot"} == {0}
    assert not [f for f in check_gates(scuttle(), knockons, work, shelf()) if "left sooner" in f]
    hasty = replace(work, tasks={**work.tasks, at_bench[0].id: replace(at_bench[0], stay_min=29)})
    (said,) = (f for f in check_gates(scuttle(), knockons, hasty, shelf()) if "left sooner" in f)
    assert said == f"`{at_bench[0].id}` is welded, and the workshop may be left sooner than 30 min after it"


def test_paint_and_sealer_come_after_the_last_weld_at_a_hole() -> None:
    """By its template step 9 of the hole primes, seals and paints it, steps 1 to 8 make it and weld its doubler."""
    work, _ = built(WELD, AGAIN)
    assert first_of(work, "slot.9") >= {"weld-in", "weld-on"}
    assert "slot.8" in first_of(work, "weld-in")
    assert "slot.9" not in first_of(work, "weld-on")


def test_what_minds_heat_goes_to_its_new_home_only_after_the_weld_beside_it() -> None:
    """By hand: the filter's new home begins 50 mm beside the bracket; it is 1100 mm wide of the weld further off."""
    for y_mm, near in ((850.0, True), (-900.0, False)):
        moved = Move(part="filter", to=Pose(at_mm=(60, y_mm, 300)), onto="bulkhead")
        weld = replace(WELD, after=("bracket",), fitted=("bracket",))
        work, _ = worked(scuttle(), Add(component=bracket()), moved, tasks=(weld,))
        off = {d.feature for d in work.tasks["weld-in"].demands if not d.on}
        assert ("filter@new" in off) is near


def test_each_session_with_a_weld_has_its_own_look_before_and_end_after() -> None:
    """By hand: 75 min each with 35 min about it, so two do not fit in one session of 150 min with its setting up."""
    welds = (replace(WELD, after=()), AGAIN)
    saturdays = Repeating(weekday=5, start=time(9), end=time(11, 30), hands=2)
    what = Job(id="job", name="job", changes=(TakeOff(part="horn"),), tasks=welds, repeating=(saturdays,))
    work, _ = worked(scuttle(), *what.changes, tasks=welds)
    plan = scheduled(work, what, shelf(), today=date(2027, 1, 1), limit_s=1.0)
    assert check_plan(work, plan, what, shelf(), date(2027, 1, 1)) == ()
    enter = work.features[WATCH].turn_on
    assert enter is not None
    assert "hot-work-ready" in enter.checks
    hot = [s for s in plan.slots if s.step.ref in {w.id for w in welds}]
    assert len({s.session for s in hot}) == 2
    for weld in hot:
        here = [s for s in plan.slots if s.session == weld.session and s.step.ref == WATCH]
        assert [s.step.on for s in here] == [True, False]
        assert here[0].end <= weld.start
        assert here[1].start >= weld.end


def changed(task: str, **to: object) -> Callable[[WorkList], WorkList]:
    def spoil(work: WorkList) -> WorkList:
        known: Task = replace(work.tasks[task], **to)  # type: ignore[arg-type]
        return replace(work, tasks={**work.tasks, task: known})

    return spoil


def unheld(work: WorkList) -> WorkList:
    holds: dict[str, Hold] = {}
    return replace(work, holds=holds)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (changed("weld-in", hands=1), "`weld-in` brings sparks"),
        (changed("weld-in", minutes=69), "`weld-in` brings sparks"),
        (changed("weld-in", splits=True), "`weld-in` brings sparks"),
        (changed("weld-in", checkpoint=None), "`weld-in` brings sparks"),
        (changed("weld-in", apart=False), "`weld-in` brings sparks, and paint, solvent or fuel"),
        (changed("slot.6", apart=False), "`slot.6` is welded, and paint, solvent or fuel"),
        (changed("slot.9", after=()), "`slot.9` paints or seals what `weld-in` may still heat"),
        (unheld, f"a session may end with `{WATCH}` still to be left"),
    ],
)
def test_the_checker_sees_a_watch_cut_short(spoil: Callable[[WorkList], WorkList], said: str) -> None:
    work, knockons = built(WELD)
    assert any(said in told for told in check_gates(scuttle(), knockons, spoil(work), shelf(), job=job(WELD)))


def test_the_checker_sees_what_minds_heat_beside_the_weld() -> None:
    moved = Move(part="filter", to=Pose(at_mm=(60, 850, 300)), onto="bulkhead")
    changes = (Add(component=bracket()), moved)
    weld = replace(WELD, after=("bracket",), fitted=("bracket",))
    work, knockons = worked(scuttle(), *changes, tasks=(weld,))
    what = Job(id="job", name="job", changes=changes, tasks=(weld,))
    assert check_gates(scuttle(), knockons, work, shelf(), job=what) == ()
    kept = tuple(d for d in work.tasks["weld-in"].demands if d.feature != "filter@new")
    said = check_gates(scuttle(), knockons, changed("weld-in", demands=kept)(work), shelf(), job=what)
    assert any("`filter` in its new place beside it" in told for told in said)
