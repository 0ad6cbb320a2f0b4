"""The checker sees a mending that is lost, done in the wrong state, too late, without a word, or not looked at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time

import pytest
from workshop import scuttle, shelf, worked

from planner.model.job import Job, Mending, OwnTask, TakeOff
from planner.model.log import FoundLine, UndoLine
from planner.model.standing import Standing
from planner.model.words import Deed
from planner.model.work import After, Feature, Task, WorkList
from planner.verify import check_found, check_gates
from planner.work import amended

ID = "found-7"
WELDED = OwnTask(
    id=ID,
    title="Weld the crack",
    minutes=60,
    mending=Mending(
        does=(Deed.WELD, Deed.CUT, Deed.OPEN, Deed.UNDER),
        on="union",
        opens=("coolant",),
        ahead=("horn",),
    ),
)
PLAIN = OwnTask(id=ID, title="Tidy up", minutes=60, mending=Mending(does=(Deed.PLAIN,), ahead=("check.lamps-work",)))
TANK = OwnTask(
    id=ID,
    title="Braze the seam",
    minutes=60,
    off=("filter",),
    mending=Mending(does=(Deed.WELD, Deed.GRIND), on="filter", ahead=("filter",)),
)
AT_BENCH = OwnTask(
    id=ID,
    title="Weld the lug",
    minutes=60,
    off=("master",),
    mending=Mending(does=(Deed.WELD, Deed.UNSAID), on="master", ahead=("master",)),
)
Spoil = Callable[[WorkList], WorkList]


def told(own: OwnTask, spoil: Spoil = lambda work: work) -> tuple[str, ...]:
    job = Job(id="job", name="job", changes=(TakeOff(part="horn"),), tasks=(own,))
    work, knockons = worked(scuttle(), *job.changes, tasks=job.tasks)
    return check_gates(scuttle(), knockons, spoil(work), shelf(), job=job)


def changed(task: str, change: Callable[[Task], Task]) -> Spoil:
    return lambda work: replace(work, tasks={**work.tasks, task: change(work.tasks[task])})


def without_demand(feature: str) -> Spoil:
    return changed(ID, lambda t: replace(t, demands=tuple(d for d in t.demands if d.feature != feature)))


def without_caution(words: str) -> Spoil:
    return changed(ID, lambda t: replace(t, cautions=tuple(c for c in t.cautions if words not in c)))


def not_after(task: str) -> Spoil:
    return changed(task, lambda t: replace(t, after=tuple(a for a in t.after if a.task != ID)))


def fitted_at_once(body: str) -> Spoil:
    def spoil(work: WorkList) -> WorkList:
        known = work.features[body]
        assert known.turn_on is not None
        free: Feature = replace(known, turn_on=replace(known.turn_on, after=()))
        return replace(work, features={**work.features, body: free})

    return spoil


def lost(work: WorkList) -> WorkList:
    tasks = {i: replace(t, after=tuple(a for a in t.after if a.task != ID)) for i, t in work.tasks.items() if i != ID}
    features = {
        i: replace(
            f,
            turn_on=None
            if f.turn_on is None
            else replace(f.turn_on, after=tuple(a for a in f.turn_on.after if a != ID)),
        )
        for i, f in work.features.items()
    }
    return replace(work, tasks=tasks, features=features)


def unlooked(work: WorkList) -> WorkList:
    """The check that any mending calls for is gone, with its task."""
    points = {i: c for i, c in work.checkpoints.items() if i != "mended-look"}
    tasks = {
        i: replace(t, after=tuple(a for a in t.after if a.task != "check.mended-look"))
        for i, t in work.tasks.items()
        if i != "check.mended-look"
    }
    return replace(work, checkpoints=points, tasks=tasks)


@pytest.mark.parametrize("own", [WELDED, PLAIN, AT_BENCH, TANK])
def test_a_mending_as_it_is_planned_is_sound(own: OwnTask) -> None:
    assert told(own) == ()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        *(
            (without_demand(f"state:{state}"), f"mending `{ID}` may be done while `{state}` does not hold")
            for state in (*shelf().hot_conditions, "on-stands")
        ),
        (without_demand("circuit:coolant"), "it may be done while that is closed"),
        # By hand: 150 mm from face to face, and a pipe that ends at the union.
        (without_demand("master"), "while `master` is on the vehicle: it minds the heat"),
        (without_demand("front-pipe"), "while `front-pipe` is on the vehicle: it minds the heat"),
        (without_caution("Mask, gloves"), "does not say the caution of `welding`"),
        (without_caution("Extinguisher and water"), "does not say the caution of `hot work`"),
        (without_caution("Never under a vehicle"), "does not say the caution of `lifting`"),
        (without_caution("Brakes keep people alive"), "does not say the caution of `brakes`"),
        (fitted_at_once("horn"), "`horn` may be fitted before mending"),
        (not_after("check.mended-look"), "`check.mended-look` may be made before mending"),
        (not_after(f"check.weld-look.{ID}"), f"`check.weld-look.{ID}` may be made before mending"),
        (changed(ID, lambda t: replace(t, checkpoint=None)), "rule `fire-watch` holds the road test back"),
        (lost, f"mending `{ID}` is not among the tasks"),
        (unlooked, "rule `mended-look` is called for"),
    ],
)
def test_what_a_mending_on_the_vehicle_lacks_is_seen(spoil: Spoil, words: str) -> None:
    assert [line for line in told(WELDED, spoil) if words in line]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (without_demand("master"), "while `master` is on the vehicle: it is mended at the bench"),
        (fitted_at_once("master"), "`master` may be fitted before mending"),
        (without_caution("Nobody said"), "does not say that nobody knows what it does"),
        (
            changed("check.mended-look", lambda t: replace(t, demands=())),
            "`check.mended-look` may be made before `master`, or undone after it",
        ),
    ],
)
def test_what_a_mending_at_the_bench_lacks_is_seen(spoil: Spoil, words: str) -> None:
    assert [line for line in told(AT_BENCH, spoil) if words in line]


def test_heat_at_what_holds_fuel_in_its_place_is_seen() -> None:
    """29 CFR 1910.252(a)(3)(i): no welding on used containers before no flammable vapour is left in them."""
    in_place = told(replace(TANK, off=()))
    assert [line for line in in_place if "brings heat or sparks to `filter` on the vehicle" in line]
    assert [line for line in told(TANK, without_caution("explodes")) if "does not say that what held fuel" in line]


def test_who_does_it_is_named_before_the_heat() -> None:
    spoil = changed(ID, lambda t: replace(t, after=()))
    assert f"mending `{ID}` may be done before `check.specialist-named`" in told(TANK, spoil)


def test_a_watch_for_fire_that_may_last_till_the_next_session_is_seen() -> None:
    """29 CFR 1910.252(a)(2)(iii): watched for at least half an hour after; so whoever watches has not gone home."""
    (line,) = told(WELDED, lambda work: replace(work, holds={}))
    assert "a session may end with" in line
    assert "fire-watch-ready" in line


def test_a_mending_after_what_it_comes_before_is_seen() -> None:
    assert [line for line in told(PLAIN, not_after("check.lamps-work")) if "`check.lamps-work` may be done" in line]


def test_a_mending_after_the_engine_is_started_is_seen() -> None:
    def late(work: WorkList) -> WorkList:
        known = work.tasks[ID]
        return replace(lost(work), tasks={**lost(work).tasks, ID: replace(known, after=(After(task="road-test"),))})

    assert [line for line in told(PLAIN, late) if "after the engine is started" in line]


FOUND = FoundLine(
    n=2, at=datetime(2027, 2, 4, 10), id="found-2", title="a crack", minutes=45, before=("horn",), off=("tank",),  # noqa: DTZ001
    does=(Deed.WELD,), on="union", spot_mm=(1.0, 2.0, 3.0),
)  # fmt: skip
JOB = amended(
    Job(id="job", name="job", changes=()), Standing(found=(FOUND,)), datetime.combine(date(2027, 2, 4), time(10)), 0
)


def test_a_job_with_all_that_was_found_is_sound() -> None:
    assert check_found(JOB, [FOUND]) == ()
    assert check_found(replace(JOB, tasks=()), [FOUND, UndoLine(n=3, cancels=2)]) == ()


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"mending": None}, "does weld, and the job does not know it"),
        ({"mending": Mending(does=(Deed.GRIND,), on="union", spot_mm=(1.0, 2.0, 3.0))}, "does weld"),
        ({"mending": Mending(does=(Deed.WELD,), on="seat", spot_mm=(1.0, 2.0, 3.0))}, "was found at `union`"),
        ({"mending": Mending(does=(Deed.WELD,), on="union")}, "was found at `union`"),
        ({"off": ()}, "with `tank` off"),
        ({"before": ()}, "comes before `horn`"),
    ],
)
def test_what_a_job_does_not_know_of_its_log_is_seen(more: dict[str, object], words: str) -> None:
    (task,) = JOB.tasks
    (line,) = check_found(replace(JOB, tasks=(replace(task, **more),)), [FOUND])  # type: ignore[arg-type]
    assert words in line


def test_a_find_that_is_lost_is_seen() -> None:
    (line,) = check_found(replace(JOB, tasks=()), [FOUND])
    assert "`found-2` was found (a crack) and the job does not know of it" in line
