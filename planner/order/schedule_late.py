"""States that keep people safe are left as late as can be, and a vehicle is lifted no sooner than it must be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.model.work import Toggle
from planner.order.pack import Homes, Packer, Rank
from planner.order.schedule_net import Net, Place, fits, most_busy
from planner.order.schedule_plan import Load


def left_late(load: Load, places: list[Place]) -> list[Place]:
    """Give the places with each late toggle in the latest session that can have it, and last of all there.

    No other step comes into a later session. Where there is no room for the toggle, what lies between its old place
    and its new one may come into an earlier session instead.

    Parameters
    ----------
    load : Load
    places : list of Place
        Complete, and keeping the net.
    """
    late = [i for i, piece in enumerate(load.pieces) if isinstance(piece, Toggle) and piece.late]
    net = load.net
    # The state entered first is left last: put off first, it leaves the others room to follow.
    for step in reversed(late):
        places = _put_off(net, places, step)
        opens = net.calendar.bays[next(p.bay for p in places if p.step == step)].opens
        # What is put off stays so while the others are.
        net = replace(net, ready=(*net.ready[:step], max(opens, net.ready[step]), *net.ready[step + 1 :]))
    for step in reversed(late):
        places = _drawn_back(load.net, places, step)
    return places


def _put_off(net: Net, places: list[Place], step: int) -> list[Place]:
    """The places with one toggle put off as far as it goes; as they are where it goes no later."""
    here = next(p.bay for p in places if p.step == step)
    used = sorted({p.bay for p in places})
    last = min((p.bay for p in places if p.step in net.after[step]), default=used[-1])
    for bay in (b for b in reversed(used) if here <= b <= last):
        for window in ((), range(here, bay + 1)):
            found = _moved(net, places, step, bay, window)
            if found is not None:
                return found
    return places


def _moved(net: Net, places: Sequence[Place], step: int, bay: int, window: Iterable[int]) -> list[Place] | None:
    """The places with a toggle in a session, begun there when nothing else can be; None where that has no room.

    What lies in the sessions of ``window`` may come into an earlier one of them.
    """
    homes = [0] * net.size
    rank: Rank = [(0, 0)] * net.size
    for place in reversed(places):
        homes[place.step] = place.bay
        rank[place.step] = (int(place.step == step), place.start)
    homes[step] = bay
    free = set(window)
    bays = net.calendar.bays
    opens = [bays[min(free) if home in free and i != step else home].opens for i, home in enumerate(homes)]
    held = replace(net, ready=tuple(max(pair) for pair in zip(net.ready, opens, strict=True)))
    packer = Packer(net=held, rank=rank, homes=Homes(bays=homes, ceiling=True))
    if not packer.run() or not fits(net, packer.places):
        return None
    return packer.places if _none_later(places, packer.places, step) else None


def _drawn_back(net: Net, places: list[Place], step: int) -> list[Place]:
    """The places with a toggle begun as late in its session as what needs it and the free hands allow."""
    own = next(p for p in places if p.step == step)
    others = [p for p in places if p is not own]
    minutes = own.end - own.start
    waits = [p.start - net.before[p.step][step] for p in others if p.step in net.after[step]]
    latest = min([net.calendar.bays[own.bay].closes, *waits]) - minutes
    beside = [p for p in others if p.bay == own.bay]
    room = net.room_beside(step, net.calendar.bays[own.bay].hands)
    moments = range(latest, own.start, -1)
    begin = next((m for m in moments if most_busy(net.loads, beside, m, m + minutes) <= room), own.start)
    moved = replace(own, start=begin, end=begin + minutes)
    return sorted([*others, moved], key=lambda p: (p.start, p.step))


def _none_later(before: Sequence[Place], after: Sequence[Place], step: int) -> bool:
    """Whether no other step ends in a later session, and none is laid down more often."""
    old, new = ({p.step: p.bay for p in sorted(places, key=lambda p: p.start)} for places in (before, after))
    return len(after) <= len(before) and all(new[i] <= old[i] for i in old if i != step)
