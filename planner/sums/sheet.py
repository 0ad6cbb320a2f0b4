"""Every sum a vehicle's parts, links and figures allow; those that lack a figure say which."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from planner.model.figures import Figures
from planner.model.job import Cut
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, Driver, Link
from planner.sums.bore_lines import bore_lines
from planner.sums.bracket_lines import bracket_lines
from planner.sums.brake_figures import axles_of, note_weight
from planner.sums.brake_lines import axle_lines, cylinder_lines, pipe_lines, stop_lines
from planner.sums.clutch_lines import clutch_lines
from planner.sums.coolant_lines import coolant_lines
from planner.sums.doubtful import Known
from planner.sums.foot_lines import foot_lines
from planner.sums.lever_lines import lever_lines, note_lever, note_share
from planner.sums.levers_there import LeverThere, levers_there
from planner.sums.lines import Asked, line_of
from planner.sums.linkage_lines import linkage_lines
from planner.sums.nut_lines import nut_lines
from planner.sums.slots import slot_lines
from planner.sums.strength_lines import strength_lines

NO_FIGURES = Figures(axles={})


def sums_of(
    parts: Mapping[str, Component],
    links: Mapping[str, Link],
    figures: Figures | None,
    holes: Sequence[Cut] = (),
    driver: Driver | None = None,
    added_by: Mapping[str, str] | None = None,
) -> tuple[SumLine, ...]:
    """All sums: each lever in the order of the links, brakes, coolant, linkages, strength, feet, holes.

    Parameters
    ----------
    parts, links : mapping
        As they stand, or as they are when a job is done.
    figures : Figures or None
    holes : sequence of Cut
        The holes that are cut, to be held against what the levers' arms ask for.
    driver : Driver or None
        Whose foot lands where.
    added_by : mapping or None
        Job that adds a part or link which the figures name and which is not there.
    """
    known = Known(added_by=added_by or {})
    levers = _levers(parts, links, known)
    asked = _asked(levers, parts, links, figures, known)
    told = figures or NO_FIGURES
    lines = [line_of(a, known) for a in asked]
    lines += nut_lines(told)
    more = [
        *linkage_lines(told.linkages, parts, links, known),
        *strength_lines(levers, told.pedals, parts, known),
        *bracket_lines(told.brackets, known),
        *foot_lines(parts, driver, told.shoe, known),
    ]
    order = list(dict.fromkeys(a.about for a in more))
    lines += [line_of(a, known) for a in sorted(more, key=lambda a: order.index(a.about))]
    # All of the push on one cylinder is not worth a line.
    lines = [x for x in lines if not (x.id.endswith(".share") and x.value == _ALL)]
    return (*_with_fluid(lines), *slot_lines(levers, parts, links, holes))


def _with_fluid(lines: Sequence[SumLine]) -> Iterator[SumLine]:
    """The same lines; a stroke that no fluid is known for is not called fine: it may be far too short."""
    dry = {x.about for x in lines if x.id.endswith(".fluid") and x.verdict is Verdict.UNKNOWN}
    for line in lines:
        if line.about in dry and line.id.endswith(".stroke") and line.verdict is Verdict.FINE:
            note = "the piston does not meet its end; whether this stroke moves enough fluid is not known"
            yield replace(line, verdict=Verdict.UNKNOWN, note=note)
        else:
            yield line


def bores_of(parts: Mapping[str, Component], links: Mapping[str, Link], figures: Figures | None) -> tuple[SumLine, ...]:
    """Each cylinder that works brakes, with the other bores that are sold."""
    known = Known()
    levers = _levers(parts, links, known)
    axles = axles_of(figures or NO_FIGURES, parts, levers, known)
    worked = {a.lever.link for a in axles if a.lever is not None}
    return tuple(line_of(a, known) for there in levers if there.link in worked for a in bore_lines(there, axles))


_ALL = 100.0


def _levers(parts: Mapping[str, Component], links: Mapping[str, Link], known: Known) -> tuple[LeverThere, ...]:
    """Every lever there is; its sizes and its share of the push are taken in."""
    levers = levers_there(parts, links)
    for there in levers:
        note_lever(there, parts, links, known)
        note_share(levers, there, known)
    return levers


def _asked(
    levers: tuple[LeverThere, ...],
    parts: Mapping[str, Component],
    links: Mapping[str, Link],
    figures: Figures | None,
    known: Known,
) -> Iterator[Asked]:
    axles = axles_of(figures or NO_FIGURES, parts, levers, known)
    note_weight(figures or NO_FIGURES, known)
    for there in levers:
        known.note(f"brakes-of.{there.cylinder}", None, f"`figures.brakes` of {_systems(parts[there.cylinder])}")
        yield from lever_lines(there, parts)
        yield from cylinder_lines(there, axles, parts)
        yield from pipe_lines(there, figures, parts, links, known)
        yield from clutch_lines(there, figures, parts, known)
    if axles:
        yield from axle_lines(axles)
        yield from stop_lines(axles)
    yield from coolant_lines(figures, parts, known)


def _systems(part: Component) -> str:
    return ", ".join(f"`{s}`" for s in part.systems) or f"`{part.id}`"
