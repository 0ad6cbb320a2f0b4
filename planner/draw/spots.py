"""Where things get into each other's way: every clash with its place, folded to as many spots as can be read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import dist

from planner.draw.scene import DONE, NOW
from planner.draw.sheet import Clash
from planner.knockon import Fault, present_faults
from planner.model.effects import Cause, CauseKind, EffectKind, Knockons
from planner.model.shapes import Vec
from planner.model.vehicle import Vehicle
from planner.space import component_body, place_words
from planner.units import format_length

SPOTS_AT_MOST = 10
FOLD_MM = 5.0
"""Spots nearer than this on the paper would cover one another."""
_WIDER = 1.5
_KINDS = {CauseKind.CLASH: Clash.OVERLAP, CauseKind.KEEP_CLEAR: Clash.CLOSE, CauseKind.ROOM_LOST: Clash.ROOM}
_RANKS = {clash: rank for rank, clash in enumerate(Clash)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Two things in each other's way. ``comer`` and ``met`` are ids; what is met stands there already."""

    clash: Clash
    comer: str
    met: str
    at_mm: Vec | None
    mm: float
    head: str
    """What meets what, how much and on which side, in one line."""
    told: str
    """The whole sentence with its numbers."""
    state: str = NOW
    """The state of the vehicle in which it is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Meetings that are drawn as one spot, at the place of the worst of them."""

    worst: Meeting
    others: tuple[Meeting, ...]
    at_mm: Vec


def meetings_asked(vehicle: Vehicle, knockons: Knockons, names: Mapping[str, str]) -> tuple[Meeting, ...]:
    """Every clash of a job with what stands there, the worst first.

    A clash of which no place is known is among them, without one; work done near a part takes none of its room on the
    drawing, so that it is left out.
    """
    found = []
    new_links = knockons.links_after.keys() - vehicle.links.keys()
    for effect in knockons.effects:
        # What a drawn run meets is no clash of the job: the link is made by another, or `meetings_done` has it.
        aside = effect.kind is EffectKind.MEASURED and effect.subject in new_links
        for cause in () if aside else effect.causes:
            clash = _KINDS.get(cause.kind)
            comer = cause.source.partition(":")[2]
            if clash is None or comer not in names or comer == effect.subject:
                continue
            if cause.at_mm is None and clash is not Clash.OVERLAP:
                continue
            told = f"{names.get(effect.subject, effect.subject)}: {cause.text}"
            found.append(_meeting(vehicle, names, clash, (comer, effect.subject), _Told(cause, told)))
    return _ordered(found)


def meetings_done(vehicle: Vehicle, knockons: Knockons, names: Mapping[str, str]) -> tuple[Meeting, ...]:
    """What the drawn runs of new links meet when the job is done, of which no clear run was found; the worst first."""
    asked = {e.subject for e in knockons.effects if e.kind is EffectKind.MEASURED}
    unclear = (knockons.links_after.keys() - vehicle.links.keys() - knockons.runs.keys()) & asked
    if not unclear:
        return ()
    done = replace(vehicle, components=knockons.after, links=knockons.links_after, relations={})
    faults = [f for f in present_faults(done) if {f.part, f.other} & unclear]
    return tuple(replace(m, state=DONE, head=f"{m.head}, {DONE}") for m in meetings_now(done, faults, names))


def meetings_now(vehicle: Vehicle, faults: Iterable[Fault], names: Mapping[str, str]) -> tuple[Meeting, ...]:
    """Every clash that the vehicle has as it stands, the worst first."""
    found = []
    for fault in faults:
        clash = _KINDS.get(fault.kind)
        if clash is None:
            continue
        # A link is told as the one that runs through a part, a part as the one that is overlapped.
        pair = (fault.part, fault.other) if fault.part in vehicle.links else (fault.other, fault.part)
        told = fault.text if fault.part in vehicle.links else f"{names[fault.part]}: {fault.text}"
        cause = Cause(kind=fault.kind, source="", text=fault.text, mm=fault.mm, at_mm=fault.at_mm)
        found.append(_meeting(vehicle, names, clash, pair, _Told(cause, told)))
    return _ordered(found)


@dataclass(frozen=True, slots=True)
class _Told:
    cause: Cause
    sentence: str


def _meeting(vehicle: Vehicle, names: Mapping[str, str], clash: Clash, pair: tuple[str, str], told: _Told) -> Meeting:
    comer, met = pair
    cause = told.cause
    amount = ""
    if cause.mm is not None:
        by = "by " if clash is Clash.CLOSE else ""
        amount = f", {by}{format_length(cause.mm, vehicle.units)}"
    side = ""
    if cause.at_mm is not None and met in vehicle.components and clash is not Clash.ROOM:
        side = f" at its {place_words(component_body(vehicle.components[met]), cause.at_mm)}"
    head = f"{clash.words}: {names.get(comer, comer)} and {names.get(met, met)}{amount}{side}"
    return Meeting(
        clash=clash, comer=comer, met=met, at_mm=cause.at_mm, mm=cause.mm or 0.0, head=head, told=told.sentence
    )


def _ordered(meetings: Sequence[Meeting]) -> tuple[Meeting, ...]:
    once = {(m.clash, frozenset((m.comer, m.met)), m.at_mm, m.told): m for m in reversed(meetings)}
    return tuple(sorted(once.values(), key=lambda m: (_RANKS[m.clash], -round(m.mm, 3), m.met, m.comer, m.told)))


def folded(meetings: Sequence[Meeting], within_mm: float, at_most: int = SPOTS_AT_MOST) -> tuple[Fold, ...]:
    """Fold meetings that lie within so many vehicle millimetres of a worse one into it; more when there are too many.

    Parameters
    ----------
    meetings : sequence of Meeting
        The worst first; those without a place are left out.
    within_mm : float
    at_most : int
    """
    placed = [(m, m.at_mm) for m in meetings if m.at_mm is not None]
    while True:
        folds: list[tuple[Meeting, Vec, list[Meeting]]] = []
        for meeting, at_mm in placed:
            near = (f for f in folds if f[0].state == meeting.state and dist(f[1], at_mm) <= within_mm)
            home = next(near, None)
            if home is None:
                folds.append((meeting, at_mm, []))
            else:
                home[2].append(meeting)
        if len(folds) <= at_most:
            break
        within_mm *= _WIDER
    folds.sort(key=lambda f: (round(f[1][0], 3), f[0].met, f[0].comer))
    return tuple(Fold(worst=worst, at_mm=at, others=tuple(others)) for worst, at, others in folds)
