"""The run by which each link is made that is made anew or new, in the vehicle after the job."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from planner.knockon.conflicts import crossing_of, run_of
from planner.knockon.link_change import Fate
from planner.knockon.outcome import Outcome
from planner.knockon.run_guards import Hole, RunScene, through_holes
from planner.knockon.run_words import bends_of, clips_at, cut_lines, sort_of
from planner.knockon.scene import NEW, Item
from planner.model.runs import Laid, NoRun, Run, RunsBefore, RunSort, Snag
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Freedom, Link
from planner.space import (
    FIRM_MM,
    Body,
    ClearRun,
    RunTask,
    fillet,
    find_run,
    gap,
    place_along,
    route_body,
)

_LOOK_MM = 300.0
_MIDDLE_MM = 2.0
_CLIPPED = frozenset({RunSort.PIPE, RunSort.CABLE, RunSort.LOOM})
"""Led along something firm as far as may be; a hose hangs between its clips."""
_STRAIGHT = frozenset({RunSort.ROD, RunSort.SHAFT, RunSort.BELT})


@dataclass(frozen=True, slots=True, kw_only=True)
class RunBook:
    """The runs known, for each link without a clear one what stands in the way, and why a drawn one is not clear."""

    runs: dict[str, Run]
    stopped: dict[str, NoRun]
    unclear: dict[str, tuple[str, ...]]
    """For each new link whose drawn run is not clear what it meets, one sentence each."""


NO_RUNS = RunBook(runs={}, stopped={}, unclear={})


def runs_for(out: Outcome, before: RunsBefore | None = None) -> RunBook:
    """Find the run of each link made anew, one after another.

    First those that go straight or not at all, then what is rigid, then what gives way, in order of their ids. A rigid
    run found is an obstacle for the next. Links the job adds keep the run it draws; where that run meets a
    part, or a rigid link, a clear one is found to make the link by instead. A run that was found ``before`` stays
    where it still goes, and what had none then is not looked for again.
    """
    scene = scene_for(out)
    unclear = _unclear(out, scene)
    runs = {i: run for i in _new(out) if i not in unclear and (run := _drawn(out, scene, out.asked.links[i]))}
    stopped: dict[str, NoRun] = {}
    for link in _wanted(out, unclear):
        found = _found(out, scene, link, before or RunsBefore())
        if isinstance(found, NoRun):
            stopped[link.id] = found
            continue
        runs[link.id] = found
        if link.rigid:
            scene.stiff[link.id] = (link, route_body(found.points_mm, found.bend_mm, link.across_mm))
    return RunBook(runs=runs, stopped=stopped, unclear=unclear)


def scene_for(out: Outcome) -> RunScene:
    """The vehicle after the job: parts in their final homes, and the rigid links that stay as they are."""
    parts = {i: p.part for i, p in out.answer.placed.items()}
    there = {i: out.asked.links[i] for i, o in out.links.items() if o.fate is not Fate.REMAKE}
    stiff = {i: k for i, k in there.items() if k.rigid and i not in out.asked.links_new}
    return RunScene(
        keeps=out.rules.keeps,
        parts=parts,
        bodies={i: p.body for i, p in out.answer.placed.items()},
        stiff={i: (k, run_of(k, parts)) for i, k in stiff.items()},
    )


def _new(out: Outcome) -> list[str]:
    return [i for i in sorted(out.links) if i in out.asked.links_new]


def _wanted(out: Outcome, unclear: Container[str]) -> list[Link]:
    remade = [i for i, o in sorted(out.links.items()) if o.fate is Fate.REMAKE and i not in out.asked.links_new]
    wanted = [out.asked.links[i] for i in sorted([*remade, *(i for i in _new(out) if i in unclear)])]
    return sorted(wanted, key=lambda k: (sort_of(out.catalog.link_kinds.get(k.kind), k) not in _STRAIGHT, not k.rigid))


def _unclear(out: Outcome, scene: RunScene) -> dict[str, tuple[str, ...]]:
    """What the drawn runs of new links meet; those that meet nothing join the scene where they are rigid.

    Of two new ones that cross, the first is the one that keeps its run.
    """
    found: dict[str, tuple[str, ...]] = {}
    for i in _new(out):
        link = out.asked.links[i]
        run = run_of(link, scene.parts)
        met = [p for p in out.answer.placed.values() if p.part.id in out.links[i].hit_by]
        met += [p for p in out.answer.placed.values() if p not in met and out.rules.link_hit(link, run, p)]
        told = [out.rules.hit_words(link, run, p) for p in met]
        for other, body in scene.stiff.values():
            cross = crossing_of((link, run), (other, body))
            if cross is not None:
                told.append(f"it and {other.name} run {out.length(-cross.mm)} through each other")
        if told:
            found[i] = tuple(told)
        elif link.rigid:
            scene.stiff[i] = (link, run)
    return found


def _drawn(out: Outcome, scene: RunScene, link: Link) -> Run | None:
    """The run of a new link as it is drawn, when that is clear; None where it cannot be bent so or no longer fits."""
    sort = sort_of(out.catalog.link_kinds.get(link.kind), link)
    if out.links[link.id].fate not in {Fate.NOTHING, Fate.ADJUST} or (sort in _STRAIGHT and link.via_mm):
        return None
    first, last = scene.ends_mm(link)
    points = tuple(p for p, _ in groupby((first, *link.via_mm, last)))
    line = fillet(points, 0.0 if sort in _STRAIGHT else link.bend_radius_mm)
    if line.short_legs or len(points) == 1:
        return None
    route = ClearRun(points_mm=points, length_mm=line.length_mm, bound_mm=math.dist(first, last))
    return _told(out, scene, link, sort, route, Laid.DRAWN)


def links_with_runs(links: dict[str, Link], runs: dict[str, Run]) -> dict[str, Link]:
    """The links after the job, each by way of the corners of the run it is made by."""
    return {i: replace(k, via_mm=runs[i].points_mm[1:-1]) if _is_found(runs, i) else k for i, k in links.items()}


def laid_instead(out: Outcome, runs: dict[str, Run]) -> Outcome:
    """The outcome with new links led by the runs found instead of those that the job draws."""
    new = {i: k for i, k in out.asked.links.items() if i in out.asked.links_new}
    return replace(out, asked=replace(out.asked, links={**out.asked.links, **links_with_runs(new, runs)}))


def _is_found(runs: dict[str, Run], link: str) -> bool:
    return link in runs and runs[link].laid is not Laid.DRAWN


def stiff_runs(out: Outcome, runs: dict[str, Run]) -> dict[str, tuple[Link, Body]]:
    """The rigid links made anew whose run is known, each with its body."""
    links = links_with_runs({i: out.asked.links[i] for i in runs}, runs)
    return {
        i: (k, route_body(runs[i].points_mm, runs[i].bend_mm, k.across_mm))
        for i, k in links.items()
        if k.rigid and runs[i].laid is Laid.FOUND
    }


def led_anew(out: Outcome, items: Container[str], runs: dict[str, Run]) -> dict[str, Item]:
    """The links made anew that are no items yet, as hoses and wires, each where its run leads it."""
    anew = [i for i in sorted(runs) if i in out.vehicle.links and i in out.asked.links and i + NEW not in items]
    bodies = {i: route_body(runs[i].points_mm, runs[i].bend_mm, out.asked.links[i].across_mm) for i in anew}
    return {
        i + NEW: Item(id=i + NEW, subject=i, part=out.asked.links[i], body=body, present=False, final=True)
        for i, body in bodies.items()
    }


def _found(out: Outcome, scene: RunScene, link: Link, known: RunsBefore) -> Run | NoRun:
    kind = out.catalog.link_kinds.get(link.kind)
    sort = sort_of(kind, link)
    ends = scene.ends_mm(link)
    if sort in _STRAIGHT:
        return _straight(out, scene, link, sort)
    if link.id in known.none:
        return known.none[link.id]
    old = out.vehicle.links.get(link.id)
    before = out.vehicle.components if old is not None else scene.parts
    holes = scene.holes(link, old or link, before)
    firm = tuple(_firm(out, scene, link)) if sort in _CLIPPED else ()
    task = _task(scene, link, ends, holes, kind.straight_mm if kind is not None else 0.0, firm)
    found = find_run(replace(task, known_mm=known.corners_mm.get(link.id, ())))
    return found if isinstance(found, NoRun) else _told(out, scene, link, sort, found, _laid(out, link))


def _laid(out: Outcome, link: Link) -> Laid:
    return Laid.INSTEAD if link.id in out.asked.links_new else Laid.FOUND


def _task(
    scene: RunScene,
    link: Link,
    ends: tuple[Vec, Vec],
    holes: tuple[Hole, ...],
    straight_mm: float,
    firm: tuple[Body, ...],
) -> RunTask:
    points = through_holes(ends, holes)
    return RunTask(
        points_mm=points,
        across_mm=link.across_mm,
        bend_mm=link.bend_radius_mm,
        straight_mm=straight_mm,
        guards=scene.guards(link, points, holes),
        within_mm=scene.within_mm(link),
        firm=firm,
    )


def _straight(out: Outcome, scene: RunScene, link: Link, sort: RunSort) -> Run | NoRun:
    """A rod, shaft or belt goes straight from end to end or not at all; its own ends and hole are its own affair."""
    ends = scene.ends_mm(link)
    body = route_body(ends, 0.0, link.across_mm)
    exempt = {*(e.component for e in link.ends), *link.passes}
    met = []
    for guard in scene.guards(link, ends, ()):
        mm = gap(body, guard.body).mm if guard.id not in exempt and _near(body, guard.body, guard.keep_mm) else math.inf
        if mm < guard.keep_mm - 0.05:
            met.append(Snag(guard=guard.id, short_mm=guard.keep_mm - mm))
    if met and sort is not RunSort.BELT:
        return NoRun(snags=tuple(sorted(met, key=lambda s: (-s.short_mm, s.guard))), at_mm=None)
    length = math.dist(*ends)
    route = ClearRun(points_mm=ends, length_mm=length, bound_mm=length)
    return _told(out, scene, link, sort, route, _laid(out, link))


def _near(a: Body, b: Body, mm: float) -> bool:
    return all(a.lo_mm[k] - mm < b.hi_mm[k] and b.lo_mm[k] - mm < a.hi_mm[k] for k in range(3))


def _told(out: Outcome, scene: RunScene, link: Link, sort: RunSort, route: ClearRun, laid: Laid) -> Run:
    """The run with what is cut, bent and clipped for it."""
    kind = out.catalog.link_kinds.get(link.kind)
    spare = kind.spare_mm if kind is not None else 0.0
    bend_mm = 0.0 if sort in _STRAIGHT else link.bend_radius_mm
    body = route_body(route.points_mm, bend_mm, link.across_mm)
    clear_mm, clear_of = _nearest(out, scene, link, body)
    clips = clips_at(route.length_mm, kind.clip_pitch_mm if kind is not None else 0.0)
    firm = tuple(_firm(out, scene, link))
    run = Run(
        link=link.id,
        sort=sort,
        points_mm=route.points_mm,
        bend_mm=bend_mm,
        length_mm=route.length_mm,
        bound_mm=route.bound_mm,
        cut_mm=route.length_mm + 2.0 * spare,
        bends=bends_of(route.points_mm, bend_mm, spare),
        clips_mm=clips,
        loose_mm=tuple(at for at in clips if not _held(firm, link, place_along(route.points_mm, bend_mm, at))),
        clear_mm=clear_mm,
        clear_of=clear_of,
        laid=laid,
    )
    lines = cut_lines(run, kind, out.length, out.links[link.id].change.swing_deg)
    moved = _moved_holes(out, scene, link) if sort in _STRAIGHT else ()
    return replace(run, lines=(*lines, *moved))


def _moved_holes(out: Outcome, scene: RunScene, link: Link) -> Iterator[str]:
    """Where a straight run no longer goes through the middle of its old hole."""
    old = out.vehicle.links.get(link.id)
    if old is None:
        return
    before = scene.holes(link, old, out.vehicle.components)
    for hole in scene.holes(link, replace(link, via_mm=()), scene.parts):
        far = min((math.dist(hole.middle_mm, b.middle_mm) for b in before if b.part == hole.part), default=math.inf)
        if far > _MIDDLE_MM:
            where = f"{out.length(round(far))} from its old hole" if far < math.inf else "where it has no hole"
            yield f"goes through {out.name(hole.part)} {where}: a hole is made, and the old one closed"


def _nearest(out: Outcome, scene: RunScene, link: Link, body: Body) -> tuple[float | None, str]:
    """The hot or moving thing nearest to a run, of those it is not joined to."""
    own = {link.id, *(e.component for e in link.ends)}
    things: Iterable[tuple[Component | Link, Body]] = [
        *((scene.parts[i], b) for i, b in scene.bodies.items()),
        *scene.stiff.values(),
    ]
    near = [
        (gap(body, b).mm, t.id) for t, b in things if t.id not in own and _minds(out, t) and _near(body, b, _LOOK_MM)
    ]
    return min(near, default=(None, ""))


def _minds(out: Outcome, thing: Component | Link) -> bool:
    """Whether a thing gets hot or moves."""
    kind = (out.catalog.kinds if isinstance(thing, Component) else out.catalog.link_kinds).get(thing.kind)
    moves = isinstance(thing, Component) and thing.motion is not None
    return moves or (kind is not None and (kind.hot or kind.moving))


def _firm(out: Outcome, scene: RunScene, link: Link) -> Iterator[Body]:
    """What a run may be clipped to: parts that stay and neither heat nor move, and those it is clipped to already."""
    for i, part in scene.parts.items():
        if (part.freedom is Freedom.STAYS or i in link.passes) and not _minds(out, part):
            yield scene.bodies[i]


def _held(firm: Iterable[Body], link: Link, at_mm: Vec) -> bool:
    """Whether something firm is near enough to a place to clip a run to it."""
    spot = route_body((at_mm, at_mm), 0.0, link.across_mm)
    return any(_near(spot, body, FIRM_MM) and gap(spot, body).mm <= FIRM_MM for body in firm)
