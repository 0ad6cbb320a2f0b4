"""What is within reach of a hole that is made: fuel parts and batteries whatever stands between, what is newly laid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.knockon.access import heat_of
from planner.knockon.outcome import Outcome
from planner.knockon.run_words import sort_of
from planner.knockon.scene import Item
from planner.knockon.watched import is_watched
from planner.model.runs import RunSort
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Link
from planner.space import Body, closer_than, gap, route_body

LAID = frozenset({RunSort.PIPE, RunSort.HOSE, RunSort.CABLE, RunSort.LOOM})
"""What is laid along things, and hurt by a drill or by heat."""


def near_holes(
    out: Outcome, items: dict[str, Item], pierced: Mapping[str, Mapping[str, tuple[Vec, ...]]]
) -> dict[str, dict[str, float]]:
    """What a hole is made for -> bodies of the catalog's ``hole_shy`` within its ``hole_shy_mm``, nearest first.

    A panel between hides a neighbour and stops no drill, so it does not count. For a part the holes may be anywhere
    under it; where metal is welded the reach is that of the heat.

    Parameters
    ----------
    out : Outcome
    items : dict of body id to Item
        Every body of the scene, in its present and its new home.
    pierced : mapping of link to part to places [mm]
        Where links go through parts in which a hole is made for them.

    Returns
    -------
    dict of str to dict of str to float
        By cut, part, or "<link>.<host>"; distances in mm.
    """
    shy = [item for item in items.values() if out.catalog.is_hole_shy(item.part)]
    found: dict[str, dict[str, float]] = {}
    for name, hole, reach_mm in _holes(out, items, pierced):
        own = {item.id for item in shy if item.subject == name or (name in items and item.on(items[name]))}
        near = {
            item.id: max(0.0, gap(hole, item.body).mm)
            for item in shy
            if item.id not in own and closer_than(hole, item.body, reach_mm)
        }
        if near:
            kept = {**found.get(name, {}), **near}
            found[name] = dict(sorted(kept.items(), key=lambda kv: (kv[1], kv[0])))
    return found


def laid_near(
    out: Outcome, items: dict[str, Item], led: Mapping[str, Item], pierced: Mapping[str, Mapping[str, tuple[Vec, ...]]]
) -> dict[str, frozenset[str]]:
    """What a hole is made for, or an own task that is hot -> pipes, hoses, cables and wires newly laid within reach.

    Parameters
    ----------
    out : Outcome
    items : dict of body id to Item
        Every body of the scene.
    led : mapping of body id to Item
        The links made anew that are none of them, by the runs they get.
    pierced : mapping of link to part to places [mm]
        Where links go through parts in which a hole is made for them.

    Returns
    -------
    dict of str to frozenset of body ids
        By cut, part, "<link>.<host>" or own task; bodies of links as they are laid in this job.
    """
    kinds = out.catalog.link_kinds
    laid = [
        item
        for item in {**items, **led}.values()
        if isinstance(item.part, Link) and not item.present and sort_of(kinds.get(item.part.kind), item.part) in LAID
    ]
    hot = [(t.id, b) for t in out.job.tasks if is_watched(t, out.catalog) for b in heat_of(t, items, {})]
    found: dict[str, frozenset[str]] = {}
    for name, hole, reach_mm in (*_holes(out, items, pierced), *((i, b, out.catalog.hot_reach_mm) for i, b in hot)):
        near = frozenset(
            i.id for i in laid if not name.startswith(f"{i.subject}.") and closer_than(hole, i.body, reach_mm)
        )
        if near:
            found[name] = found.get(name, frozenset()) | near
    return found


def _holes(
    out: Outcome, items: dict[str, Item], pierced: Mapping[str, Mapping[str, tuple[Vec, ...]]]
) -> Iterator[tuple[str, Body, float]]:
    """Every hole that may be made: what it is for, a body that holds it, how near is near [mm]."""
    reach_mm = out.catalog.hole_shy_mm
    for cut in out.asked.cuts:
        yield cut.id, out.rules.hole(cut), max(reach_mm, out.catalog.hot_reach_mm) if cut.welded else reach_mm
    for item in items.values():
        if not item.present and isinstance(item.part, Component) and item.part.mounted_on is not None:
            yield item.subject, item.body, reach_mm
    for link, parts in pierced.items():
        across_mm = out.asked.links[link].across_mm
        for part, spots in parts.items():
            for spot in spots:
                yield f"{link}.{part}", route_body((spot, spot), 0.0, across_mm), reach_mm
