"""Where links that are new, or stiff and between other places, go through parts in which they have no hole yet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from planner.knockon.link_change import Fate
from planner.knockon.outcome import Outcome
from planner.knockon.run_guards import SAME_HOLE_MM, RunScene, stretches_inside
from planner.knockon.runs import scene_for
from planner.model.runs import Run
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Link
from planner.space import Body, closer_than, port_mm, route_body, solid_body

LONGEST_MM = 80.0
"""A stretch longer than this inside a part is no hole: the link is drawn along it, or through what is hollow (starting
guess)."""
INTO_END_MM = 12.0
"""So far into its end a rod is looked at, a tape's doubt of the place (starting guess)."""
_POINT_MM = 0.02


def pierced_at(out: Outcome, runs: dict[str, Run]) -> dict[str, dict[str, tuple[Vec, ...]]]:
    """Link -> the parts it passes in which a hole is made for it: no cut of the job is there, and no hole it had.

    Parameters
    ----------
    out : Outcome
        With new links led by the runs found for them.
    runs : dict of str to Run

    Returns
    -------
    dict of str to dict of str to places [mm]
        Parts in the order in which the link names them under ``passes``, each with where it is gone through.
    """
    scene = scene_for(out)
    found = {i: dict(_pierced(out, scene, _as_run(out.asked.links[i], runs.get(i)))) for i in _wanted(out)}
    return {i: parts for i, parts in found.items() if parts}


def _wanted(out: Outcome) -> list[str]:
    """New links, and stiff ones between other places: anything that bends is led through its old holes."""
    stiff = (i for i, o in out.links.items() if o.fate in {Fate.REMAKE, Fate.ADJUST} and out.asked.links[i].rigid)
    return sorted({*(i for i in out.links if i in out.asked.links_new), *stiff})


def _as_run(link: Link, run: Run | None) -> Link:
    return link if run is None else replace(link, via_mm=run.points_mm[1:-1])


def _pierced(out: Outcome, scene: RunScene, link: Link) -> Iterator[tuple[str, tuple[Vec, ...]]]:
    ends = {e.component for e in link.ends}
    first, last = scene.ends_mm(link)
    for part in link.passes:
        if part in ends or part not in scene.parts:
            continue
        on_it = [scene.parts[e.component].mounted_on == part for e in link.ends]
        line = _into_ends(link, (first, *link.via_mm, last), on_it)
        open_at = list(_holes_there(out, link, part))
        made = [s for s in crossings(line, scene.bodies[part]) if not _has_hole(out, link, part, s, open_at)]
        if made:
            yield part, tuple(made)


def _into_ends(link: Link, line: tuple[Vec, ...], on_it: list[bool]) -> tuple[Vec, ...]:
    """The line, led on a little into ends that sit on the panel: a rod's end may be drawn flush with the metal."""
    if not link.rigid:
        return line
    first, last = on_it
    head = _beyond(line[1], line[0]) if first else line[0]
    tail = _beyond(line[-2], line[-1]) if last else line[-1]
    return (head, *line[1:-1], tail)


def _beyond(a: Vec, b: Vec) -> Vec:
    """The place ``INTO_END_MM`` farther on from a to b."""
    far = 1.0 + INTO_END_MM / max(math.dist(a, b), INTO_END_MM)
    x, y, z = (p + (q - p) * far for p, q in zip(a, b, strict=True))
    return (x, y, z)


def crossings(line: tuple[Vec, ...], body: Body) -> Iterator[Vec]:
    """The middles [mm] of the short stretches of a line of straight legs that lie inside a body."""
    for a, b in pairwise(line):
        for first, last in stretches_inside(body, a, b):
            if math.dist(first, last) <= LONGEST_MM:
                x, y, z = ((p + q) / 2.0 for p, q in zip(first, last, strict=True))
                yield (x, y, z)


def _holes_there(out: Outcome, link: Link, part: str) -> Iterator[Vec]:
    """Where the link itself, or one of its kind that goes for good, goes through a part as it stands, if that stays."""
    before = out.vehicle.components.get(part)
    if before is None or before.pose != out.answer.placed[part].part.pose:
        return
    body = solid_body(before.solids, before.pose)
    for other in out.vehicle.links.values():
        goes = other.id not in out.links and other.kind == link.kind
        if part in other.passes and (other.id == link.id or goes):
            yield from crossings(_line_before(other, out.vehicle.components), body)


def _line_before(link: Link, parts: dict[str, Component]) -> tuple[Vec, ...]:
    first, last = (port_mm(parts[e.component], e.port) for e in link.ends)
    return (first, *link.via_mm, last)


def _has_hole(out: Outcome, link: Link, part: str, spot: Vec, open_at: list[Vec]) -> bool:
    if any(math.dist(spot, there) <= SAME_HOLE_MM for there in open_at):
        return True
    thread = route_body((spot, spot), 0.0, _POINT_MM)
    cuts = (out.rules.hole(c) for c in out.asked.cuts if c.host == part)
    return any(closer_than(thread, hole, link.across_mm / 2.0) for hole in cuts)
