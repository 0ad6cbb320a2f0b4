"""A sheet for each part, hole and link that is made anew: its size, its views to scale, its cut list."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from functools import partial
from itertools import pairwise
from string import ascii_uppercase

from planner.book.facts import BookFacts
from planner.book.link_sheet import link_sheet_of
from planner.book.making_sheet import MakingSheet
from planner.book.part_views import views_of
from planner.book.pictures import inline
from planner.draw import lever_svg
from planner.export.plan_words import one_line
from planner.model.catalog import Work
from planner.model.effects import EffectKind
from planner.model.job import Cut
from planner.model.shapes import Box, Cylinder, Mesh, Outline, Pose, Solid, Tube, Vec
from planner.model.steps import thing_of
from planner.model.vehicle import Component
from planner.sums.bracket_lines import blank_of
from planner.sums.lever import Lever, LeverError
from planner.sums.levers_there import LeverThere, levers_there
from planner.sums.told import value_words
from planner.units import format_length

_MADE = (EffectKind.NEW, EffectKind.REMADE, EffectKind.GROWS)
_STIRRED = (*_MADE, EffectKind.MOVES)
_LEVER_MM = (172.0, 128.0)
"""The drawing of a lever is as wide as a page: what its title says of its scale holds on paper."""
_LEVER_CARE = ("Mock it up in card or ply with drawing pins for pivots before metal is cut.",)
_NO_PATTERN = (
    "Flat pattern: not here. The file does not say how the sheet is folded (legs, inside radius, thickness). Fold a "
    "strip of the same sheet first, measure what each bend takes up, and mark out from that."
)


def making_of(facts: BookFacts) -> tuple[MakingSheet, ...]:
    """All sheets: levers through their travel, then parts, holes and links."""
    return tuple(draw() for _, draw in _each(facts))


def making_for(facts: BookFacts, things: AbstractSet[str]) -> tuple[MakingSheet, ...]:
    """The sheets of some parts, holes and links alone; no other is drawn."""
    return tuple(draw() for thing, draw in _each(facts) if thing in things)


def _each(facts: BookFacts) -> Iterator[tuple[str, Callable[[], MakingSheet]]]:
    """What has a sheet, and what draws it."""
    found = facts.answer.knockons
    made = [e.subject for e in found.effects if e.kind in _MADE]
    # A part that grows where it is bought is still made by nobody here.
    parts = [p for i in dict.fromkeys(made) if (p := found.after.get(i)) is not None and _is_made(p)]
    links = [k for i in dict.fromkeys(made) if (k := found.links_after.get(i)) is not None]
    cuts = [c for c in facts.answer.job.changes if isinstance(c, Cut)]
    for n, there in enumerate(levers_there(found.after, found.links_after)):
        # Levers of which a part is made, bought or moved.
        if {there.part, there.link, there.cylinder} & {e.subject for e in found.effects if e.kind in _STIRRED}:
            yield there.link, partial(_lever_sheet, facts, n, there)
    yield from ((p.id, partial(_part_sheet, facts, p)) for p in parts)
    yield from ((c.id, partial(_cut_sheet, facts, c)) for c in cuts)
    yield from ((k.id, partial(link_sheet_of, facts, k)) for k in links)


def _is_made(part: Component) -> bool:
    return part.make_min is not None or part.remake is not None


def _part_sheet(facts: BookFacts, part: Component) -> MakingSheet:
    units = facts.answer.vehicle.units
    letters = dict(zip(ascii_uppercase, part.ports_mm.items(), strict=False))
    lines = [*_solid_lines(part.solids, units)]
    if part.remake is not None and part.remake.thick_mm > 0.0:
        lines.append(f"walls {format_length(part.remake.thick_mm, units)} thick")
    if part.mounted_on is not None:
        lines.append(f"sits on {facts.name_of(part.mounted_on)}{f', {part.fixings}' if part.fixings else ''}")
    if part.mass_kg is not None:
        lines.append(f"reckoned with {part.mass_kg:g} kg: weigh it when it is made")
    pattern = _pattern(facts, part)
    if not pattern and _is_folded(facts, part.id):
        lines.append(_NO_PATTERN)
    lines.append("The file has its outline only: wall, ribs, flanges and holes are yours to draw in.")
    return MakingSheet(
        id=part.id,
        name=part.name,
        sort="part",
        lines=tuple(lines),
        joins=tuple((a, name, _place(at, units)) for a, (name, at) in letters.items()),
        picture=views_of(part.name, part.solids, {a: at for a, (_, at) in letters.items()}, units) + pattern,
    )


def _pattern(facts: BookFacts, part: Component) -> str:
    """The flat pattern of a folded part to scale, as SVG text; empty where the file does not say how it is folded."""
    figures = facts.answer.vehicle.figures
    bracket = None if figures is None else figures.brackets.get(part.id)
    try:
        blank = None if bracket is None else blank_of(bracket)
    except ValueError:
        return ""
    if blank is None or bracket is None:
        return ""
    flat = Outline(points_mm=blank.outline_mm, thick_mm=bracket.thick_mm.value, along="z")
    folds = {f"fold {n}": (line[0][0], 0.0, 0.0) for n, line in enumerate(blank.folds_mm, start=1)}
    return views_of(f"{part.name}, flat pattern", (flat,), folds, facts.answer.vehicle.units)


def _is_folded(facts: BookFacts, part: str) -> bool:
    work = facts.answer.work.tasks.values()
    return any(t.work is Work.BENDING and thing_of(t.id) == part for t in work)


def _lever_sheet(facts: BookFacts, n: int, there: LeverThere) -> MakingSheet:
    name = f"{facts.name_of(there.part)} through its travel, {facts.name_of(there.link)}"
    told = [x for x in facts.sums if x.about == there.link and x.value is not None]
    figures = [one_line(f"{facts.named(x.title)}: {value_words(x, facts.units)}") for x in told]
    try:
        picture = inline(lever_svg(facts.name_of(there.part), there.lever, [], name=f"lever-{n}", size_mm=_LEVER_MM))
    except LeverError as error:
        return MakingSheet(id=there.link, name=name, sort="lever", lines=(str(error),))
    lines = (*_lever_lines(there.lever, facts.units), *figures, *_LEVER_CARE)
    return MakingSheet(id=there.link, name=name, sort="lever", lines=lines, picture=picture)


def _lever_lines(lever: Lever, units: str) -> Iterator[str]:
    yield f"pivot to clevis {format_length(lever.clevis_arm_mm, units)}"
    yield f"pivot to the middle of the pad {format_length(lever.pad_arm_mm, units)}"
    yield f"rod from joint to joint {format_length(lever.rod_mm, units)}"
    yield f"turns {abs(lever.travel_deg):.1f} deg from rest to the end of its travel"


def _cut_sheet(facts: BookFacts, cut: Cut) -> MakingSheet:
    units = facts.answer.vehicle.units
    at = cut.hole.pose.at_mm
    lines = [
        *_solid_lines((cut.hole,), units),
        f"middle in vehicle axes: {_place(at, units)}",
        "a patch or doubler is welded round it" if cut.welded else "nothing is welded to it",
        "Offer the part up and look behind the panel before it is cut.",
    ]
    return MakingSheet(
        id=cut.id,
        name=f"hole in {facts.name_of(cut.host)} ({cut.id})",
        sort="hole",
        lines=tuple(lines),
        picture=views_of(f"hole {cut.id}", (cut.hole,), {}, units),
    )


def _solid_lines(solids: Sequence[Solid], units: str) -> Iterator[str]:
    for n, solid in enumerate(solids, start=1):
        head = f"{n}. " if len(solids) > 1 else ""
        doubt = f", sure to {format_length(solid.doubt_mm, units)}" if solid.doubt_mm else ""
        yield f"{head}{_solid_words(solid, units)}{doubt}{_pose_words(solid.pose, units)}"


def _solid_words(solid: Solid, units: str) -> str:
    def length(mm: float) -> str:
        return format_length(mm, units)

    match solid:
        case Box():
            return f"block {' x '.join(length(s) for s in solid.size_mm)}"
        case Cylinder():
            return f"round {length(solid.across_mm)} across, {length(solid.length_mm)} along {solid.along}"
        case Tube():
            run = sum(math.dist(a, b) for a, b in pairwise(solid.through_mm))
            bend = f", bent to a radius of {length(solid.bend_mm)}" if solid.bend_mm else ""
            return f"tube {length(solid.across_mm)} across, {length(run)} from corner to corner{bend}"
        case Outline():
            corners = "; ".join(f"{length(a)}, {length(b)}" for a, b in solid.points_mm)
            return f"sheet or block {length(solid.thick_mm)} thick along {solid.along}, corners at {corners}"
        case Mesh():
            return f"surface drawn elsewhere ({solid.file or 'no file name'})"


def _pose_words(pose: Pose, units: str) -> str:
    at = "" if not any(pose.at_mm) else f", middle at {_place(pose.at_mm, units)}"
    turn = "" if not any(pose.turn_deg) else f", turned {', '.join(f'{t:g}' for t in pose.turn_deg)} deg"
    return f"{at}{turn}"


def _place(at_mm: Vec, units: str) -> str:
    return ", ".join(f"{axis} {format_length(v, units)}" for axis, v in zip("xyz", at_mm, strict=True))
