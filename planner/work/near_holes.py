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
from planner.work.tasks import TaskBook, cautions_for

LOOK_MIN = 10
"""Minutes to find what lies near a hole, set a plate between and a stop on the drill (starting guess)."""


def guard_holes(ground: Ground, book: TaskBook) -> None:
    """Let each hole near a fuel part or a battery wait for a look, in the states in which those are taken off."""
    for name, steps in book.holing.items():
        near = ground.knockons.near_holes.get(name, {})
        if near and steps:
            _guard(ground, book, name, steps, near)


def _guard(ground: Ground, book: TaskBook, name: str, steps: list[str], near: dict[str, float]) -> None:
    lines = _lines(ground, near)
    states = [*dict.fromkeys([*(c for body in near for c in _part(ground, body).needs), *lines])]
    demands = tuple(Demand(feature=state_id(c), on=True) for c in states)
    off = [{d.feature for d in book.tasks[t].demands if not d.on} for t in steps]
    left = {body: mm for body, mm in near.items() if any(body not in gone for gone in off)}
    if left:
        # Not the part's own subject: what waits for work on a part does not wait for a look round its hole.
        look = _look(ground, book.tasks[steps[0]], f"{name}.look", _listed(ground, left), smell=bool(lines))
        book.add(look.id, replace(look, demands=demands))
    for step in steps:
        known = book.tasks[step]
        told = (f"`{_short(known)}` has near it: {_listed(ground, left)}. {_BETWEEN}",) if left else ()
        book.tasks[step] = replace(
            known,
            demands=tuple(dict.fromkeys((*known.demands, *demands))),
            cautions=(*known.cautions, *told),
        )
        if left:
            book.wait(step, [f"{name}.look"])


_BETWEEN = "Steel plate or thick board between, a stop on the drill"


def _look(ground: Ground, hole: Task, task_id: str, listed: str, *, smell: bool) -> Task:
    air = ("Smell for petrol at floor height",) if smell else ()
    return Task(
        id=task_id,
        title=f"Look behind and feel by hand before `{_short(hole)}`",
        work=Work.MEASURING,
        minutes=paced(ground.job, Work.MEASURING, LOOK_MIN),
        hands=1,
        after=hole.after,
        tools=("lamp that cannot spark", "rule", "steel plate or thick board", "drill stop"),
        cautions=cautions_for(ground, Work.MEASURING, (), hot=False),
        why=hole.why,
        effect=hole.effect,
        notes=(
            f"To be found near it: {listed}",
            *air,
            f"{_BETWEEN}; no hole where one of them can be neither shielded nor taken away",
        ),
    )


def _short(hole: Task) -> str:
    return hole.title.split(",", maxsplit=1)[0]


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
