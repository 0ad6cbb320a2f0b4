"""A schedule made to read well: nothing taken off before there is work for it, conditions left as soon as may be."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.order.pack import Homes, Packer, Rank, Style
from planner.order.schedule_net import Net, Place, most_busy

Key = Callable[[Sequence[Place]], tuple[int, ...]]


def dressed(net: Net, style: Style, leaving: int, places: list[Place], key: Key) -> list[Place]:
    """Give the best-reading places that are as good by ``key``.

    First every step may be done when it is wanted, or in the bay it has at the latest; then only in that bay; at last
    the places themselves, drawn up to the front of their bays.
    """
    homes = [0] * net.size
    for place in reversed(places):
        homes[place.step] = place.bay
    stay = [1 - (leaving >> i & 1) for i in range(net.size)]
    rank: Rank = [(homes[i], stay[i], i) for i in range(net.size)]
    free: Rank = [(stay[i], i) for i in range(net.size)]
    tries = (
        Packer(net=net, rank=rank, style=style, homes=Homes(bays=homes)),
        Packer(net=net, rank=free, style=style, homes=Homes(bays=homes, floor=True, ceiling=True)),
        Packer(net=net, rank=rank, style=style, homes=Homes(bays=homes, floor=True)),
    )
    for packer in tries:
        if packer.run() and key(packer.places) <= key(places):
            return packer.places
    drawn = drawn_up(net, places)
    # What begins earlier can take the hands of something longer, which then has no room left in its bay.
    over = any(p.end > net.closes(p.step, net.calendar.bays[p.bay]) for p in drawn)
    return drawn if not over and key(drawn) <= key(places) else places


def drawn_up(net: Net, places: Sequence[Place]) -> list[Place]:
    """Begin each place as early as its bay, its predecessors and the hands allow, in the order of their starts."""
    done: list[Place] = []
    ends: dict[int, int] = {}
    last = {p.step: i for i, p in enumerate(places)}
    for number, place in enumerate(places):
        bay = net.calendar.bays[place.bay]
        waits = [ends[m] + lag for m, lag in net.before[place.step].items()]
        at = max([bay.opens, net.ready[place.step], *waits])
        beside = [p for p in done if p.bay == place.bay]
        minutes = place.end - place.start
        for moment in sorted({at, *(p.end for p in beside if p.end > at)}):
            if most_busy(net.loads, beside, moment, moment + max(1, minutes)) <= net.room_beside(place.step, bay.hands):
                at = moment
                break
        done.append(Place(step=place.step, bay=place.bay, start=at, end=at + minutes))
        if last[place.step] == number:
            ends[place.step] = at + minutes
    return sorted(done, key=lambda p: (p.start, p.step))
