"""The links after the job: whether each still reaches, or is told to be made anew, adjusted or gone."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain, pairwise

from planner.model.effects import EffectKind
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Freedom, Link
from planner.space import Body, closer_than, component_body, gap, link_body, port_mm
from planner.verify.kept import kept_mm
from planner.verify.rebuild import AS_MUCH_MM, TOUCH_MM, Rebuilt

_STILL_MM = 0.5
"""An end that moves by no more than this has not moved."""


def link_faults(built: Rebuilt) -> Iterator[str]:
    """Give a sentence for each link that is lost, hangs loose, is over-stretched or runs through a part."""
    yield from _links_there(built)
    after = built.knockons.links_after
    bodies = {part_id: component_body(part) for part_id, part in sorted(built.parts.items())}
    for link_id, link in sorted(after.items()):
        loose = [end for end in link.ends if end.component not in built.parts]
        for end in loose:
            yield f"link `{link_id}` ends at `{end.component}`, which is not there afterwards"
        lost = [end for end in link.ends if end not in loose and _no_port(built, end.component, end.port)]
        for end in lost:
            yield f"link `{link_id}` ends at port `{end.port}`, which `{end.component}` does not have"
        if not loose and not lost and link_id in built.vehicle.links:
            yield from _known_link(built, built.vehicle.links[link_id], link, bodies)


def _links_there(built: Rebuilt) -> Iterator[str]:
    before, after = built.vehicle.links, built.knockons.links_after
    new, gone = built.asked.links_new, built.listed[EffectKind.GONE]
    for link_id, link in sorted({**before, **new}.items()):
        if link_id in built.asked.removed and link_id in after:
            yield f"link `{link_id}` is removed and is still there afterwards"
        elif link_id not in after and link_id not in gone | built.asked.removed:
            yield f"link `{link_id}` is missing afterwards and no effect says that it goes"
        elif link_id in gone - built.asked.removed:
            if not _may_be_lost(built, link):
                yield f"link `{link_id}` goes, which nobody asked for, and both its ends are still there"
            if link_id in after:
                yield f"link `{link_id}` goes and is still there afterwards"
    for link_id in sorted(after.keys() - before.keys() - new.keys()):
        yield f"link `{link_id}` is no link of the vehicle or the job and is there afterwards"


def _may_be_lost(built: Rebuilt, link: Link) -> bool:
    return link.freedom is Freedom.MAY_GO or any(end.component not in built.parts for end in link.ends)


def _no_port(built: Rebuilt, part_id: str, port: str) -> bool:
    return bool(port) and port not in built.parts[part_id].ports_mm


def _known_link(built: Rebuilt, old: Link, new: Link, bodies: dict[str, Body]) -> Iterator[str]:
    """Judge a link that was there before: fit as it is, or told what is to be done to it."""
    remade = old.id in built.listed[EffectKind.REMADE]
    adjusted = old.id in built.listed[EffectKind.ADJUSTED]
    if remade:
        if old.freedom in {Freedom.STAYS, Freedom.COMES_OFF}:
            yield f"link `{old.id}` {old.freedom.value} and is said to be made anew"
        return
    if [built.asked.stands_for(end.component) for end in old.ends] != [end.component for end in new.ends]:
        yield f"link `{old.id}` joins other parts than before and is not listed as made anew"
        return
    before = _ends(old, built.vehicle.components)
    after = _ends(new, built.parts)
    shift_mm = max(math.dist(a, b) for a, b in zip(before, after, strict=True))
    spare_mm = old.slack_mm + old.adjust_mm
    longer_mm = _run_mm(old, after) - _run_mm(old, before)
    if shift_mm > max(spare_mm, _STILL_MM) and not adjusted:
        yield (
            f"an end of link `{old.id}` moves {shift_mm:.1f} mm, more than its spare {spare_mm:g} mm, "
            "and it is not listed as made anew or adjusted"
        )
    elif shift_mm > _STILL_MM and _out_of_reach(old, longer_mm, spare_mm, shift_mm):
        yield (
            f"link `{old.id}` has {spare_mm:g} mm to spare, its run changes by {longer_mm:.1f} mm with an "
            f"end {shift_mm:.1f} mm away, and it is not listed as made anew"
        )
    if old.rigid or not adjusted:
        yield from _in_the_way(built, old, after, bodies)


def _out_of_reach(link: Link, longer_mm: float, spare_mm: float, shift_mm: float) -> bool:
    """Tell whether a link no longer fits.

    A rigid one can be neither too short nor too long, and a bent rigid one cannot follow an end at all.
    """
    if link.rigid:
        return abs(longer_mm) > spare_mm + TOUCH_MM or (bool(link.via_mm) and shift_mm > spare_mm + _STILL_MM)
    return longer_mm > spare_mm + TOUCH_MM


def _ends(link: Link, parts: dict[str, Component]) -> tuple[Vec, Vec]:
    first, last = (port_mm(parts[end.component], end.port) for end in link.ends)
    return first, last


def _run_mm(link: Link, ends: tuple[Vec, Vec]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise((ends[0], *link.via_mm, ends[1])))


def _in_the_way(built: Rebuilt, link: Link, ends: tuple[Vec, Vec], bodies: dict[str, Body]) -> Iterator[str]:
    """Find parts that a link left as it is would run through, deeper than it did at the start.

    A hose or wire that is led and clipped again is laid round them by hand.
    """
    run = link_body(link, *ends)
    joined = {end.component for end in link.ends}
    leave = {built.asked.stands_for(part) for part in chain(joined, link.passes)} | joined | set(link.passes)
    old_ends = _ends(link, built.vehicle.components)
    old_run = link_body(link, *old_ends)
    for part_id, body in bodies.items():
        if part_id in leave or link.id in built.parts[part_id].touches:
            continue
        as_it_was = ends == old_ends and not built.changed(part_id)
        wanted_mm = kept_mm(built.catalog, link, built.parts[part_id])
        if as_it_was or not closer_than(run, body, wanted_mm - TOUCH_MM):
            continue
        old, now_mm = built.vehicle.components.get(part_id), gap(run, body).mm
        then_mm = math.inf if old is None else gap(old_run, component_body(old)).mm
        if then_mm < wanted_mm - TOUCH_MM and now_mm >= then_mm - AS_MUCH_MM:
            continue
        told = f"runs {-now_mm:.1f} mm through" if now_mm < -TOUCH_MM else f"runs {max(0.0, now_mm):.1f} mm from"
        wants = "" if now_mm < -TOUCH_MM else f", where {wanted_mm:g} mm is to be kept,"
        yield f"link `{link.id}` {told} `{part_id}`{wants} and is not listed as made anew"
