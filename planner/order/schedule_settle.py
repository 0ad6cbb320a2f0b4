"""The sessions of one strip-down settled: earliest day, then fewest sessions, then nearest to the last plan.

Many packings give an answer; static windows refute the days before it one by one; what is left between the two is
settled by the sessions model where it is small enough, day by day from the proved one upwards.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from ortools.sat.python import cp_model

from planner.order.pack import Homes, Packer, Rank
from planner.order.schedule_better import better
from planner.order.schedule_dress import dressed
from planner.order.schedule_model import SessionModel, changed_days, count_used, hint, model_of, places_in
from planner.order.schedule_net import Net
from planner.order.schedule_search import Budget, Found, bay_days, first_day_possible, packings, up_to_day
from planner.order.schedule_windows import windows_of

SMALL = 3000
"""Literals (step, bay) up to which the sessions model is worth its time."""
WINDOWS_S = 1e-3
"""Finding the first day not refuted is counted as this a step."""
TINY = 800
"""Literals up to which it comes first."""
TINY_SHARE = 0.3
"""Of the time, for that."""
BETTER_SHARE = 0.4
"""Of the time, for packing again and again."""
ALONE_SHARE = 0.7
"""The same where the model is too large to help."""
PATIENCE_S = 5.0
"""So much longer than the budget, at least, the plain packings are tried where there are holds."""
FAR = 16
"""Work days after the first possible one that are looked at for any schedule, where packing found none."""


def search(found: Found, budget: Budget) -> None:
    """Search until it is settled or the time is over; at least the plain packings are tried."""
    first = first_day_possible(found.net)
    budget.left_s -= found.net.size * WINDOWS_S
    if first is None:
        found.impossible = bool(found.net.calendar.bays)
        found.stuck = next(packings(found.net, found.style, found.leaving))
        found.stuck.run()
        return
    found.bound_day = first
    least_s = -max(budget.left_s, PATIENCE_S)
    for packer in packings(found.net, found.style, found.leaving):
        # Where holds lie within each other a packing looks far ahead; one that came to no end is not tried six times.
        if found.net.stretches and budget.left_s < least_s:
            break
        if budget.run(packer):
            found.keep(packer.places)
        elif found.stuck is None:
            found.stuck = packer
    literals = _literals(found)
    if literals <= TINY:
        part = budget.part(TINY_SHARE)
        _settle_day(found, part)
        budget.give_back(part)
    part = budget.part(BETTER_SHARE if literals <= SMALL else ALONE_SHARE)
    better(found, part)
    budget.give_back(part)
    if literals <= SMALL:
        _settle_day(found, budget)
    if found.places is None:
        return
    _steady(found, budget)
    found.bound_used = _least_used(found)
    _drop_bays(found, budget)
    _settle_used(found, budget)
    found.places = dressed(found.net, found.style, found.leaving, found.places, found.key)


def _settle_day(found: Found, budget: Budget) -> None:
    """Ask the model of each day from the proved one up to the one found."""
    doubt = False
    days = [d for d in bay_days(found.net.calendar) if d >= found.bound_day]
    if found.day == found.bound_day and found.places:
        return
    if found.places is None and not _any_by(found, days[: FAR + 1], budget):
        return
    for day in days:
        if budget.over or (found.places is not None and day >= found.day):
            return
        net = up_to_day(found.net, day)
        made = _small_model(net)
        if made is None:
            return
        if found.places:
            hint(made, found.places)
        solver, status = budget.solve(made.model, budget.left_s / 3)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            found.keep(places_in(made, solver))
            return
        if status != cp_model.INFEASIBLE:
            doubt = True
        elif not doubt:
            later = [d for d in bay_days(found.net.calendar) if d > day]
            found.bound_day = later[0] if later else day + 1
            found.impossible = not later


def _any_by(found: Found, days: Sequence[int], budget: Budget) -> bool:
    """Whether the model finds any schedule within some days."""
    made = _small_model(up_to_day(found.net, days[-1])) if days and not budget.over else None
    if made is None:
        return False
    solver, status = budget.solve(made.model, budget.left_s / 3)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return False
    return found.keep(places_in(made, solver))


def _literals(found: Found) -> int:
    """Size of the sessions model by the day found."""
    net = found.net if found.places is None else up_to_day(found.net, found.day)
    return sum(len(b) for b in windows_of(net).bays)


def _small_model(net: Net) -> SessionModel | None:
    """The sessions model of a net, None when it would be too large or a window is empty."""
    windows = windows_of(net)
    if windows.empty or sum(len(b) for b in windows.bays) > SMALL:
        return None
    return model_of(net, windows)


def _steady(found: Found, budget: Budget) -> None:
    """Look for packings near the last plan: every step on the day it had, or by the order it had."""
    if not found.days:
        return
    net = found.net
    bays = net.calendar.bays
    homes = [bisect_left(bays, found.days.get(i, 0), key=lambda b: b.day) for i in range(net.size)]
    rank: Rank = [(homes[i], i) for i in range(net.size)]
    for style in (found.style, None):
        for kind in (Homes(bays=homes, floor=True), Homes(bays=homes)):
            packer = Packer(net=net, rank=rank, style=style, homes=kind)
            if budget.run(packer):
                found.keep(packer.places)


def _least_used(found: Found) -> int:
    """Fewest sessions that hold all the hand-minutes, and the steps that take several hands."""
    net = up_to_day(found.net, found.day)
    work = sum(m * h for m, h in zip(net.minutes, net.hands, strict=True))
    least = int(net.size > 0)
    for several in sorted(set(net.hands)):
        need = sum(m for m, h in zip(net.minutes, net.hands, strict=True) if h >= several and 2 * h > several)
        rooms = [b.room * max(1, b.hands // several) for b in net.calendar.bays if b.hands >= several]
        least = max(least, _count(rooms, need))
    return max(least, _count([b.room * b.hands for b in net.calendar.bays], work))


def _count(rooms: Sequence[int], need: int) -> int:
    """How many of the rooms, the largest first, hold an amount."""
    count = total = 0
    for room in sorted(rooms, reverse=True):
        if total >= need:
            break
        total, count = total + room, count + 1
    return count


def _drop_bays(found: Found, budget: Budget) -> None:
    """Leave out one bay after another, the least filled first, while the same day can still be had."""
    tried: set[int] = set()
    while found.used > found.bound_used and not budget.over and found.places:
        filled: dict[int, int] = {}
        for place in found.places:
            number = found.net.calendar.bays[place.bay].number
            filled[number] = filled.get(number, 0) + (place.end - place.start) * found.net.hands[place.step]
        left = [n for n in filled if n not in tried]
        if not left:
            return
        number = min(left, key=lambda n: (filled[n], n))
        tried.add(number)
        gone = {b.number for b in found.net.calendar.bays} - filled.keys() | {number}
        _without(found, budget, gone)


def _without(found: Found, budget: Budget, gone: set[int]) -> None:
    """Pack again without some bays (by session number)."""
    calendar = found.net.calendar
    kept = [i for i, b in enumerate(calendar.bays) if b.number not in gone and b.day <= found.day]
    net = replace(
        found.net,
        calendar=replace(calendar, bays=tuple(calendar.bays[i] for i in kept)),
        stretches=tuple(replace(s, eras=tuple(s.eras[i] for i in kept)) for s in found.net.stretches),
    )
    for packer in packings(net, found.style, found.leaving):
        if budget.run(packer) and found.keep([replace(p, bay=kept[p.bay]) for p in packer.places]):
            return


def _settle_used(found: Found, budget: Budget) -> None:
    """Ask the model for fewer sessions on the day found, then for fewer steps moved."""
    if budget.over or found.places is None:
        return
    made = _small_model(up_to_day(found.net, found.day))
    if made is None:
        return
    if found.used > found.bound_used:
        used = count_used(made)
        made.model.add(used >= found.bound_used)
        made.model.minimize(used)
        hint(made, found.places)
        solver, status = budget.solve(made.model, budget.left_s / 2)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            found.keep(places_in(made, solver))
            found.bound_used = max(found.bound_used, round(solver.best_objective_bound))
    if found.days and found.moved(found.places) and not budget.over:
        made = _small_model(up_to_day(found.net, found.day))
        if made is None:
            return
        made.model.add(count_used(made) <= found.used)
        made.model.minimize(changed_days(made, found.days))
        hint(made, found.places)
        solver, status = budget.solve(made.model, budget.left_s / 2)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            found.keep(places_in(made, solver))
