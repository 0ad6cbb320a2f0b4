"""Earlier finishes by packing again and again: forwards, backwards, and with the ranks disturbed.

A packing run backwards from the day of the finish puts everything as late as can be; packed forwards in the order of
those starts, it often comes out shorter. Between two such pairs the starts of the best so far are disturbed.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from planner.order.pack import Packer, Rank
from planner.order.schedule_net import Net, Place
from planner.order.schedule_search import Budget, Found, up_to_day
from planner.order.schedule_windows import windows_of

SEED = 7
SIGMAS_MIN = (100.0, 400.0, 1500.0, 4000.0)
"""How much starts are disturbed [min]."""
SHARES = (0.05, 0.2, 1.0)
"""Of the steps, how many are disturbed."""
HELPER_MIN = 3000.0
"""At most by so much steps that need several hands are drawn forward [min]."""
VAIN = 3
"""Packings without an end before it is given up."""
MOST = 3000
"""Packings at most."""


def better(found: Found, budget: Budget) -> None:
    """Look for an earlier finish while the one found is not proved."""
    dice = random.Random(SEED)  # noqa: S311 - seeded, so every run is the same
    now = _first(found, budget) if found.places is None else found.places
    for _ in range(MOST):
        if now is None or budget.over or found.day <= found.bound_day:
            return
        rank = _disturbed(found.net, now, dice)
        places = _packed(found.net, rank, budget)
        if places is None:
            continue
        turned = _turned(found, places, budget)
        if turned is not None and _end(turned) < _end(places):
            places = turned
        if _end(places) <= _end(now):
            now = places
        found.keep(places)


def _end(places: Sequence[Place]) -> int:
    return max((p.end for p in places), default=0)


def _packed(net: Net, rank: Rank, budget: Budget) -> list[Place] | None:
    packer = Packer(net=net, rank=rank)
    return packer.places if budget.run(packer) else None


def _first(found: Found, budget: Budget) -> list[Place] | None:
    """Packings by the latest starts, somewhat disturbed, until one comes to an end."""
    dice = random.Random(SEED)  # noqa: S311 - seeded, so every run is the same
    windows = windows_of(found.net)
    for _ in range(VAIN):
        if budget.over:
            break
        late = [windows.latest[i] - found.net.minutes[i] for i in range(found.net.size)]
        rank: Rank = [(round(at + dice.gauss(0, SIGMAS_MIN[1])), i) for i, at in enumerate(late)]
        places = _packed(found.net, rank, budget)
        if places is not None:
            found.keep(places)
            return places
    return None


def _disturbed(net: Net, places: Sequence[Place], dice: random.Random) -> Rank:
    """Ranks by the starts of places, some of them disturbed."""
    starts: dict[int, int] = {}
    for place in places:
        starts.setdefault(place.step, place.start)
    sigma, share, helper = dice.choice(SIGMAS_MIN), dice.choice(SHARES), dice.random() * HELPER_MIN
    rank: Rank = []
    for step in range(net.size):
        at = float(starts[step])
        if dice.random() < share:
            at += dice.gauss(0, sigma)
        if net.hands[step] > 1 and dice.random() < 1 / 2:
            at -= helper
        rank.append((round(at), step))
    return rank


def _turned(found: Found, places: Sequence[Place], budget: Budget) -> list[Place] | None:
    """Pack backwards from the day of the finish, then forwards by the starts that gives."""
    if found.net.stretches:
        return None
    net = up_to_day(found.net, max(found.net.calendar.bays[p.bay].day for p in places))
    end, last = net.calendar.bays[-1].closes, net.size - 1
    bays = tuple(replace(b, opens=end - b.closes, closes=end - b.opens) for b in reversed(net.calendar.bays))
    ends = {p.step: p.end for p in places}
    back = _packed(
        net.backwards.within(replace(net.calendar, bays=bays)), [(-ends[last - i],) for i in range(net.size)], budget
    )
    if back is None:
        return None
    starts = {last - p.step: end - p.end for p in back}
    return _packed(found.net, [(starts[i],) for i in range(net.size)], budget)
