"""The steps of one strip-down as a net in the terms of the calendar: what waits for what, and for how long.

Steps are numbered in an order that keeps the net, so a predecessor always has the smaller number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planner.model.words import DAY_MIN
from planner.model.work import Task, Toggle, WorkList
from planner.order.calendar import Bay, Calendar
from planner.order.strip_bounds import Node
from planner.order.thread import Thread, piece_of

LEAST_PIECE_MIN = 15
"""A task is not laid down before it has been worked on so long in a session."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a step, or one piece of it, is put: index of the bay, start and end [min of the calendar]."""

    step: int
    bay: int
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of a state that some holds do not want: no session that asks for them may end within it.

    It lasts from the end of step ``begin`` (None: from the first step of all) to the start of step ``end`` (None: to
    the end of the last). ``eras`` gives for each bay of the calendar how many sessions that ask have ended before
    it: both ends of the stretch must lie in bays of one era.
    """

    begin: int | None
    end: int | None
    eras: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Net:
    """Steps with their minutes, hands and first minute, their predecessors with lags [min], and the stretches."""

    calendar: Calendar
    minutes: tuple[int, ...]
    hands: tuple[int, ...]
    splits: tuple[bool, ...]
    ready: tuple[int, ...]
    """First minute by the purchases it needs."""
    before: tuple[dict[int, int], ...]
    stretches: tuple[Stretch, ...] = ()
    apart: frozenset[int] = frozenset()
    """Steps beside which nothing is done."""
    stays: dict[int, int] = field(default_factory=dict)
    """Minutes of its session left at a step's end, of those that ask for any; only a bound may leave them out."""

    @property
    def size(self) -> int:
        """Number of steps."""
        return len(self.minutes)

    def closes(self, step: int, bay: Bay) -> int:
        """The last minute of a bay at which a step, or a piece of it, may end."""
        return bay.closes - self.stays.get(step, 0)

    @cached_property
    def loads(self) -> tuple[int, ...]:
        """Hands that each step keeps from others: all there ever are of one that is done apart."""
        most = max([self.calendar.most_hands, *self.hands])
        return tuple(most if i in self.apart else h for i, h in enumerate(self.hands))

    def room_beside(self, step: int, hands: int) -> int:
        """Most loads of others beside a step where there are so many hands; below nought: it takes more itself."""
        return 0 if step in self.apart and self.hands[step] <= hands else hands - self.hands[step]

    @cached_property
    def after(self) -> tuple[tuple[int, ...], ...]:
        """Direct successors of each step."""
        found: list[list[int]] = [[] for _ in self.minutes]
        for step, waits in enumerate(self.before):
            for other in waits:
                found[other].append(step)
        return tuple(tuple(f) for f in found)

    @cached_property
    def ancestors(self) -> tuple[int, ...]:
        """All steps before each, as bits."""
        found: list[int] = []
        for waits in self.before:
            bits = 0
            for other in waits:
                bits |= found[other] | 1 << other
            found.append(bits)
        return tuple(found)

    @cached_property
    def ancestors_of(self) -> tuple[npt.NDArray[np.int64], ...]:
        """All steps before each, by number."""
        bits = enumerate(self.ancestors)
        return tuple(np.array([i for i in range(step) if before >> i & 1], dtype=np.int64) for step, before in bits)

    @cached_property
    def backwards(self) -> Net:
        """The net run from its end to its start, in the same calendar; purchases, holds, stays have no counterpart."""
        last = self.size - 1
        return Net(
            calendar=self.calendar,
            minutes=tuple(reversed(self.minutes)),
            hands=tuple(reversed(self.hands)),
            splits=tuple(reversed(self.splits)),
            ready=(0,) * self.size,
            before=tuple({last - o: self.before[o][i] for o in self.after[i]} for i in reversed(range(self.size))),
            apart=frozenset(last - i for i in self.apart),
        )

    def within(self, calendar: Calendar) -> Net:
        """The same net in a calendar whose bays are the first of this one's."""
        many = len(calendar.bays)
        cut = replace(self, calendar=calendar, stretches=tuple(replace(s, eras=s.eras[:many]) for s in self.stretches))
        for known in ("after", "ancestors", "ancestors_of", "backwards"):
            # What does not depend on the calendar is worked out once.
            cut.__dict__[known] = getattr(self, known)
        return cut


def net_of(work: WorkList, thread: Thread, calendar: Calendar, arrives: Mapping[str, date]) -> Net:
    """Make the net of a thread; its steps are numbered as the thread's nodes stand."""
    number = {n: i for i, n in enumerate(thread.nodes)}
    pieces = [piece_of(n, work) for n in thread.nodes]
    before = [{number[m]: lag for m, lag in thread.before[n].items()} for n in thread.nodes]
    net = plain_net(pieces, before, calendar, here_min(work, calendar, arrives))
    return replace(net, stretches=stretches_of(work, thread.nodes, calendar))


def plain_net(
    pieces: Sequence[Task | Toggle],
    before: Iterable[dict[int, int]],
    calendar: Calendar,
    here: Mapping[str, int],
) -> Net:
    """Make the net of tasks and toggles, without stretches.

    Parameters
    ----------
    pieces : sequence of Task or Toggle
        In an order that keeps the net.
    before : iterable of dict
        Of each its predecessors, by number, with their lags [min].
    calendar : Calendar
    here : mapping of str to int
        Minute from which each purchase is here.
    """
    return Net(
        calendar=calendar,
        minutes=tuple(p.minutes for p in pieces),
        hands=tuple(p.hands for p in pieces),
        splits=tuple(isinstance(p, Task) and p.splits for p in pieces),
        ready=ready_min(pieces, here),
        before=tuple(before),
        apart=frozenset(i for i, p in enumerate(pieces) if p.apart),
        stays={i: p.stay_min for i, p in enumerate(pieces) if p.stay_min},
    )


def ready_min(pieces: Iterable[Task | Toggle], here: Mapping[str, int]) -> tuple[int, ...]:
    """First minute at which all purchases of each step are here."""
    return tuple(max([0, *(here[b] for b in p.purchases if b in here)]) for p in pieces)


def here_min(work: WorkList, calendar: Calendar, arrives: Mapping[str, date]) -> dict[str, int]:
    """Minute of the calendar from which each purchase is here."""
    known = {b: day for b, day in arrives.items() if b in work.buys}
    return {b: (day - calendar.first).days * DAY_MIN + work.buys[b].from_min for b, day in known.items()}


def arrivals(work: WorkList, first: date) -> dict[str, date]:
    """Day on which each purchase is here when ordered on the first day."""
    return {b.id: first + timedelta(days=b.lead_days) for b in work.buys.values()}


def asked_of(work: WorkList, calendar: Calendar) -> dict[tuple[str, bool], tuple[int, ...]]:
    """Eras (see :class:`Stretch`) of each state that some hold asks for."""
    asking: dict[tuple[str, bool], set[int]] = {}
    for hold in work.holds.values():
        numbers = {i for i, s in enumerate(calendar.sessions) if hold.asks(s.day)}
        for demand in hold.demands:
            asking.setdefault((demand.feature, demand.on), set()).update(numbers)
    return {state: _eras(calendar, numbers) for state, numbers in sorted(asking.items())}


def _eras(calendar: Calendar, asking: Iterable[int]) -> tuple[int, ...]:
    rising = sorted(asking)
    eras, passed = [], 0
    for bay in calendar.bays:
        while passed < len(rising) and rising[passed] < bay.number:
            passed += 1
        eras.append(passed)
    return tuple(eras)


def stretches_of(work: WorkList, nodes: Iterable[Node], calendar: Calendar) -> tuple[Stretch, ...]:
    """Find the stretches in which a hold's state does not hold."""
    rows: dict[str, list[int]] = {}
    for i, node in enumerate(nodes):
        if node.number:
            rows.setdefault(node.ref, []).append(i)
    found: list[Stretch] = []
    for (p, on), eras in asked_of(work, calendar).items():
        ends: list[int | None] = [None, *rows.get(p, []), None]
        found += [
            Stretch(begin=ends[k], end=ends[k + 1], eras=eras)
            for k in range(len(ends) - 1)
            if on != (work.features[p].start == (k % 2 == 0))
        ]
    return tuple(found)


def most_busy(hands: Sequence[int], beside: Iterable[Place], begin: int, end: int) -> int:
    """Most hands at work at once from one moment to another [min], by the places that are there.

    A stretch of no length lies between what ends then and what begins then.
    """
    during = [p for p in beside if p.start < end and p.end > begin]
    moments = [begin, *(p.start for p in during if p.start > begin)]
    return max(sum(hands[p.step] for p in during if p.start <= m < p.end) for m in moments)


def fits(net: Net, places: Iterable[Place]) -> bool:
    """Whether places keep the order, the waits and the holds of a net; bays and hands are taken as kept."""
    first: dict[int, Place] = {}
    last: dict[int, Place] = {}
    for place in sorted(places, key=lambda p: p.start):
        first.setdefault(place.step, place)
        last[place.step] = place
    if len(first) < net.size:
        return False
    for step, waits in enumerate(net.before):
        if any(first[step].start < last[m].end + lag for m, lag in waits.items()):
            return False
    begin = min((p.bay for p in first.values()), default=0)
    end = max((p.bay for p in last.values()), default=0)
    for s in net.stretches:
        ends = begin if s.begin is None else last[s.begin].bay, end if s.end is None else first[s.end].bay
        if s.eras[ends[0]] != s.eras[ends[1]]:
            return False
    return True
