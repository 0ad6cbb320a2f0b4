"""Packing of the steps into dated work sessions, one after the other: the first answer, and the style of all.

List scheduling on the net that the strip-down's own choices leave: the clock runs through the sessions; at each
moment, of the steps whose predecessors and lags are over, whose purchases are here and who fit in what is left of
the session with the hands that are free, the first by rank is begun. So time spent waiting for a cure, a parcel
or a helper is filled with other work when the states allow. A toggle waits until some step that needs it waits for
toggles alone, and a condition is left as soon as it may be. A task that may be split fills the session up.

A step that begins a stretch in which a hold is broken is begun only if all that must be done to end the stretch
can be done in time; then that is done first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from planner.order.calendar import Bay
from planner.order.schedule_net import LEAST_PIECE_MIN, Net, Place, Stretch, most_busy

Rank = list[tuple[int, ...]]
"""A key for each step, least first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What makes a plan read well.

    ``serves`` gives for each step the steps that demand the state it makes (none for a task); ``tasks`` has the bits
    of the steps that are tasks.
    """

    serves: tuple[tuple[int, ...], ...]
    tasks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Homes:
    """Bays that steps are wanted in: index of the first bay of each.

    A step is due in its bay whether it is wanted by then or not. ``floor``: it is not done in an earlier one;
    ``ceiling``: nor in a later one, so the packing ends without it when it does not fit.
    """

    bays: Sequence[int]
    floor: bool = False
    ceiling: bool = False


@dataclass(slots=True, kw_only=True)
class Packer:
    """A packing under way. ``ends`` has the steps that are placed; ``left_min`` what is left of those begun."""

    net: Net
    rank: Rank
    style: Style | None = None
    places: list[Place] = field(default_factory=list)
    ends: dict[int, int] = field(default_factory=dict)
    done: int = 0
    left_min: dict[int, int] = field(default_factory=dict)
    laid_down: dict[int, int] = field(default_factory=dict)
    """Bay of the last piece of those begun: there is one piece a bay."""
    waits: list[int] = field(default_factory=list)
    ready: set[int] = field(default_factory=set)
    allowed: int = -1
    """Bits of the steps that may be placed; -1 for all."""
    last: int | None = None
    """Of a look ahead: the last bay it goes to; a state that no session asks for by then need not be ended sooner."""
    homes: Homes | None = None
    here: int = -1
    """Index of the bay that is being filled."""
    looks: int = 0
    """How often a step was looked at: a measure of the work."""

    def __post_init__(self) -> None:
        if not self.waits:
            self.waits = [len(b) for b in self.net.before]
            self.ready = {i for i, n in enumerate(self.waits) if n == 0}

    def run(self) -> bool:
        """Place all steps; False when the sessions run out."""
        for number in range(len(self.net.calendar.bays)):
            if len(self.ends) == self.net.size:
                break
            if not self.places and not self._opening(number):
                continue
            self.fill(number, self.net.calendar.bays[number].opens)
        self.places.sort(key=lambda p: (p.start, p.step))
        return len(self.ends) == self.net.size

    def fill(self, number: int, clock: int) -> None:
        """Place what can be placed in a bay from a moment on."""
        bay = self.net.calendar.bays[number]
        self.here = number
        busy = self._busy(number, clock)
        barred: set[int] = set()
        while True:
            fits = {}
            for step in self.due():
                at = self._start(step, bay, clock, busy)
                if step not in barred and at is not None:
                    fits[step] = at
            if not fits:
                return
            clock = min(fits.values())
            step = min((s for s, at in fits.items() if at == clock), key=self._key)
            if self._breaks_a_hold(step):
                done = self._closed(step, number, clock)
                if done is None:
                    barred.add(step)
                    continue
                # What lies ahead of the clock stays where it is; other steps may be done between.
                for place in done:
                    self.put(place)
            else:
                end = clock + self._piece(step, bay, clock)
                self.put(Place(step=step, bay=number, start=clock, end=end))
            busy = self._busy(number, clock)

    def _busy(self, number: int, clock: int) -> list[Place]:
        """What is under way in a bay from a moment on, or set already."""
        return [p for p in self.places if p.bay == number and p.end > clock]

    def put(self, place: Place) -> None:
        """Place a step or a piece of it."""
        step = place.step
        self.places.append(place)
        left = self.left_min.get(step, self.net.minutes[step]) - (place.end - place.start)
        if left > 0:
            self.left_min[step] = left
            self.laid_down[step] = place.bay
            return
        self.ends[step] = place.end
        self.done |= 1 << step
        self.ready.discard(step)
        for other in self.net.after[step]:
            self.waits[other] -= 1
            if not self.waits[other]:
                self.ready.add(other)

    def _key(self, step: int) -> tuple[bool, tuple[int, ...], int]:
        """What is begun is ended first, then by rank."""
        return step not in self.left_min, self.rank[step], step

    def due(self) -> list[int]:
        """Steps that could be next as far as the order goes."""
        ready = [s for s in self.ready if self.allowed >> s & 1 and self.laid_down.get(s) != self.here]
        homes = self.homes
        if homes is not None:
            ready = [s for s in ready if self._may_be_here(s, homes)]
        if self.style is None:
            return ready
        # Steps can wait for each other's toggles in a ring of wants; then any that may be done is due.
        return [s for s in ready if self._wanted(s, self.style)] or ready

    def _may_be_here(self, step: int, homes: Homes) -> bool:
        early, late = self.here < homes.bays[step], self.here > homes.bays[step]
        return not (homes.floor and early) and not (homes.ceiling and late and step not in self.left_min)

    def _wanted(self, step: int, style: Style) -> bool:
        """Whether a step is no toggle or some step that needs it waits for toggles alone.

        So nothing is taken off, and no condition entered, before there is work for it. Purchases do not count: what
        must come off for a part still in the post is taken off meanwhile.
        """
        if self.homes is not None and self.homes.bays[step] <= self.here:
            return True
        served = [s for s in style.serves[step] if s not in self.ends]
        undone = style.tasks & ~self.done
        return not served or any(not self.net.ancestors[s] & undone for s in served)

    def _start(self, step: int, bay: Bay, clock: int, busy: Sequence[Place]) -> int | None:
        """Earliest start in a bay from a moment on; None when it does not fit."""
        self.looks += 1
        free = self.net.room_beside(step, bay.hands)
        if free < 0:
            return None
        waits = [self.ends[m] + lag for m, lag in self.net.before[step].items()]
        at = max([clock, self.net.ready[step], *waits])
        for moment in sorted({at, *(p.end for p in busy if p.end > at)}) if busy else [at]:
            minutes = self._piece(step, bay, moment)
            if minutes < 0:
                return None
            if not busy or most_busy(self.net.loads, busy, moment, moment + max(1, minutes)) <= free:
                return moment
        return None

    def _piece(self, step: int, bay: Bay, at: int) -> int:
        """Minutes of a step that are done in a bay from a moment on; -1 when it does not fit."""
        left = self.left_min.get(step, self.net.minutes[step])
        closes = self.net.closes(step, bay)
        if at + left <= closes:
            return left
        piece = closes - at
        return piece if self.net.splits[step] and piece >= LEAST_PIECE_MIN else -1

    def _breaks_a_hold(self, step: int) -> bool:
        last = self.last
        return any(s.begin == step and (last is None or s.eras[self.here] != s.eras[last]) for s in self.net.stretches)

    def _opening(self, number: int) -> bool:
        """Whether the first steps may be done in a bay: what ends the stretches that are there from the first.

        Each is ended by the session that asks for it: a watch the same evening, stands on the night that wants them
        away.
        """
        begun = [s for s in self.net.stretches if s.begin is None]
        if not begun:
            return True
        by_last: dict[int, list[Stretch]] = {}
        for stretch in begun:
            by_last.setdefault(self._last_of([stretch], number), []).append(stretch)
        trial = self._ahead(-1, None)
        for _, group in sorted(by_last.items()):
            done = trial._closed(None, number, self.net.calendar.bays[number].opens, group)  # noqa: SLF001  # its twin
            if done is None:
                return False
            for place in done:
                trial.put(place)
        for place in trial.places:
            self.put(place)
        return True

    def _last_of(self, stretches: Sequence[Stretch], number: int) -> int:
        """The last bay that is over before a session asks for the end of any of some stretches begun in a bay."""
        last, many = number, len(self.net.calendar.bays)
        while last + 1 < many and all(s.eras[last + 1] == s.eras[number] for s in stretches):
            last += 1
        return last

    def _ahead(self, allowed: int, last: int | None) -> Packer:
        """The same packing, to look ahead in: what is placed there is not placed here."""
        return Packer(
            net=self.net,
            rank=self.rank,
            places=list(self.places),
            ends=dict(self.ends),
            done=self.done,
            left_min=dict(self.left_min),
            laid_down=dict(self.laid_down),
            waits=list(self.waits),
            ready=set(self.ready),
            allowed=allowed,
            last=last,
        )

    def _closed(
        self, step: int | None, number: int, clock: int, begun: Sequence[Stretch] | None = None
    ) -> list[Place] | None:
        """Places of all that must be done to end the stretches a step begins, or None when time is too short."""
        own = [s for s in self.net.stretches if s.begin == step] if begun is None else list(begun)
        asked = self._to_end(step, own)
        last = self._last_of(own, number)
        if not self._room_for(asked, number, last, clock):
            return None
        trial = self._ahead(asked, last)
        if step is not None:
            bay = self.net.calendar.bays[number]
            trial.put(Place(step=step, bay=number, start=clock, end=clock + self._piece(step, bay, clock)))
        for bay_number in range(number, last + 1):
            if asked & ~trial.done == 0:
                break
            trial.fill(bay_number, max(clock, self.net.calendar.bays[bay_number].opens))
        self.looks += trial.looks
        return trial.places[len(self.places) :] if asked & ~trial.done == 0 else None

    def _room_for(self, asked: int, first: int, last: int, clock: int) -> bool:
        """Whether the steps asked for could fit into some bays by their minutes and hands alone."""
        bays = self.net.calendar.bays[first : last + 1]
        room = sum(max(0, b.closes - max(b.opens, clock)) * b.hands for b in bays)
        while asked and room >= 0:
            step = (asked & -asked).bit_length() - 1
            room -= self.left_min.get(step, self.net.minutes[step]) * self.net.hands[step]
            asked &= asked - 1
        return room >= 0

    def _to_end(self, step: int | None, begun: Sequence[Stretch]) -> int:
        """Bits of the steps that must be done to end the stretches a step begins, and those begun on the way."""
        found = list(begun)
        bits = 0 if step is None else 1 << step
        for stretch in found:
            if stretch.end is None:
                bits |= (1 << self.net.size) - 1
            else:
                bits |= self.net.ancestors[stretch.end] | 1 << stretch.end
            bits &= ~self.done
            found += [s for s in self.net.stretches if s.begin is not None and bits >> s.begin & 1 and s not in found]
        return bits


def merit(net: Net, places: Sequence[Place]) -> tuple[int, int]:
    """Day of the finish, then number of sessions worked in: less is better."""
    return max((net.calendar.bays[p.bay].day for p in places), default=-1), len({p.bay for p in places})


def ranks_of(net: Net, leaving: int) -> tuple[Rank, ...]:
    """Ranks to try; ``leaving`` has the bits of the toggles that leave a passing condition: as soon as may be.

    The order of the steps; the latest start on the critical path; steps that need a helper first, then the latest
    start.
    """
    latest = latest_starts(net)
    stay = [1 - (leaving >> i & 1) for i in range(net.size)]
    return (
        [(stay[i], i) for i in range(net.size)],
        [(stay[i], latest[i], i) for i in range(net.size)],
        [(stay[i], -net.hands[i], latest[i], i) for i in range(net.size)],
    )


def latest_starts(net: Net) -> list[int]:
    """Latest start of each step on the critical path of minutes and lags, the end of it all at 0 [min]."""
    latest = [0] * net.size
    for step in reversed(range(net.size)):
        finish = min((latest[o] - net.before[o][step] for o in net.after[step]), default=0)
        latest[step] = finish - net.minutes[step]
    return latest
