"""The new run of every link made anew, in the vehicle after the job, and advice where a drawn run is not clear."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from planner.knockon.conflicts import run_of
from planner.knockon.link_change import Fate
from planner.knockon.outcome import Outcome
from planner.knockon.run_guards import Hole, RunScene, through_holes
from planner.knockon.run_words import bends_of, clips_at, cut_lines, sort_of
from planner.model.runs import Run, RunSort
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Freedom, Link
from planner.space import FIRM_MM, Body, ClearRun, NoRun, RunTask, Snag, find_run, gap, place_along, route_body

_LOOK_MM = 300.0
_MIDDLE_MM = 2.0
_CLIPPED = frozenset({RunSort.PIPE, RunSort.CABLE, RunSort.LOOM})
"""Led along something firm as far as may be; a hose hangs between its clips."""
_STRAIGHT = frozenset({RunSort.ROD, RunSort.SHAFT, RunSort.BELT})


@dataclass(frozen=True, slots=True, kw_only=True)
class RunBook:
    """The runs found, and for each link without one what stands in the way."""

    runs: dict[str, Run]
    stopped: dict[str, NoRun]


NO_RUNS = RunBook(runs={}, stopped={})


def runs_for(out: Outcome) -> RunBook:
    """Find the run of each link made anew, one after another.

    First those that go straight or not at all, then what is rigid, then what gives way, in order of their ids. A rigid
    run found is an obstacle for the next. Links the job adds keep the run it draws; where that run meets a
    part, a clear one is advised.
    """
    scene = scene_for(out)
    runs: dict[str, Run] = {}
    stopped: dict[str, NoRun] = {}
    for link in _wanted(out):
        found = _found(out, scene, link)
        if isinstance(found, NoRun):
            stopped[link.id] = found
            continue
        runs[link.id] = found
        if link.rigid:
            scene.stiff[link.id] = (link, route_body(found.points_mm, found.bend_mm, link.across_mm))
    return RunBook(runs=runs, stopped=stopped)


def scene_for(out: Outcome) -> RunScene:
    """The vehicle after the job: parts in their final homes, and the rigid links that stay."""
    parts = {i: p.part for i, p in out.answer.placed.items()}
    wanted = {k.id for k in _wanted(out)}
    stiff = {i: out.asked.links[i] for i in out.links if out.asked.links[i].rigid and i not in wanted}
    return RunScene(
        keeps=out.rules.keeps,
        parts=parts,
        bodies={i: p.body for i, p in out.answer.placed.items()},
        stiff={i: (k, run_of(k, parts)) for i, k in stiff.items()},
    )


def _wanted(out: Outcome) -> list[Link]:
    links = [out.asked.links[i] for i, o in sorted(out.links.items()) if o.fate is Fate.REMAKE]
    wanted = [k for k in links if k.id not in out.asked.links_new or out.links[k.id].hit_by]
    return sorted(wanted, key=lambda k: (sort_of(out.catalog.link_kinds.get(k.kind), k) not in _STRAIGHT, not k.rigid))


def links_with_runs(links: dict[str, Link], runs: dict[str, Run]) -> dict[str, Link]:
    """The links after the job, those made anew by way of the corners of their new runs."""
    return {
        i: replace(k, via_mm=runs[i].points_mm[1:-1]) if i in runs and not runs[i].advised else k
        for i, k in links.items()
    }


def stiff_runs(out: Outcome, runs: dict[str, Run]) -> dict[str, tuple[Link, Body]]:
    """The rigid links made anew whose run is known, each with its body."""
    links = links_with_runs({i: out.asked.links[i] for i in runs}, runs)
    return {
        i: (k, route_body(runs[i].points_mm, runs[i].bend_mm, k.across_mm))
        for i, k in links.items()
        if k.rigid and not runs[i].advised
    }


def _found(out: Outcome, scene: RunScene, link: Link) -> Run | NoRun:
    kind = out.catalog.link_kinds.get(link.kind)
    sort = sort_of(kind, link)
    ends = scene.ends_mm(link)
    if sort in _STRAIGHT:
        return _straight(out, scene, link, sort)
    old = out.vehicle.links.get(link.id)
    before = out.vehicle.components if old is not None else scene.parts
    holes = scene.holes(link, old or link, before)
    firm = tuple(_firm(out, scene, link)) if sort in _CLIPPED else ()
    found = find_run(_task(scene, link, ends, holes, kind.straight_mm if kind is not None else 0.0, firm))
    return found if isinstance(found, NoRun) else _told(out, scene, link, sort, found)


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
    return _told(out, scene, link, sort, ClearRun(points_mm=ends, length_mm=length, bound_mm=length))


def _near(a: Body, b: Body, mm: float) -> bool:
    return all(a.lo_mm[k] - mm < b.hi_mm[k] and b.lo_mm[k] - mm < a.hi_mm[k] for k in range(3))


def _told(out: Outcome, scene: RunScene, link: Link, sort: RunSort, route: ClearRun) -> Run:
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
        advised=link.id in out.asked.links_new,
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
