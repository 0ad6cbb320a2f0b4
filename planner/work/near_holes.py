"""Holes made near a tank, a fuel line or a battery: made safe first, looked at first, and named in every such step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.knockon import NEW, opened_by
from planner.model.catalog import Work
from planner.model.vehicle import Component, Link
from planner.model.work import Demand, Task
from planner.units import format_length
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.pace import paced
from planner.work.tasks import TaskBook
from planner.work.waits import all_before, graph_of

LOOK_MIN = 10
"""Minutes to find what lies near a hole, set a plate between and a stop on the drill (starting guess)."""


def guard_holes(ground: Ground, book: TaskBook) -> None:
    """Let each hole near a fuel part or a battery begin with a look, in the states in which those are taken off.

    What comes off in the job anyway is off while the hole is made.
    """
    for name, steps in book.holing.items():
        near = ground.knockons.near_holes.get(name, {})
        for step in steps if near else ():
            book.tasks[step] = _guarded(ground, book, book.tasks[step], near)


def _guarded(ground: Ground, book: TaskBook, hole: Task, near: dict[str, float]) -> Task:
    """The step with its look: whoever looks drills at once, with nothing put back in between."""
    lines = _lines(ground, near)
    states = dict.fromkeys([*(c for body in near for c in _part(ground, body).needs), *lines])
    held = _held_there(ground, book, hole)
    away = [Demand(feature=body, on=False) for body in near if body in ground.handled and body not in held]
    demands = dict.fromkeys((*hole.demands, *(Demand(feature=state_id(c), on=True) for c in states), *away))
    gone = {d.feature for d in demands if not d.on}
    left = {body: mm for body, mm in near.items() if body not in gone}
    safe = replace(hole, demands=tuple(demands))
    return _looked_first(ground, safe, _listed(ground, left), smell=bool(lines)) if left else safe


def _held_there(ground: Ground, book: TaskBook, hole: Task) -> set[str]:
    """Bodies that a hole, or work before it, wants in place, with all that those are mounted on or join."""
    ahead = all_before(graph_of(book.tasks.values()), [hole.id]) & book.tasks.keys()
    waiting = [d.feature for task in (hole, *(book.tasks[i] for i in ahead)) for d in task.demands if d.on]
    found: set[str] = set()
    while waiting:
        item = ground.handled.get(body := waiting.pop())
        if body in found:
            continue
        found.add(body)
        if item is not None:
            ends = [e.component for e in item.part.ends] if isinstance(item.part, Link) else []
            waiting += [b for s in (*item.hosts, *ends) if s is not None for b in (s, s + NEW)]
    return found


_BETWEEN = "Steel plate or thick board between, a stop on the drill"


def _looked_first(ground: Ground, hole: Task, listed: str, *, smell: bool) -> Task:
    air = ("Smell for petrol at floor height",) if smell else ()
    short = hole.title.split(",", maxsplit=1)[0]
    tools = ("lamp that cannot spark", "rule", "steel plate or thick board", "drill stop")
    return replace(
        hole,
        title=f"Look behind and feel by hand, then {hole.title[:1].lower()}{hole.title[1:]}",
        minutes=hole.minutes + paced(ground.job, Work.MEASURING, LOOK_MIN),
        tools=tuple(dict.fromkeys((*tools, *hole.tools))),
        cautions=(*hole.cautions, f"`{short}` has near it: {listed}. {_BETWEEN}"),
        notes=(
            f"To be found near it: {listed}",
            *air,
            "No hole where what is near can be neither shielded nor taken away",
            *hole.notes,
        ),
    )


def _lines(ground: Ground, near: Iterable[str]) -> list[str]:
    """The states of hot work that keep the circuits of the neighbours from it."""
    parts = [_part(ground, body) for body in near]
    opened = {ground.vehicle.systems[s].kind for p in parts for s in opened_by(p, ground.vehicle, ground.catalog)}
    known = ground.catalog.conditions
    return [c for c in ground.catalog.hot_conditions if opened & set(known[c].whole)]


def _part(ground: Ground, body: str) -> Component | Link:
    return ground.part(body.removesuffix(NEW))


def _listed(ground: Ground, near: dict[str, float]) -> str:
    """Names with distances, each once with its least; what may be off just then is told so."""
    told: dict[str, str] = {}
    for body, mm in near.items():
        name = _part(ground, body).name
        there = ", as long as it is there" if body in ground.handled else ""
        told.setdefault(name, f"{name} ({format_length(round(mm), ground.vehicle.units)} away{there})")
    return ", ".join(told.values())
