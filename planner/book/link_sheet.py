"""The sheet of a hose, pipe, wire, cable or rod that is made: its cut list, its bends, its run to scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from planner.book.facts import BookFacts
from planner.book.making_sheet import MakingSheet
from planner.book.run_views import run_views_of
from planner.model.runs import Laid, Run, RunSort
from planner.model.shapes import Vec
from planner.model.vehicle import Link
from planner.space import fillet, port_mm
from planner.units import format_length

_RUN_CARE = "Form the run in wire or string on the vehicle before anything is cut."
_ROD_CARE = "Measure from joint to joint on the vehicle, both ends where they will stand, before anything is cut."
_STRAIGHT = 2
"""Points of a run without a corner: there is nothing to draw."""
_BEND_LINE = "bend "
"""How a line of a cut list begins that the table of the bends says as well."""


def link_sheet_of(facts: BookFacts, link: Link) -> MakingSheet:
    """The sheet of one link."""
    units, run = facts.units, facts.answer.knockons.runs.get(link.id)
    ends = tuple(_end_words(facts, e.component, e.port) for e in link.ends)
    points = run.points_mm if run is not None else _points(facts, link)
    lines = [f"from A, {ends[0]}, to B, {ends[1]}"]
    # Only a tube is bent on marks; what is laid or clipped finds its bends by itself.
    bent = run if run is not None and run.sort is RunSort.PIPE and run.bends else None
    if run is None:
        lines += _drawn_lines(link, points, units)
    else:
        lines += _run_lines(run, tabled=bent is not None)
    return MakingSheet(
        id=link.id,
        name=link.name,
        sort="run",
        lines=tuple(lines),
        bends=tuple(_bends(bent, units)) if bent is not None else (),
        radius=format_length(bent.bend_mm, units) if bent is not None else "",
        picture=run_views_of(link.name, points, (ends[0], ends[1]), units) if len(points) > _STRAIGHT else "",
    )


def _run_lines(run: Run, *, tabled: bool) -> Iterator[str]:
    if run.laid is Laid.INSTEAD:
        yield "The run the job draws is not clear; this one is, and it is the one to make."
    if run.laid is Laid.DRAWN:
        yield "Along the run that the job draws."
    yield from (line for line in run.lines if not (tabled and line.startswith(_BEND_LINE)))
    yield _ROD_CARE if run.sort in {RunSort.ROD, RunSort.SHAFT} else _RUN_CARE


def _drawn_lines(link: Link, points: Sequence[Vec], units: str) -> Iterator[str]:
    is_rod = link.rigid and not link.via_mm
    whole = sum(math.dist(a, b) for a, b in pairwise(points))
    length = _told(whole, units, exact=link.rigid)
    how = "from joint to joint" if is_rod else "along the line the file draws"
    yield f"{length} {how}, {format_length(link.across_mm, units)} across"
    if len(points) > _STRAIGHT and link.rigid:
        yield f"corner to corner, before the bends take up their share: {_leg_words(points, units)}"
    elif len(points) > _STRAIGHT:
        legs = ", ".join(_told(math.dist(a, b), units, exact=False) for a, b in pairwise(points))
        yield f"from A, corner to corner: {legs}"
    if link.adjust_mm:
        yield f"its adjuster takes up {format_length(link.adjust_mm, units)}"
    crowded = bool(points) and bool(fillet(points, link.bend_radius_mm).short_legs)
    if crowded:
        bend = format_length(link.bend_radius_mm, units)
        yield f"Its corners, as they are drawn, leave no room for bends of {bend}: draw them farther apart."
    yield f"No cut list was worked out for it. {_ROD_CARE if is_rod else _RUN_CARE}"


def _told(length_mm: float, units: str, *, exact: bool) -> str:
    """A length; of what gives, like a hose or a wire, to the millimetre only."""
    return format_length(length_mm if exact else float(round(length_mm)), units)


def _leg_words(points: Sequence[Vec], units: str) -> str:
    """Legs of a run with the turn between them [deg], from its first end."""
    legs = [tuple(b - a for a, b in zip(p, q, strict=True)) for p, q in pairwise(points) if p != q]
    if not legs:
        return "no length"
    told = [format_length(math.hypot(*legs[0]), units)]
    for before, leg in pairwise(legs):
        cosine = sum(a * b for a, b in zip(before, leg, strict=True)) / math.hypot(*before) / math.hypot(*leg)
        turn = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
        told.append(f"turn {turn:.0f} deg, {format_length(math.hypot(*leg), units)}")
    return ", ".join(told)


def _points(facts: BookFacts, link: Link) -> tuple[Vec, ...]:
    parts = facts.answer.knockons.after
    if any(e.component not in parts for e in link.ends):
        return ()
    first, last = (port_mm(parts[e.component], e.port) for e in link.ends)
    return (first, *link.via_mm, last)


def _end_words(facts: BookFacts, component: str, port: str) -> str:
    return f"{facts.name_of(component)}{f' ({port})' if port else ''}"


def _bends(run: Run, units: str) -> Iterator[tuple[str, str, str, str]]:
    """Bends as (where from end A, angle, turn of the tube since the last, which way it goes then)."""
    for bend in run.bends:
        turned = round(bend.roll_deg)
        sense = "" if turned == 0 else " clockwise" if turned > 0 else " anticlockwise"
        at = format_length(float(round(bend.at_mm)), units)
        yield at, f"{bend.angle_deg:.0f}", f"{abs(turned)}{sense}", bend.towards
