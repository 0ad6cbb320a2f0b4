"""Plans for tests: greedy packing beside one another, with tasks that are split, without any of our packers."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from test_pack import on
from worklists import random_work

from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot, Strip
from planner.model.work import Buy, Spread, Task, WorkList
from planner.order import least_strip
from planner.order.sessions import sessions_from
from planner.order.strip_bounds import Node
from planner.order.thread import piece_of, step_of, thread_of

SATURDAY = date(2026, 12, 5)
SETUP_MIN = 15


def side_by_side(work: WorkList, what: Job, *, today: date = SATURDAY) -> Plan | None:
    """Start whatever may start, in the order of the strip-down, as soon as there are hands; None: it does not fit."""
    strip = least_strip(work)
    if not strip.steps:
        return None
    first = today if what.start is None else max(today, what.start)
    arrives = {b.id: first + timedelta(days=b.lead_days) for b in work.buys.values()}
    sessions = sessions_from(what, today)
    placed = _placed(work, strip, what, sessions, arrives)
    if placed is None:
        return None
    total = Counter(node for node, *_ in placed)
    count: Counter[Node] = Counter()
    slots = []
    for node, number, start, end in placed:
        count[node] += 1
        step = step_of(node, work)
        slots.append(Slot(step=step, session=number, start=start, end=end, part=count[node], parts=total[node]))
    return Plan(
        strip=strip,
        sessions=sessions,
        slots=tuple(slots),
        why=("",) * len(slots),
        order_by={},
        arrives=arrives,
        finish=max(s.end for s in slots),
        work_min=0,
    )


def _placed(
    work: WorkList, strip: Strip, what: Job, sessions: Sequence[Session], arrives: Mapping[str, date]
) -> list[tuple[Node, int, datetime, datetime]] | None:
    """Node, session, start and end, minute by minute; None when something does not fit."""
    thread = thread_of(work, strip.steps)
    pieces = {n: piece_of(n, work) for n in thread.nodes}
    setup_min = SETUP_MIN if what.setup_min is None else what.setup_min
    ends: dict[Node, datetime] = {}
    left = list(thread.nodes)
    gone = dict.fromkeys(left, 0)
    found: list[tuple[Node, int, datetime, datetime]] = []

    def length(node: Node, now: datetime, room: int, hands: int) -> int | None:
        """How long a step can go on from now; None: it cannot start."""
        piece = pieces[node]
        if node in at_work or piece.hands + sum(pieces[m].hands for m, end in at_work.items() if end > now) > hands:
            return None
        others = [pieces[m] for m, end in at_work.items() if end > now]
        if others and (piece.apart or any(other.apart for other in others)):
            return None
        waits = thread.before[node].items()
        if any(m not in ends or ends[m] + timedelta(minutes=lag) > now for m, lag in waits):
            return None
        if any(b in arrives and now.date() < arrives[b] for b in piece.purchases):
            return None
        rest, room = piece.minutes - gone[node], room - piece.stay_min
        if rest <= room:
            return rest
        return room if isinstance(piece, Task) and piece.splits and room > 0 else None

    for number, session in enumerate(sessions):
        now = datetime.combine(session.day, session.start) + timedelta(minutes=setup_min)
        close = datetime.combine(session.day, session.end) - timedelta(minutes=what.tidy_min)
        at_work: dict[Node, datetime] = {}
        while now <= close:
            room = int((close - now).total_seconds()) // 60
            fits = ((n, length(n, now, room, session.hands)) for n in left)
            node, took = next(((n, m) for n, m in fits if m is not None), (None, 0))
            if node is None:
                now += timedelta(minutes=1)
                continue
            at_work[node] = now + timedelta(minutes=took)
            found.append((node, number, now, at_work[node]))
            gone[node] += took
            if gone[node] == pieces[node].minutes:
                ends[node] = at_work[node]
                left.remove(node)
    return None if left else found


def random_case(seed: int) -> tuple[WorkList, Job, Plan] | None:
    """A random work list with waits, cures, stays, parcels, spreads, in random sessions; None when it has no plan."""
    dice, lone, stays = (random.Random(s) for s in (seed, f"apart {seed}", f"stays {seed}"))
    base = random_work(seed, most_features=4, most_tasks=7)
    buys = {f"b{i}": Buy(id=f"b{i}", what=f"b{i}", price=1, lead_days=dice.randrange(5), for_part="") for i in range(2)}
    tasks = {}
    for t in base.tasks.values():
        minutes = dice.choice([0, 5, 20, 45, 90, 150])
        spread = Spread(
            low_min=minutes - dice.randrange(minutes // 2 + 1), high_min=minutes + dice.randrange(2 * minutes + 1)
        )
        after = tuple(replace(a, lag_min=dice.choice([0, 0, 30, 700])) for a in t.after)
        tasks[t.id] = replace(
            t,
            minutes=minutes,
            hands=dice.choice([1, 1, 1, 2]),
            after=after,
            keep_min=dice.choice([0, 0, 60]),
            spread=dice.choice([None, spread]),
            splits=dice.random() < 0.5,
            purchases=tuple(b for b in buys if dice.random() < 0.1),
            apart=lone.random() < 0.15,
            stay_min=stays.choice([0, 0, 0, 30]),
        )
    work = replace(base, tasks=tasks, buys=buys)
    what = Job(id="job", name="job", changes=(), sessions=random_sessions(dice), setup_min=SETUP_MIN)
    plan = side_by_side(work, what)
    return None if plan is None else (work, what, plan)


def random_sessions(dice: random.Random, days: int = 14) -> tuple[Session, ...]:
    found = [on(SATURDAY, 9, 13, hands=2)]
    for n in range(1, days):
        if dice.random() < 0.6:
            start = dice.randrange(8, 18)
            found.append(
                on(SATURDAY + timedelta(days=n), start, start + dice.randint(1, 5), hands=dice.choice([1, 2, 2, 3]))
            )
    return tuple(found)
