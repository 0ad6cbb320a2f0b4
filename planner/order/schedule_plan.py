"""A plan from places: slots, reasons, dates to order by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.model.plan import Plan, Slot, Strip
from planner.model.work import Task, Toggle, WorkList
from planner.order.calendar import Calendar
from planner.order.pack import Style
from planner.order.schedule_net import Net, Place, arrivals, net_of
from planner.order.thread import Thread, piece_of, step_of, thread_of
from planner.order.why import why_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A strip-down ready to be put into sessions. ``leaving`` has the bits of toggles that leave a passing state."""

    work: WorkList
    strip: Strip
    thread: Thread
    pieces: tuple[Task | Toggle, ...]
    net: Net
    style: Style
    leaving: int
    arrives: dict[str, date]


def load_of(work: WorkList, strip: Strip, calendar: Calendar) -> Load:
    """Make the load of a strip-down that has steps."""
    thread = thread_of(work, strip.steps)
    arrives = arrivals(work, calendar.first)
    number = {n: i for i, n in enumerate(thread.nodes)}
    passing = {f.id for f in work.features.values() if not f.start and f.goal is False}
    pieces = tuple(piece_of(n, work) for n in thread.nodes)
    # A toggle that ends a state the vehicle neither starts nor ends in is done as soon as it can be, unless that
    # state keeps those safe who work in it.
    leaving = sum(
        1 << i
        for i, (n, p) in enumerate(zip(thread.nodes, pieces, strict=True))
        if isinstance(p, Toggle) and not p.on and n.ref in passing and not p.late
    )
    style = Style(
        serves=tuple(tuple(number[m] for m in thread.serves.get(n, ())) for n in thread.nodes),
        tasks=sum(1 << i for i, n in enumerate(thread.nodes) if n.number == 0),
    )
    net = net_of(work, thread, calendar, arrives)
    return Load(
        work=work,
        strip=strip,
        thread=thread,
        pieces=pieces,
        net=net,
        style=style,
        leaving=leaving,
        arrives=arrives,
    )


def no_plan(strip: Strip, arrives: dict[str, date], trouble: tuple[str, ...]) -> Plan:
    """Return the plan that says why there is none."""
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


def by_step(places: Sequence[Place]) -> list[Place]:
    """Places in the order of the strip-down."""
    return sorted(places, key=lambda p: p.step)


def plan_of(load: Load, places: Sequence[Place]) -> Plan:
    """Give the plan of a complete packing; what starts together is told in the order of ``places``."""
    work, calendar, nodes = load.work, load.net.calendar, load.thread.nodes
    ordered = sorted(places, key=lambda p: p.start)
    used: dict[str, date] = {}
    for place in ordered:
        for buy in load.pieces[place.step].purchases:
            if buy in work.buys:
                used.setdefault(buy, calendar.day_of(place.start))
    parts: dict[int, int] = {}
    slots = []
    for place in ordered:
        parts[place.step] = parts.get(place.step, 0) + 1
        slots.append((place, parts[place.step]))
    last = max((calendar.bays[p.bay].number for p in places), default=-1)
    return Plan(
        strip=load.strip,
        sessions=calendar.sessions[: last + 1],
        slots=tuple(
            Slot(
                step=step_of(nodes[p.step], work),
                session=calendar.bays[p.bay].number,
                start=calendar.at(p.start),
                end=calendar.at(p.end),
                part=part,
                parts=parts[p.step],
            )
            for p, part in slots
        ),
        why=why_of(work, load.thread, [nodes[p.step] for p in ordered]),
        order_by={b: used[b] - timedelta(days=work.buys[b].lead_days) for b in work.buys if b in used},
        arrives=load.arrives,
        finish=calendar.at(max(p.end for p in places)) if places else None,
        work_min=sum(p.minutes * p.hands for p in load.pieces),
    )
