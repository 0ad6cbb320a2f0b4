"""Static windows: how early each step can begin and how late it must end, by chains of waiting and by energy.

A step cannot begin before its predecessors and their lags are over, laid into sessions that hold each of them, nor
before all the hand-minutes of its ancestors are done: for each moment r, the ancestors that cannot begin before r
need the hands of the sessions from r on. The same run backwards from the end of the last session says how late a
step must end. All of it holds for any schedule of the net within the calendar, so an empty window is a proof.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planner.order.calendar import Bay
from planner.order.schedule_net import Net

Minutes = npt.NDArray[np.int64]

NEVER = 1 << 40
"""A minute after every calendar."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """Earliest start and latest end of each step; ``bays`` the indices of the bays it can be done in, rising."""

    earliest: tuple[int, ...]
    latest: tuple[int, ...]
    bays: tuple[tuple[int, ...], ...]

    @property
    def empty(self) -> bool:
        """Whether some step can be done nowhere: the net does not fit into the calendar."""
        return not all(self.bays)


class Supply:
    """Minutes of the bays with at least so many hands, summed up from the first on.

    ``side_by_side``: a bay counts as often as steps of so many hands can be done in it at once.
    """

    def __init__(self, bays: Sequence[Bay], hands: int, *, side_by_side: bool) -> None:
        self.bays = [b for b in bays if b.hands >= hands]
        self.opens = np.array([b.opens for b in self.bays], dtype=np.int64)
        self.rooms = np.array([b.room for b in self.bays], dtype=np.int64)
        self.times = np.array([b.hands // hands if side_by_side else 1 for b in self.bays], dtype=np.int64)
        self.sums = np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(self.rooms * self.times)])

    def before(self, minutes: Minutes) -> Minutes:
        """Supply up to each of some minutes."""
        if not self.bays:
            return np.zeros_like(minutes)
        i = np.searchsorted(self.opens, minutes, side="right") - 1
        at = np.maximum(i, 0)
        found = self.sums[at] + np.minimum(minutes - self.opens[at], self.rooms[at]) * self.times[at]
        return np.where(i < 0, 0, found)

    def after(self, begins: Minutes, amounts: Minutes) -> Minutes:
        """First minute by which so much has been supplied since ``begins``, each (n,)."""
        wanted = self.before(begins) + amounts
        if not self.bays:
            return np.where(amounts > 0, NEVER, begins)
        i = np.clip(np.searchsorted(self.sums, wanted, side="left") - 1, 0, len(self.bays) - 1)
        found = self.opens[i] - (self.sums[i] - wanted) // self.times[i]
        return np.where(amounts <= 0, begins, np.where(wanted > self.sums[-1], NEVER, found))


def windows_of(net: Net, floors: Sequence[int] | None = None, tails: Sequence[int] | None = None) -> Windows:
    """Windows of all steps within the net's calendar.

    Parameters
    ----------
    net : Net
    floors, tails : sequence of int, optional
        What is known besides [min]: earliest starts, and least times from each step's end to the end of the calendar.
    """
    end = net.calendar.bays[-1].closes if net.calendar.bays else 0
    earliest = _heads(net, floors)
    mirrored = _heads(_mirror(net, end), list(reversed(tails)) if tails else None)
    latest = [end - t for t in reversed(mirrored)]
    bays = net.calendar.bays
    allowed = []
    for step in range(net.size):
        need = 0 if net.splits[step] else net.minutes[step]
        first = max(0, net.calendar.index_at(earliest[step]))
        found = []
        for i in range(first, len(bays)):
            bay = bays[i]
            if bay.opens > latest[step]:
                break
            begin, stop = max(bay.opens, earliest[step]), min(net.closes(step, bay), latest[step])
            if bay.hands >= net.hands[step] and begin + need <= stop:
                found.append(i)
        allowed.append(tuple(found))
    return Windows(earliest=tuple(earliest), latest=tuple(latest), bays=tuple(allowed))


def _mirror(net: Net, end: int) -> Net:
    """The net run backwards from ``end``."""
    bays = tuple(replace(b, opens=end - b.closes, closes=end - b.opens) for b in reversed(net.calendar.bays))
    return net.backwards.within(replace(net.calendar, bays=bays))


def _heads(net: Net, floors: Sequence[int] | None) -> list[int]:
    """Earliest start of each step."""
    bays = net.calendar.bays
    energy = Supply(bays, 1, side_by_side=True)
    rooms = {h: Supply(bays, h, side_by_side=False) for h in sorted(set(net.hands))}
    several = max(net.hands, default=1)
    most = Supply(bays, several, side_by_side=True)
    minutes, hands = np.array(net.minutes, dtype=np.int64), np.array(net.hands, dtype=np.int64)
    work, alone = minutes * hands, np.where(hands == several, minutes, 0)
    heads = np.zeros(net.size, dtype=np.int64)
    ends: list[int] = []
    for step in range(net.size):
        begin = max(net.ready[step], floors[step] if floors else 0)
        begin = max([begin, *(ends[m] + lag for m, lag in net.before[step].items())])
        before = net.ancestors_of[step]
        if len(before):
            # Those that cannot begin before a moment need the hands from that moment on.
            before = before[np.argsort(-heads[before], kind="stable")]
            late = energy.after(heads[before], np.cumsum(work[before])).max()
            begin = max(begin, int(late), int(most.after(heads[before], np.cumsum(alone[before])).max()))
        begin = _fit(net, step, begin, rooms[net.hands[step]])
        heads[step] = begin
        end = begin + net.minutes[step]
        if net.splits[step]:
            end = int(rooms[net.hands[step]].after(np.array([begin]), minutes[step : step + 1])[0])
        ends.append(end)
    return [int(h) for h in heads]


def _fit(net: Net, step: int, begin: int, rooms: Supply) -> int:
    """First moment from ``begin`` on at which the step fits into a bay with hands enough."""
    need = min(1, net.minutes[step]) if net.splits[step] else net.minutes[step]
    for i in range(max(0, int(np.searchsorted(rooms.opens, begin, side="right")) - 1), len(rooms.bays)):
        at = max(begin, rooms.bays[i].opens)
        if at + need <= net.closes(step, rooms.bays[i]):
            return at
    return NEVER
