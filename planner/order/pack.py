"""Packing of the steps into dated work sessions.

List scheduling on the precedence that the strip-down's own choices leave (:mod:`planner.order.thread`): the
clock runs through the sessions; at each moment, of the steps whose predecessors and lags are over, whose
purchases are here and who fit in what is left of the session with its hands, the first by priority is done. So
time spent waiting for a cure, a parcel or a helper is filled with other work when the states allow. A toggle
waits until some step that needs it waits for toggles alone, and a condition is left as soon as it may be. Three
priorities are tried and the plan that finishes on the earliest day is kept, then the one with fewest sessions,
then the first in this list:

1. the strip's own order;
2. the latest start on the critical path of that precedence;
3. steps that need a helper first, then the latest start.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner.model.catalog import Catalog
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot, Strip
from planner.model.work import Buy, Task, Toggle, WorkList
from planner.order.critical import critical_path
from planner.order.sessions import begins, finishes, first_day, sessions_from
from planner.order.strip_bounds import Node
from planner.order.thread import Thread, piece_of, step_of, thread_of
from planner.order.why import why_of

LONG_AGO = datetime.combine(date.min, time())


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What is to be packed, in the terms of the calendar."""

    thread: Thread
    pieces: dict[Node, Task | Toggle]
    ready: dict[Node, datetime]
    """When its purchases are here."""
    leaving: frozenset[Node]
    """Toggles that end a state the vehicle neither starts nor ends in: done as soon as they can be."""
    sessions: tuple[Session, ...]
    tidy: timedelta
    buys: Mapping[str, Buy]
    arrives: Mapping[str, date]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a step is put: session number, start, end."""

    node: Node
    session: int
    start: datetime
    end: datetime


def pack(work: WorkList, strip: Strip, job: Job, catalog: Catalog, *, today: date) -> Plan:
    """Put the steps of a strip-down into work sessions.

    Parameters
    ----------
    work : WorkList
        The work list the strip was made for.
    strip : Strip
    job : Job
        Its sessions, days off and first day.
    catalog : Catalog
        Its ``tidy_min``: set-up at each session's start [min].
    today : date
        The day the plan is made.

    Returns
    -------
    Plan
        Without slots and with ``trouble`` in words when something cannot be placed; never a step cut short.
    """
    arrives = {b.id: first_day(job, today) + timedelta(days=b.lead_days) for b in work.buys.values()}
    sessions = sessions_from(job, today)
    if strip.trouble:
        return _empty(strip, arrives, strip.trouble)
    load = _load(work, strip, arrives, sessions, timedelta(minutes=catalog.tidy_min))
    trouble = _too_big(load)
    if trouble:
        return _empty(strip, arrives, trouble)
    best: list[Place] | None = None
    stuck: tuple[str, ...] = ()
    for rank in _priorities(load):
        places, left = _packed(load, rank)
        if left:
            stuck = stuck or _left_over(load, left, places)
        elif best is None or _merit(places) < _merit(best):
            best = places
    if best is None:
        return _empty(strip, arrives, stuck)
    return _plan(work, strip, load, best, arrives)


def _empty(strip: Strip, arrives: dict[str, date], trouble: tuple[str, ...]) -> Plan:
    return Plan(
        strip=strip,
        sessions=(),
        slots=(),
        why=(),
        order_by={},
        arrives=arrives,
        finish=None,
        work_min=0,
        trouble=trouble,
    )


def _load(
    work: WorkList, strip: Strip, arrives: Mapping[str, date], sessions: tuple[Session, ...], tidy: timedelta
) -> Load:
    thread = thread_of(work, strip.steps)
    pieces = {n: piece_of(n, work) for n in thread.nodes}
    ready = {}
    for node, piece in pieces.items():
        days = [arrives[b] for b in piece.purchases if b in arrives]
        ready[node] = datetime.combine(max(days), time()) if days else LONG_AGO
    passing = {f.id for f in work.features.values() if not f.start and f.goal is False}
    leaving = frozenset(n for n, p in pieces.items() if isinstance(p, Toggle) and n.ref in passing and not p.on)
    return Load(
        thread=thread,
        pieces=pieces,
        ready=ready,
        leaving=leaving,
        sessions=sessions,
        tidy=tidy,
        buys=work.buys,
        arrives=arrives,
    )


def _too_big(load: Load) -> tuple[str, ...]:
    """Say of the steps that fit no session at all why: a line for each cause."""
    if not load.pieces:
        return ()
    if not load.sessions:
        return ("there is no work session from the first day on: give the job sessions, dated or every week",)
    pieces = list(load.pieces.values())
    most = max(s.hands for s in load.sessions)
    lacking = [p for p in pieces if p.hands > most]
    words = [_too_many_hands(lacking, most)] if lacking else []
    any_hands = _room_min(load, 1)
    too_long = [p for p in pieces if p.hands <= most and p.minutes > any_hands]
    if too_long:
        words.append(_too_long(load, too_long, "any session leaves", any_hands))
    for hands in sorted({p.hands for p in pieces if p.hands <= most}):
        room = _room_min(load, hands)
        stuck = [p for p in pieces if p.hands == hands and room < p.minutes <= any_hands]
        if stuck:
            words.append(_too_long(load, stuck, f"any session with {_hands(hands)} leaves", room))
    return tuple(words)


def _room_min(load: Load, hands: int) -> int:
    """Minutes that the longest session with so many hands leaves after setting up."""
    return max(0, max(s.minutes for s in load.sessions if s.hands >= hands) - _tidy_min(load))


def _tidy_min(load: Load) -> int:
    return int(load.tidy.total_seconds()) // 60


def _too_many_hands(lacking: Sequence[Task | Toggle], most: int) -> str:
    least, greatest = min(p.hands for p in lacking), max(p.hands for p in lacking)
    title = next(p.title for p in lacking if p.hands == greatest)
    hint = f"no session has more than {most}{{}}: give a session `hands: {greatest}`"
    if len(lacking) == 1:
        return f"`{title}` needs {_hands(greatest)} and " + hint.format("")
    need = _hands(greatest) if least == greatest else f"{least} to {_hands(greatest)}"
    return f"{len(lacking)} steps need {need} and " + hint.format(f", `{title}` among them")


def _too_long(load: Load, steps: Sequence[Task | Toggle], than: str, room_min: int) -> str:
    longest = max(steps, key=lambda p: p.minutes)
    limit = f"longer than {than} (at most {room_min} min after {_tidy_min(load)} min of setting up)"
    if len(steps) == 1:
        return f"`{longest.title}` takes {longest.minutes} min, {limit}"
    return f"{len(steps)} steps are {limit}; the longest, `{longest.title}`, takes {longest.minutes} min"


def _hands(count: int) -> str:
    return "1 pair of hands" if count == 1 else f"{count} pairs of hands"


def _priorities(load: Load) -> tuple[dict[Node, tuple[int, ...]], ...]:
    """Ranks of all nodes under each rule, least first; the strip's order breaks ties."""
    names = {n: f"{n.ref} {n.number}" for n in load.thread.nodes}
    durations = {names[n]: piece.minutes for n, piece in load.pieces.items()}
    after: dict[str, list[str]] = {}
    for node, before in load.thread.before.items():
        for other, lag in before.items():
            via = names[other]
            if lag:
                via = f"{names[other]} > {names[node]}"
                durations[via] = lag
                after[via] = [names[other]]
            after.setdefault(names[node], []).append(via)
    windows = critical_path(durations, after)
    index = {n: i for i, n in enumerate(load.thread.nodes)}
    latest = {n: windows[names[n]].latest_start for n in load.thread.nodes}
    stay = {n: 0 if n in load.leaving else 1 for n in load.thread.nodes}
    return (
        {n: (stay[n], index[n]) for n in load.thread.nodes},
        {n: (stay[n], latest[n], index[n]) for n in load.thread.nodes},
        {n: (stay[n], -load.pieces[n].hands, latest[n], index[n]) for n in load.thread.nodes},
    )


def _packed(load: Load, rank: Mapping[Node, tuple[int, ...]]) -> tuple[list[Place], list[Node]]:
    """Places in order of time under one priority, and the nodes left when the sessions ran out."""
    places: list[Place] = []
    ends: dict[Node, datetime] = {}
    left = list(load.thread.nodes)
    clock = LONG_AGO
    for number, session in enumerate(load.sessions):
        clock = max(clock, begins(session) + load.tidy)
        while left:
            opens = {n: _opens(load, n, ends) for n in _due(load, left, ends)}
            fits = {n: max(at, clock) for n, at in opens.items() if _fits(load.pieces[n], max(at, clock), session)}
            if not fits:
                break
            clock = min(fits.values())
            node = min((n for n, at in fits.items() if at == clock), key=lambda n: rank[n])
            end = clock + timedelta(minutes=load.pieces[node].minutes)
            places.append(Place(node=node, session=number, start=clock, end=end))
            ends[node] = clock = end
            left.remove(node)
        if not left:
            break
    return places, left


def _due(load: Load, left: Sequence[Node], ends: Mapping[Node, datetime]) -> list[Node]:
    """Steps left that could be next as far as the order goes."""
    ready = [n for n in left if all(m in ends for m in load.thread.before[n])]
    # Steps can wait for each other's toggles in a ring of wants; then any that may be done is due.
    return [n for n in ready if _is_due(load, n, ends)] or ready


def _is_due(load: Load, node: Node, ends: Mapping[Node, datetime]) -> bool:
    """Whether a step is no toggle or is wanted: some step that needs it waits for toggles alone.

    So nothing is taken off, and no condition entered, before there is work for it.
    """
    served = [n for n in load.thread.serves.get(node, ()) if n not in ends]
    return not served or any(_waits_for_toggles(load, n, ends) for n in served)


def _waits_for_toggles(load: Load, node: Node, ends: Mapping[Node, datetime]) -> bool:
    """Whether every task a step waits for, directly or through toggles, is done.

    Purchases do not count: what must come off for a part still in the post is taken off meanwhile.
    """
    todo, seen = [node], {node}
    while todo:
        at = todo.pop()
        for other in load.thread.before[at]:
            if other in ends or other in seen:
                continue
            if other.number == 0:
                return False
            seen.add(other)
            todo.append(other)
    return True


def _opens(load: Load, node: Node, ends: Mapping[Node, datetime]) -> datetime:
    """Earliest start by purchases, predecessors and lags."""
    waits = [ends[m] + timedelta(minutes=lag) for m, lag in load.thread.before[node].items()]
    return max([load.ready[node], *waits])


def _fits(piece: Task | Toggle, start: datetime, session: Session) -> bool:
    return piece.hands <= session.hands and start + timedelta(minutes=piece.minutes) <= finishes(session)


def _merit(places: Sequence[Place]) -> tuple[date, int]:
    """Day of the finish, then number of sessions worked in: less is better."""
    return max((p.end for p in places), default=LONG_AGO).date(), len({p.session for p in places})


def _left_over(load: Load, left: Sequence[Node], places: Sequence[Place]) -> tuple[str, ...]:
    """Say why steps are left when the sessions ran out: a parcel that comes too late, hands, or time."""
    last = load.sessions[-1].day
    late = sorted({b for n in left for b in load.pieces[n].purchases if b in load.buys and load.arrives[b] > last})
    if late:
        return (_too_late(load, late, last),)
    first = load.pieces[left[0]].title
    words = f"{len(left)} steps, `{first}` the first of them, do not fit into the sessions up to {last}"
    if len(left) == 1:
        words = f"one step, `{first}`, does not fit into the sessions up to {last}"
    waiting = _due(load, left, {p.node: p.end for p in places})
    hands = min((load.pieces[n].hands for n in waiting), default=1)
    able = sum(s.hands >= hands for s in load.sessions)
    if able < len(load.sessions):
        title = next(load.pieces[n].title for n in waiting if load.pieces[n].hands == hands)
        words += (
            f": nothing goes on without {_hands(hands)}, for `{title}` first, and {able} of {len(load.sessions)}"
            f" sessions {'has' if able == 1 else 'have'} so many: give more of them `hands: {hands}`"
        )
    return (words,)


def _too_late(load: Load, late: Sequence[str], last: date) -> str:
    """Name the purchase that comes last of those that come after the last session."""
    worst = max(late, key=lambda b: load.arrives[b])
    buy, here = load.buys[worst], load.arrives[worst]
    ordered = here - timedelta(days=buy.lead_days)
    more = f"; {len(late) - 1} more too late" if len(late) > 1 else ""
    return f"`{buy.what}`, ordered {ordered}, is here {here}, after the last work session looked at ({last}){more}"


def _plan(work: WorkList, strip: Strip, load: Load, places: list[Place], arrives: dict[str, date]) -> Plan:
    """Give the plan of a complete packing."""
    used: dict[str, date] = {}
    for place in places:
        for buy in load.pieces[place.node].purchases:
            if buy in work.buys:
                used.setdefault(buy, place.start.date())
    last = max((p.session for p in places), default=-1)
    return Plan(
        strip=strip,
        sessions=load.sessions[: last + 1],
        slots=tuple(Slot(step=step_of(p.node, work), session=p.session, start=p.start, end=p.end) for p in places),
        why=why_of(work, load.thread, [p.node for p in places]),
        order_by={b: used[b] - timedelta(days=work.buys[b].lead_days) for b in work.buys if b in used},
        arrives=arrives,
        finish=max((p.end for p in places), default=None),
        work_min=sum(p.minutes * p.hands for p in load.pieces.values()),
    )
