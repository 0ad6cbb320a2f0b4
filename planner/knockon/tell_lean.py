"""Rods and shafts that may not leave their line: by how much the job has them lean, and what would keep them in it."""

from __future__ import annotations

import math
from collections.abc import Collection

from planner.knockon.giving import Case, asked_move_mm
from planner.knockon.homes import HomeSearch
from planner.knockon.link_change import Fate, swing_between
from planner.knockon.outcome import Outcome
from planner.knockon.placed import Placed, placed_at
from planner.knockon.rigid import added
from planner.model.shapes import Pose
from planner.model.vehicle import Link

MOST_LEAN_DEG = 10.0
"""No owner is told to let a rod lean further than this: it would push its piston aside (starting guess)."""


def lean_words(out: Outcome, part: str) -> list[str]:
    """For each rod or shaft that leans too far with a part where it stands now, by how much and what it may."""
    leaning = [k for k in out.asked.links.values() if part in {e.component for e in k.ends} and k.id in out.links]
    return [
        f"with it where it is {k.name} would lean {_tenths(out.links[k.id].change.swing_deg):g} degrees out of its "
        f"line, {k.swing_deg:g} at the most"
        for k in leaning
        if out.links[k.id].change.fate is Fate.USELESS
    ]


def lean_deg(search: HomeSearch, link: Link, put: Collection[Placed]) -> float:
    """How far [deg] a rod or shaft leans out of its line with some parts put so, rounded up to a tenth."""
    facts = search.links.facts
    placed = {**{e.component: search.base[e.component] for e in link.ends}, **{p.part.id: p for p in put}}
    swing = swing_between(facts.ports_before(link), facts.ports_in(link, placed))
    return _tenths(swing)


def _tenths(deg: float) -> float:
    """Up to the next tenth: what is said to do has to do."""
    return math.ceil(10.0 * deg - 1e-9) / 10.0


def tied_to(part: str, links: Collection[Link], fixed: Collection[str]) -> list[str]:
    """The parts that rods and shafts join to a part, one after another; what the job has put elsewhere is left out."""
    found = [part]
    for at in found:
        for link in links:
            ends = [e.component for e in link.ends]
            if link.swing_deg is not None and at in ends:
                found += [i for i in ends if i not in found and i not in fixed]
    return found[1:]


def move_in_line_mm(case: Case, search: HomeSearch, part: str) -> tuple[int, float]:
    """The most whole millimetres of the move the job asks for in which every rod stays in line, and the whole move.

    The other parts are where they are; 0 when there is no such move.
    """
    whole_mm = asked_move_mm(case, part)
    rods = [k for k in search.asked.links.values() if k.swing_deg is not None and part in {e.component for e in k.ends}]
    before = case[0].components[part].pose.at_mm if whole_mm else (0.0, 0.0, 0.0)
    base = search.base[part]
    by = tuple(b - a for a, b in zip(before, base.part.pose.at_mm, strict=True))
    for mm in range(math.ceil(whole_mm) - 1, 0, -1):
        x, y, z = (c * mm / whole_mm for c in by)
        put = placed_at(base, Pose(at_mm=added(before, (x, y, z)), turn_deg=base.part.pose.turn_deg))
        if all(lean_deg(search, k, (put,)) <= (k.swing_deg or 0.0) for k in rods):
            return mm, whole_mm
    return 0, whole_mm
