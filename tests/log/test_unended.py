"""A watch still on when its day is over, and one that failed: what is told, what waits, what is done again.

29 CFR 1910.252(a)(2)(iii): a fire watch is kept for half an hour after the last spark. That a watch nobody ended is
looked into before other work is common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from types import SimpleNamespace

import pytest
from cli.shed import catalog

from planner.log import fold, lacks_of, open_keys, unproved
from planner.log.rewatched import with_rewatched
from planner.log.unended import ending_key, heated_in, unended_words
from planner.model.log import DoneLine, Entry, SignedLine, Verdict
from planner.model.plan import NOTHING_LEFT, Slot, Step
from planner.model.standing import Agreed, Standing
from planner.model.steps import ended_id, mending_id
from planner.model.words import Work
from planner.model.work import Checkpoint, Demand, Feature, Hold, Task, Toggle, WorkList
from planner.verify import check_left
from planner.work import left_of, with_mending
from planner.work.watch import watch_holds

EVENING = datetime(2027, 2, 2, 19, 0)  # noqa: DTZ001  # wall-clock time of one workshop
DAY_AFTER = EVENING + timedelta(days=1)
WATCH = "state:watch"
SIGNED = "watched"
KEYS = ("saw", f"{WATCH}:on#1", "weld", f"{WATCH}:off#1", "paint")


def point(name: str, *, unit: str = "", low: float | None = None) -> Checkpoint:
    return Checkpoint(
        id=name, rule=name, subject="", title=name, measure="look", limit="at least 30 min", unit=unit, low=low,
        high=None, blocks=("road",), blocked=(), caution="", why="", also=(),
        source="common practice, no published source",
    )  # fmt: skip


def toggle(*, on: bool) -> Toggle:
    checks = ("set-up",) if on else ()
    title = f"watch {'set up' if on else 'over'}"
    return Toggle(feature=WATCH, on=on, title=title, work=Work.PLANNING, minutes=10, hands=1, checks=checks)


def work_list(*, held: bool = True) -> WorkList:
    weld = Task(
        id="weld", title="Weld the crack", work=Work.WELDING, minutes=90, hands=2, checkpoint=SIGNED,
        demands=(Demand(feature=WATCH, on=True),), tools=("welder",),
    )  # fmt: skip
    saw = Task(id="saw", title="Saw", work=Work.CUTTING, minutes=20)
    paint = Task(id="paint", title="Paint", work=Work.FINISHING, minutes=20)
    feature = Feature(
        id=WATCH, name="watch", start=False, goal=False, turn_on=toggle(on=True), turn_off=toggle(on=False)
    )
    hold = Hold(id=f"left:{WATCH}", title="nobody goes home", demands=(Demand(feature=WATCH, on=False),))
    return WorkList(
        features={WATCH: feature},
        tasks={t.id: t for t in (saw, weld, paint)},
        checkpoints={SIGNED: point(SIGNED, unit="min", low=30.0), "set-up": point("set-up")},
        buys={},
        holds={hold.id: hold} if held else {},
    )


def agreed(work: WorkList) -> Agreed:
    return Agreed(
        made=date(2027, 2, 1), project="car", job="job", option=None, inputs={}, pace={}, homes={}, work=work,
        plan=NOTHING_LEFT, keys=KEYS, named={k: n for n, k in enumerate(KEYS, start=1)},
    )  # fmt: skip


def lines(*keys: str, at: datetime = EVENING) -> list[Entry]:
    done = [DoneLine(n=n, at=at, key=k, guess_min=5, work="planning") for n, k in enumerate(keys, start=1)]
    signed = SignedLine(n=len(done) + 1, at=at, checkpoint="set-up", key="", verdict=Verdict.PASSED, limit="", by="AB")
    return [*done, signed]


def failed(text: str, value: float | None, redo: tuple[str, ...] = (), why: str = "") -> list[Entry]:
    found = lines("saw", f"{WATCH}:on#1")
    line = SignedLine(
        n=len(found) + 1, at=EVENING, checkpoint=SIGNED, key="weld", verdict=Verdict.FAILED, limit="at least 30 min",
        text=text, value=value, by="AB", redo=redo, why=why,
    )  # fmt: skip
    return [*found, line]


def standing(entries: list[Entry], work: WorkList, now: datetime | None = DAY_AFTER) -> Standing:
    return fold(entries, agreed(work).basis, now)


def ready(there: Agreed, now: Standing) -> list[str]:
    return [k for k in open_keys(there, now) if not lacks_of(there, now, k)]


def test_the_day_after_only_the_look_can_be_done_and_it_is_told_why() -> None:
    there = agreed(work_list())
    now = standing(lines("saw", f"{WATCH}:on#1"), there.work)
    (told,) = unended_words(there, now)
    assert "watch, set up Tue 2 Feb 2027" in told
    assert list(heated_in(there, now, WATCH)) == ["weld"]
    assert ready(there, now) == [f"{WATCH}:off#1"] == [ending_key(there, now, WATCH)]
    (lack,) = lacks_of(there, now, "weld")
    assert (lack.number, lack.gate) == (4, True)
    looked = standing([*lines("saw", f"{WATCH}:on#1"), *_next(f"{WATCH}:off#1")], there.work)
    assert not looked.unended
    assert ready(there, looked) == ["paint"]
    assert [one.text for one in lacks_of(there, looked, "weld")] == ["watch: not yet"]


def _next(key: str) -> list[Entry]:
    return [DoneLine(n=9, at=DAY_AFTER, key=key, guess_min=5, work="planning")]


@pytest.mark.parametrize("now", [None, EVENING + timedelta(hours=3)])
def test_the_same_evening_and_where_nobody_asks_the_watch_is_on(now: datetime | None) -> None:
    there = agreed(work_list())
    known = standing(lines("saw", f"{WATCH}:on#1"), there.work, now)
    assert not known.unended
    assert "weld" in ready(there, known)


def test_plans_without_that_rule_are_read_as_ever() -> None:
    """An earlier program let a watch last for days: what was done under it stays done."""
    there = agreed(work_list(held=False))
    assert not standing(lines("saw", f"{WATCH}:on#1"), there.work).unended


def test_the_check_of_its_setting_up_is_not_asked_for_any_more() -> None:
    there = agreed(work_list())
    unsigned = lines("saw", f"{WATCH}:on#1")[:-1]
    assert unproved(there, standing(unsigned, there.work, EVENING)) == ("set-up",)
    assert unproved(there, standing(unsigned, there.work)) == ()


def test_a_plan_for_what_is_left_looks_first_and_takes_the_watch_as_ended() -> None:
    work, entries = work_list(), lines("saw", f"{WATCH}:on#1")
    now = standing(entries, work)
    whole = with_mending(work, now)
    look = ended_id(WATCH, 1)
    left = left_of(whole, now, DAY_AFTER.date())
    assert left.features[WATCH].start is False
    assert all(any(a.task == look for a in left.tasks[t].after) for t in ("weld", "paint"))
    assert all(look in t.after for t in left.features[WATCH].toggles)
    assert "Weld the crack" in left.tasks[look].notes[0]
    assert all(a.task != look for a in whole.tasks["saw"].after), "what is done is not undone by a look"
    over = standing([*entries, *_next(look)], whole)
    assert not over.unended
    assert over.states[WATCH] is False


def test_the_watches_of_the_catalog_end_with_their_session() -> None:
    holds = watch_holds(SimpleNamespace(catalog=catalog()))  # type: ignore[arg-type]  # it looks at nothing else
    assert replace(work_list(held=False), holds=holds).ending == {"state:fire-watch-ready"}


def slots(*steps: Step, minutes: int = 30) -> tuple[Slot, ...]:
    times = [DAY_AFTER + timedelta(minutes=minutes * i) for i in range(len(steps) + 1)]
    return tuple(Slot(step=s, session=0, start=times[i], end=times[i + 1]) for i, s in enumerate(steps))


def test_the_checker_refuses_a_plan_that_looks_too_late_or_not_at_all() -> None:
    work, entries = work_list(), lines("saw", f"{WATCH}:on#1")
    whole = with_mending(work, standing(entries, work))
    look, hot = Step(ref=ended_id(WATCH, 1)), (Step(ref=WATCH, on=True), Step(ref="weld"), Step(ref=WATCH, on=False))
    paint = Step(ref="paint")
    today = DAY_AFTER.date()

    def told(*steps: Step, asked: date | None = today) -> tuple[str, ...]:
        return check_left(whole, replace(NOTHING_LEFT, slots=slots(*steps)), entries, asked)

    assert [f for f in told(look, paint, *hot) if "checkpoint" not in f] == []
    assert any("`paint` comes before the look" in f for f in told(paint, look, *hot))
    assert any("nobody is to look" in f for f in told(paint, *hot))
    assert not any("look at" in f for f in told(paint, *hot, asked=EVENING.date()))


def test_of_a_watch_that_failed_the_weld_stays_and_the_watch_is_kept_once_more() -> None:
    work = work_list()
    short = standing(failed("20 yes", 20.0), work, EVENING)
    weld = with_mending(work, short).tasks["weld"]
    assert (weld.minutes, weld.hands, weld.tools, weld.checkpoint) == (30, 1, (), SIGNED)
    assert weld.demands == work.tasks["weld"].demands
    assert weld.title == "Only watch once more, the work itself is done: Weld the crack"
    assert with_rewatched(with_rewatched(work, short), short).tasks["weld"] == weld
    assert mending_id("weld", 1) not in with_mending(work, short).tasks, "too short: there is nothing to put right"


@pytest.mark.parametrize("entries", [failed("35 no", 35.0), failed("20 no", 20.0), failed("", None, why="smoke")])
def test_what_was_warm_is_put_right_before_it_is_watched_once_more(entries: list[Entry]) -> None:
    work = work_list()
    tasks = with_mending(work, standing(entries, work, EVENING)).tasks
    mend = mending_id("weld", 1)
    assert tasks["weld"].minutes == 30
    assert any(a.task == mend for a in tasks["weld"].after)
    assert tasks[mend].minutes > 0


def test_who_says_so_welds_it_again() -> None:
    work = work_list()
    found = with_mending(work, standing(failed("35 no", 35.0, redo=("weld",)), work, EVENING)).tasks["weld"]
    assert (found.minutes, found.title) == (90, "Weld the crack")


def test_the_checker_refuses_a_watch_that_is_too_short_once_more() -> None:
    work, entries = work_list(), failed("20 yes", 20.0)
    whole = with_mending(work, standing(entries, work, EVENING))
    steps = (Step(ref="weld"), Step(ref=WATCH, on=False), Step(ref="paint"))
    told = [
        check_left(whole, replace(NOTHING_LEFT, slots=slots(*steps, minutes=m)), entries, EVENING.date())
        for m in (30, 29)
    ]
    assert told[0] == ()
    assert told[1] == ("the watch of `weld` failed and is not kept for 30 min once more",)


def test_the_same_evening_the_watch_is_not_left_before_it_is_kept() -> None:
    work, entries = work_list(), failed("20 yes", 20.0)
    whole = with_mending(work, standing(entries, work, EVENING))
    leaving = whole.features[WATCH].turn_off
    assert leaving is not None
    assert "weld" in leaving.after
    off, again, on = Step(ref=WATCH, on=False), Step(ref="weld"), Step(ref=WATCH, on=True)
    steps = slots(off, on, again, off, Step(ref="paint"))
    late = check_left(whole, replace(NOTHING_LEFT, slots=steps), entries, EVENING.date())
    assert late == (f"`{WATCH}` is left before the watch of `weld`, which failed, is kept once more",)
    # Days later it was taken as ended: nothing holds it on.
    over = with_mending(work, standing(entries, work)).features[WATCH].turn_off
    assert over is not None
    assert "weld" not in over.after
