"""Telling what the job leaves open: sizes in doubt, ports without a link, circuits without a part they had."""

from __future__ import annotations

from collections.abc import Sequence

from planner.knockon.conflicts import SEAT_MM, TOUCH_MM, run_of
from planner.knockon.doubts import Verdict, clearance_of, most_doubt_mm
from planner.knockon.graph import EffectBook
from planner.knockon.link_change import Fate
from planner.knockon.open_ends import end_words, way_out
from planner.knockon.outcome import Outcome, disturbed_effect
from planner.knockon.placed import Placed, settled
from planner.knockon.tight import belong_together
from planner.model.effects import Cause, CauseKind, EffectKind
from planner.model.guessed import SIZE, size_is_guessed
from planner.model.shapes import Pose
from planner.model.vehicle import Component, End, Link
from planner.space import closer_than, extent_mm, gap


def tell_questions(out: Outcome, book: EffectBook) -> None:
    """Everything to be measured or settled before metal is cut."""
    placed = out.answer.placed
    moved = settled(placed, out.base, out.asked.fixed)
    for i in moved:
        for j, other in placed.items():
            if j != i and not (j in moved and j < i):
                _tell_doubt(out, book, placed[i], other)
                _tell_depth(out, book, placed[i], other)
    _tell_guesses(out, book)
    _tell_tight_runs(out, book)
    _tell_open_ports(out, book)
    _tell_lost_members(out, book)


def _tell_guesses(out: Outcome, book: EffectBook) -> None:
    """New parts whose size nobody has measured: everything that follows is worked out from a guess."""
    for i in out.asked.new:
        if i in out.answer.placed and size_is_guessed(part := out.answer.placed[i].part):
            low, high = extent_mm(part.solids, Pose())
            most_mm = max(s.doubt_mm for s in part.solids)
            size = " x ".join(out.length(b - a) for a, b in zip(low, high, strict=True))
            text = (
                f"{size} is a guess, +/- {out.length(most_mm)}: it decides whether {part.name} has its place, what "
                "must move for it, and what is cut, drilled and bent for it"
            )
            cause = Cause(kind=CauseKind.DOUBT, source=disturbed_effect(book, i), text=text)
            book.add(EffectKind.MEASURED, f"{i}{SIZE}", f"the size of {part.name} was never measured", [cause])


def _tell_tight_runs(out: Outcome, book: EffectBook) -> None:
    """New links whose run, as the job has it, comes nearer to another link than the catalog advises."""
    parts = {i: p.part for i, p in out.answer.placed.items()}
    there = [out.asked.links[i] for i in out.links]
    known = [k for k in there if k.id in out.asked.links_new or out.links[k.id].fate is not Fate.REMAKE]
    for link in known:
        for other in known:
            if link.id not in out.asked.links_new or other.id == link.id or belong_together(out.rules, link, other):
                continue
            keep = out.rules.keeps.keep(link, other)
            runs = (run_of(link, parts), run_of(other, parts)) if keep.rule is not None else None
            if runs is None or not closer_than(*runs, keep.mm - TOUCH_MM):
                continue
            near = out.length(max(0.0, gap(*runs).mm))
            text = f"{other.name} is {near} from it, {out.length(keep.mm)} is to be kept{keep.because}"
            source = disturbed_effect(book, link.id)
            cause = Cause(kind=CauseKind.KEEP_CLEAR, source=source, text=text)
            words = f"the run of {link.name} is to be found anew on the vehicle"
            book.add(EffectKind.MEASURED, link.id, words, [cause])


def _tell_doubt(out: Outcome, book: EffectBook, part: Placed, other: Placed) -> None:
    most_mm = most_doubt_mm(part.part) + most_doubt_mm(other.part)
    if most_mm <= 0.0 or out.rules.meant_to_touch(part.part, other.part):
        return
    needed_mm = out.rules.keeps.keep(part.part, other.part).mm
    if not closer_than(part.body, other.body, needed_mm + most_mm):
        return
    found = clearance_of(part, other, needed_mm, out.rules.set_anew(part, other))
    if found.verdict is Verdict.UNDECIDED:
        text = (
            f"{out.length(max(0.0, found.mm))} to {other.part.name}, {out.length(needed_mm)} is to be kept, "
            f"and the sizes are sure to {out.length(found.doubt_mm)} only"
        )
        cause = Cause(
            kind=CauseKind.DOUBT,
            source=disturbed_effect(book, part.part.id),
            text=text,
            mm=found.mm - needed_mm,
            keep_mm=needed_mm,
        )
        words = f"the gap between {part.part.name} and {other.part.name} is to be measured"
        book.add(EffectKind.MEASURED, f"{part.part.id}~{other.part.id}", words, [cause])


def _tell_depth(out: Outcome, book: EffectBook, part: Placed, other: Placed) -> None:
    """A new part that lies deep in what it is only meant to touch, with no hole cut for it."""
    pivoted = any(p.part.rides or p.part.motion is not None for p in (part, other))
    if part.part.id not in out.asked.new or pivoted or not out.rules.meant_to_touch(part.part, other.part):
        return
    holes = [out.rules.hole(c) for c in out.asked.cuts if c.host in {part.part.id, other.part.id}]
    if any(closer_than(hole, part.still, TOUCH_MM) for hole in holes):
        return
    least_mm = SEAT_MM + doubt_of(part.part) + doubt_of(other.part)
    if closer_than(part.still, other.still, -least_mm):
        depth = out.length(-gap(part.still, other.still).mm)
        text = f"it lies {depth} deep in {other.part.name}, which it is only meant to touch, and no hole is cut for it"
        cause = Cause(kind=CauseKind.DOUBT, source=disturbed_effect(book, part.part.id), text=text)
        book.add(
            EffectKind.MEASURED,
            f"{part.part.id}~{other.part.id}",
            f"the seat of {part.part.name} is to be settled",
            [cause],
        )


def doubt_of(part: Component) -> float:
    """How far a face of the part may be from where the file has it [mm]: its place and half its size."""
    return part.position_doubt_mm + max((s.doubt_mm for s in part.solids), default=0.0) / 2


def _tell_open_ports(out: Outcome, book: EffectBook) -> None:
    """Ports of parts that stay, from which a pipe or hose goes and nothing takes its place."""
    left = [k for i, k in out.asked.links.items() if i in out.links]
    for i in book.of_kind(EffectKind.GONE):
        link = out.vehicle.links.get(i)
        if link is None or not (_holds_fluid(out, link) or link.group in _WORKED):
            continue
        wet = _holds_fluid(out, link)
        for end in link.ends:
            if end.port and end.component in out.answer.placed and not _joined(out, link, end, left):
                text = f"{link.name} goes and nothing takes its place there: {way_out(wet=wet)}"
                cause = Cause(kind=CauseKind.LINKED_TO, source=disturbed_effect(book, i), text=text)
                words = end_words(out.name(end.component), end.port, wet=wet)
                book.add(EffectKind.MEASURED, f"{end.component}.{end.port}", words, [cause])


_WORKED = frozenset({"brakes", "clutch", "steering", "throttle"})
"""Groups whose rods, cables and shafts work something: one that goes leaves a pedal, a lever or a wheel without it."""


def _joined(out: Outcome, link: Link, end: End, left: Sequence[Link]) -> bool:
    """Whether something takes a link's place at an end: at its very port, or for what works something at the part."""
    if _holds_fluid(out, link):
        return any((e.component, e.port) == (end.component, end.port) for k in left for e in k.ends)
    return any(e.component == end.component and k.group == link.group for k in left for e in k.ends)


def _holds_fluid(out: Outcome, link: Link) -> bool:
    if link.system is None:
        return False
    return bool(out.catalog.system_kinds[out.vehicle.systems[link.system].kind].fluid)


def _tell_lost_members(out: Outcome, book: EffectBook) -> None:
    """Circuits that lose a part of a kind of which they then have none."""
    after = [p.part for p in out.answer.placed.values()]
    for i in book.of_kind(EffectKind.GONE):
        part = out.vehicle.components.get(i)
        for system in part.systems if part is not None else ():
            members = [p for p in after if system in p.systems]
            linked = any(k.system == system for j, k in out.asked.links.items() if j in out.links)
            if part is None or not (members or linked) or any(_serves(out, m, part.kind) for m in members):
                continue
            kind = out.catalog.kinds[part.kind].name
            text = f"{part.name} goes and no other {kind} is in that circuit"
            cause = Cause(kind=CauseKind.PART_OF, source=disturbed_effect(book, i), text=text)
            words = f"{out.name(system)} is left without a {kind}"
            book.add(EffectKind.MEASURED, f"{system}~{part.kind}", words, [cause])


def _serves(out: Outcome, part: Component, kind: str) -> bool:
    """Whether a part does in a circuit what one of a kind did."""
    return part.kind == kind or kind in out.catalog.kinds[part.kind].serves_as
