"""What binds the finish: reasons proved by taking them away, floats by delaying slots, both minute by minute."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from packed_side_by_side import SATURDAY, SETUP_MIN, random_case, side_by_side
from test_pack import catalog, job, on
from worklists import checkpoint, feature, task, work_list

from planner.model.job import Job
from planner.model.plan import Chain, Plan, Slot
from planner.model.work import Buy, Demand, Hold, Task, Toggle, WorkList
from planner.order.binds import Look, binding
from planner.order.calendar import calendar_of

FAR = 10**9


class Minutes:
    """A plan on a bare axis of minutes; the order its steps must keep is worked out from the work list's words."""

    def __init__(self, work: WorkList, plan: Plan, what: Job) -> None:
        self.work, self.plan, self.slots = work, plan, plan.slots
        setup = SETUP_MIN if what.setup_min is None else what.setup_min
        self.bays = []
        for s in plan.sessions:
            day = (s.day - SATURDAY).days * 1440
            opens = day + s.start.hour * 60 + s.start.minute + setup
            closes = day + s.end.hour * 60 + s.end.minute - what.tidy_min
            if closes > opens:
                self.bays.append((opens, closes, s.hands))
        self.start = [self.at(s.start) for s in self.slots]
        self.end = [self.at(s.end) for s in self.slots]
        self.piece = [self.piece_of(s) for s in self.slots]
        self.order = sorted(range(len(self.slots)), key=lambda i: (self.start[i], self.end[i]))
        self.before = self.waits()

    def at(self, moment: datetime) -> int:
        return int((moment - moment.replace(year=2026, month=12, day=5, hour=0, minute=0)).total_seconds()) // 60

    def piece_of(self, slot: Slot) -> Task | Toggle | None:
        if slot.step.on is None:
            return self.work.tasks[slot.step.ref]
        one = self.work.features[slot.step.ref]
        return one.turn_on if slot.step.on else one.turn_off

    def waits(self) -> list[dict[int, int]]:
        """For each slot those that cannot end after it starts, with the wait: what the plan's states rest on."""
        before: list[dict[int, int]] = [{} for _ in self.slots]
        last_part = {(s.step.ref, s.step.on): i for i in self.order for s in (self.slots[i],) if s.step.on is None}
        toggled: dict[str, int] = {}
        users: dict[str, list[int]] = {}
        parts: dict[str, int] = {}
        total = {f: sum(s.step.ref == f and s.step.on is not None for s in self.slots) for f in self.work.features}
        count = dict.fromkeys(self.work.features, 0)
        state = {f.id: f.start for f in self.work.features.values()}

        def put(i: int, other: int, wait: int = 0) -> None:
            before[i][other] = max(wait, before[i].get(other, 0))

        def stands(d: Demand, own: str) -> bool:
            rest = total[d.feature] - count[d.feature] - (d.feature == own)
            return state[d.feature] == d.on and not (d.last and rest)

        for i in self.order:
            slot, piece = self.slots[i], self.piece[i]
            if slot.part > 1:
                put(i, parts[slot.step.ref])
                parts[slot.step.ref] = i
                continue
            parts[slot.step.ref] = i
            demands = piece.demands
            if isinstance(piece, Task):
                for after in piece.after:
                    put(i, last_part[after.task, None], after.lag_min)
                own, me = "", last_part[slot.step.ref, None]
            else:
                for name in piece.after:
                    put(i, last_part[name, None])
                own, me = piece.feature, i
                if piece.ways:
                    demands += next(w for w in piece.ways if all(stands(d, own) for d in w))
            for d in demands:
                if d.feature in toggled and d.feature != own:
                    put(i, toggled[d.feature])
            if own:
                for user, keep in users.pop(own, []):
                    put(i, user, keep)
                if own in toggled:
                    put(i, toggled[own])
                toggled[own] = i
                count[own] += 1
                state[own] = slot.step.on
            for d in demands:
                if d.feature != own:
                    users.setdefault(d.feature, []).append((me, getattr(piece, "keep_min", 0)))
        return before

    def could_start(self, i: int, at: int, *, drop: int | None = None, parcel: bool = True, hands: int = 0,
                    open_all: bool = False, no_wait: bool = False) -> bool:  # fmt: skip
        """Whether slot i could start at a minute, the others where they are; options take rules away."""
        for other, wait in self.before[i].items():
            if other != drop and self.end[other] + (0 if no_wait else wait) > at:
                return False
        if parcel:
            for buy in self.piece[i].purchases:
                if buy in self.plan.arrives and (self.plan.arrives[buy] - SATURDAY).days * 1440 > at:
                    return False
        length = self.end[i] - self.start[i]
        bays = [(0, FAR, max(h for *_, h in self.bays))] if open_all else self.bays
        for opens, closes, most in bays:
            if opens <= at and at + length + self.piece[i].stay_min <= closes and most + hands >= self.piece[i].hands:
                busy = [
                    k for k in range(len(self.slots)) if k != i and self.start[k] < at + length and self.end[k] > at
                ]
                use = [
                    sum(self.piece[k].hands for k in busy if self.start[k] <= t < self.end[k])
                    for t in range(at, at + length)
                ]
                # What is done with nothing beside it has all the hands: one rule, taken away together.
                lone = not hands and any(use) and any(self.piece[k].apart for k in (i, *busy))
                if (max(use, default=0) + self.piece[i].hands <= most + hands and not lone) or length == 0:
                    return True
        return False

    def sooner(self, i: int, **rules: object) -> bool:
        return any(self.could_start(i, at, **rules) for at in range(self.start[i]))

    def lanes(self) -> list[set[int]]:
        """Which pairs of hands do each slot: the lowest numbers that are free when it starts."""
        until = [0] * max(h for *_, h in self.bays)
        given: list[set[int]] = [set() for _ in self.slots]
        for i in self.order:
            if self.end[i] > self.start[i]:
                free = [n for n, end in enumerate(until) if end <= self.start[i]]
                given[i] = set(free if self.piece[i].apart else free[: self.piece[i].hands])
                for n in given[i]:
                    until[n] = self.end[i]
        return given

    def needed(self, i: int, lanes: list[set[int]]) -> int:
        """More hands than this a session must have; what is done with nothing beside it has all there are."""
        return self.piece[i].hands - 1 if self.piece[i].apart else max(lanes[i], default=0)

    def finish_day(self, late: int, end: int) -> int:
        """Finish day when slot ``late`` ends at a given minute and everything after it makes way, in order."""
        lanes, ends = self.lanes(), {}
        free = [0] * max(h for *_, h in self.bays)
        for i in self.order:
            length = self.end[i] - self.start[i]
            at = max([self.start[i], *(ends[m] + w for m, w in self.before[i].items()), *(free[n] for n in lanes[i])])
            if i == late:
                at = max(at, end - length)
            needed, long_min = self.needed(i, lanes), length + self.piece[i].stay_min
            while not any(o <= at and at + long_min <= c and h > needed for o, c, h in self.bays):
                at += 1
                if at > self.bays[-1][1]:
                    return FAR
            ends[i] = at + length
            for n in lanes[i]:
                free[n] = ends[i]
        return max(ends.values()) // 1440


def bound(work: WorkList, what: Job) -> tuple[Plan, Chain]:
    plan = side_by_side(work, what)
    assert plan is not None
    return plan, binding(work, plan, what, catalog(), today=SATURDAY)


def told(work: WorkList, what: Job) -> list[tuple[str, str, str]]:
    plan, chain = bound(work, what)
    return [(plan.slots[t.slot].step.ref, t.sort, t.text) for t in chain.ties]


def reasons_hold(seed: int) -> dict[str, int]:
    """Count the reasons of every slot of a random plan, each proved by taking it away."""
    case = random_case(seed)
    if case is None:
        return {}
    work, what, plan = case
    look, bare = Look(work, plan, calendar_of(what, catalog(), SATURDAY)), Minutes(work, plan, what)
    assert [dict(b) for b in look.row.before] == bare.before
    count: dict[str, int] = {}
    for i in range(len(plan.slots)):
        tie = look.tie(i)
        count[tie.sort] = count.get(tie.sort, 0) + 1
        where = f"seed {seed}: {tie}"
        assert bare.sooner(i) == (tie.sort == "free"), where
        if tie.sort not in {"hands", "free"} and bare.piece[i].hands == 1:
            # More hands alone would not do.
            assert not bare.sooner(i, hands=4), where
        if tie.sort in {"hands", "session"}:
            # A parcel or a wait may end no sooner than the next session with the hands opens: then both hold it.
            also = {"parcel": False, "no_wait": True} if tie.sort == "hands" else {"parcel": False, "open_all": True}
            alone = {"open_all": True} if tie.sort == "session" else {}
            assert bare.sooner(i, hands=4, **alone) or bare.sooner(i, hands=4, **also), where
        elif tie.sort == "parcel":
            assert bare.sooner(i, parcel=False, hands=4), where
        elif tie.sort == "wait":
            assert bare.sooner(i, no_wait=True, hands=4), where
        elif tie.sort == "step":
            ends = [bare.end[m] + w for m, w in bare.before[i].items()]
            assert bare.end[tie.after] == max(ends) == bare.start[i], where
            if ends.count(max(ends)) == 1 and tie.after is not None:
                assert bare.sooner(i, drop=tie.after, hands=4, open_all=True), where
        elif tie.sort == "start":
            assert bare.start[i] == bare.bays[0][0], where
    return count


def floats_hold(seed: int) -> int:
    """Delay each slot of a random plan by its float, then to the next end it can have: the day holds, then does not."""
    case = random_case(seed)
    if case is None:
        return 0
    work, what, plan = case
    bare = Minutes(work, plan, what)
    floats = binding(work, plan, what, catalog(), today=SATURDAY).float_min
    day = max(bare.end) // 1440
    lanes = bare.lanes()
    for i, room in enumerate(floats):
        where = f"seed {seed}, slot {i}: {room}"
        assert room >= 0, where
        assert bare.finish_day(i, bare.end[i] + room) == day, where
        length, needed = bare.end[i] - bare.start[i], bare.needed(i, lanes)
        more, stay_min = bare.end[i] + room + 1, bare.piece[i].stay_min
        while more <= bare.bays[-1][1] and not any(
            o <= more - length and more + stay_min <= c and h > needed for o, c, h in bare.bays
        ):
            more += 1
        assert bare.finish_day(i, more) > day, where
    return len(floats)


def test_every_reason_goes_away_with_its_cause() -> None:
    count: dict[str, int] = {}
    for seed in range(40):
        for sort, n in reasons_hold(seed).items():
            count[sort] = count.get(sort, 0) + n
    assert {"step", "wait", "hands", "parcel", "session", "start"} <= set(count), count


def test_floats_are_what_can_slip() -> None:
    assert sum(floats_hold(seed) for seed in range(25)) > 60


@pytest.mark.slow
def test_reasons_and_floats_often() -> None:
    assert sum(bool(reasons_hold(seed)) for seed in range(2000, 2450)) > 150
    assert sum(floats_hold(seed) for seed in range(2000, 2300)) > 800


def test_the_chain_runs_from_the_last_slot_back_without_a_gap() -> None:
    seen = 0
    for seed in range(60, 90):
        case = random_case(seed)
        if case is None:
            continue
        work, what, plan = case
        chain = binding(work, plan, what, catalog(), today=SATURDAY)
        assert plan.slots[chain.ties[-1].slot].end == plan.finish
        for tie, later in zip(chain.ties, chain.ties[1:], strict=False):
            assert later.after == tie.slot
            assert plan.slots[tie.slot].start <= plan.slots[later.slot].start
        assert chain.ties[0].after is None
        seen += 1
    assert seen > 12


def test_words_of_a_step_and_of_the_start() -> None:
    work = work_list([feature("seat")], [task("cut", 60, demands=["not seat"]), task("file", 20, after=["cut"])])
    assert told(work, job(on(SATURDAY, 9, 13, hands=2), setup_min=15)) == [
        ("seat", "start", "work begins with the first session"),
        ("cut", "step", "needs `Take off the seat` done first"),
        ("file", "step", "comes after `cut`"),
    ]


def test_words_of_a_state_that_is_still_needed() -> None:
    work = work_list([feature("seat")], [task("cut", 60, demands=["not seat"])])
    assert told(work, job(on(SATURDAY, 9, 13)))[-1] == (
        "seat", "step", "`cut` comes before it and needs things as they are (seat)",
    )  # fmt: skip


def test_words_of_a_checkpoint() -> None:
    work = work_list([], [task("look", checkpoint="welds"), task("paint")], [checkpoint("welds", ["paint"])])
    assert told(work, job(on(SATURDAY, 9, 13)))[-1] == ("paint", "step", "`look` must be passed before it")


def test_words_of_a_cure() -> None:
    work = work_list([], [task("paint", 30), task("fit", 30, after=[("paint", 720)])])
    assert told(work, job(on(SATURDAY, 9, 23)))[-1] == (
        "fit", "wait", "waits 12 h after `paint`, until Sat 5 Dec 21:45",
    )  # fmt: skip
    sunday = job(on(SATURDAY, 9, 13), on(SATURDAY + timedelta(days=1), 9, 13))
    assert told(work, sunday)[-1][2] == (
        "waits 12 h after `paint`, until Sat 5 Dec 21:45; the next session with time for it opens Sun 6 Dec 09:15"
    )


def test_words_of_a_state_left_alone() -> None:
    glue = replace(task("glue", 30, demands=["not seat"]), keep_min=90)
    work = work_list([feature("seat")], [glue])
    assert told(work, job(on(SATURDAY, 9, 13)))[-1] == (
        "seat", "wait", "seat is left alone for 1 h 30 min after `glue`, until Sat 5 Dec 11:25",
    )  # fmt: skip


def test_words_of_hands() -> None:
    work = work_list([], [task("measure", 30), task("file", 45)])
    assert told(work, job(on(SATURDAY, 9, 13)))[-1] == ("file", "hands", "hands are at `measure` until Sat 5 Dec 09:45")
    alone = job(on(SATURDAY, 9, 13), on(date(2026, 12, 12), 9, 13, hands=2))
    lift = work_list([], [task("measure", 30), task("lift", 45, hands=2, after=["measure"])])
    assert told(lift, alone)[-1] == (
        "lift", "hands", "takes 2 pairs of hands: after `measure` no session before this one has so many",
    )  # fmt: skip


def test_words_of_a_parcel() -> None:
    kit = Buy(id="kit", what="pump kit", price=1, lead_days=5, for_part="")
    work = work_list([], [task("fit", purchases=["kit"])], buys=[kit])
    two = job(on(SATURDAY, 9, 13), on(date(2026, 12, 12), 9, 13))
    assert told(work, two) == [
        ("fit", "parcel", "`pump kit` arrives Thu 10 Dec; the next session with time for it opens Sat 12 Dec 09:15")
    ]


def test_words_of_a_session_too_short() -> None:
    work = work_list([], [task("cut", 30), task("weld", 200, after=["cut"])])
    two = job(on(SATURDAY, 9, 13), on(date(2026, 12, 6), 9, 13))
    assert told(work, two)[-1] == (
        "weld", "session",
        "after `cut` no session before this one has more than 3 h 15 min left for it; it takes 3 h 20 min",
    )  # fmt: skip


def test_words_of_a_part_and_of_no_session() -> None:
    work = work_list([], [replace(task("weld", 300), splits=True)])
    two = job(on(SATURDAY, 9, 13), on(date(2026, 12, 6), 9, 13))
    plan, chain = bound(work, two)
    assert [s.part for s in plan.slots] == [1, 2]
    assert [t.text for t in chain.ties] == [
        "work begins with the first session", "after `weld` no session before this one",
    ]  # fmt: skip


def test_a_hold_is_a_reason() -> None:
    """The seat could come off on Saturday, had it not to be in when Saturday's session ends."""
    hold = Hold(
        id="sits", title="Car can be driven off", demands=(Demand(feature="seat", on=True),), days=frozenset({SATURDAY})
    )
    work = replace(work_list([feature("seat")], [task("cut", 60, demands=["not seat"])]), holds={"sits": hold})
    late = job(on(date(2026, 12, 6), 9, 13))
    plan = side_by_side(work, late, today=SATURDAY)
    assert plan is not None
    both = job(on(SATURDAY, 9, 13), on(date(2026, 12, 6), 9, 13))
    moved = replace(plan, slots=tuple(replace(s, session=1) for s in plan.slots))
    chain = binding(work, moved, both, catalog(), today=SATURDAY)
    assert chain.ties[0].sort == "hold"
    assert "`Car can be driven off` at the end of the session on Sat 5 Dec" in chain.ties[0].text
    free = binding(replace(work, holds={}), moved, both, catalog(), today=SATURDAY)
    assert free.ties[0].sort == "free"


def test_a_plan_without_slots_has_no_chain() -> None:
    work = work_list([], [task("a")])
    plan = side_by_side(work, job(on(SATURDAY, 9, 13)))
    assert plan is not None
    empty = binding(work, replace(plan, slots=()), job(on(SATURDAY, 9, 13)), catalog(), today=SATURDAY)
    assert empty == Chain(ties=(), float_min=())


def test_float_by_hand() -> None:
    """Saturday 9:15 to 13:00: an hour's row ends at 10:15, so each step may end 2 h 45 min later."""
    work = work_list([], [task("a", 40), task("b", 20, after=["a"]), task("c", 60)])
    _, chain = bound(work, job(on(SATURDAY, 9, 13, hands=2)))
    plan, _ = bound(work, job(on(SATURDAY, 9, 13, hands=2)))
    by_ref = {s.step.ref: f for s, f in zip(plan.slots, chain.float_min, strict=True)}
    assert by_ref == {"a": 165, "b": 165, "c": 165}


def test_of_two_that_end_together_the_chain_goes_by_the_one_that_could_not_have_been_sooner() -> None:
    """By hand: `press` runs 9:15 to 10:15, `say` takes no time and might be said at 9:15 as well as at 10:15."""
    work = work_list([], [task("press", 60), task("say", 0), task("start", 10, after=["press", "say"])])
    two = job(on(SATURDAY, 9, 13, hands=2))
    plan = side_by_side(work, two)
    assert plan is not None
    ends = {s.step.ref: s.end for s in plan.slots}
    late = [
        replace(s, start=ends["press"], end=ends["press"]) if s.step.ref == "say" else s
        for s in sorted(plan.slots, key=lambda s: (s.step.ref == "start", s.step.ref == "say"))
    ]
    chain = binding(work, replace(plan, slots=tuple(late)), two, catalog(), today=SATURDAY)
    assert [late[t.slot].step.ref for t in chain.ties] == ["press", "start"]
    assert [t.text for t in chain.ties] == ["work begins with the first session", "comes after `press`"]


def test_what_would_be_held_up_by_hand() -> None:
    """In a row on a Saturday from 9:15 to 13:00: `a` would hold up `b`, `b` and `c` only the end."""
    work = work_list([], [task("a", 40), task("b", 20, after=["a"]), task("c", 60)])
    plan, chain = bound(work, job(on(SATURDAY, 9, 13, hands=2)))
    place = {s.step.ref: n for n, s in enumerate(plan.slots)}
    assert [chain.held[place[ref]] for ref in "abc"] == [place["b"], None, None]
