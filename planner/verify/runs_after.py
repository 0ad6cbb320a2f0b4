"""The new runs of links: whether they join their ports, can be bent so, and keep clear.

The centre line is laid out anew, point by point, from the corners told; nothing of the search is used.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from planner.model.effects import EffectKind
from planner.model.runs import Laid, Run, RunSort
from planner.model.shapes import Pose, Tube, Vec
from planner.model.vehicle import Component, Link
from planner.space import Body, closer_than, component_body, gap, link_body, port_mm, solid_body
from planner.verify.kept import kept_mm
from planner.verify.rebuild import Rebuilt

_AT_PORT_MM = 0.5
_LENGTH_MM = 0.5
_STEP_MM = 4.0
_ROUNDING_MM = 0.35
"""The line laid out in steps lies this near to the true bend."""
_UNION_MM = 25.0
"""About its own port a run may lie on the part it joins: a union, or two diameters of the run."""
_MOUTH_MM = 30.0
"""About a hole it goes through a run may come nearer to what is beside it, without touching it."""
_SAME_HOLE_MM = 12.0
"""A run goes through a part in its old hole: no farther from there than it is thick and a tape's doubt."""
_STRAIGHT = frozenset({RunSort.ROD, RunSort.SHAFT, RunSort.BELT})


def run_faults(built: Rebuilt) -> Iterator[str]:
    """Give a sentence for each run that is not where it should be, cannot be bent, is misjudged or is not clear."""
    bodies = {i: component_body(p) for i, p in sorted(built.parts.items())}
    yield from _as_drawn(built)
    lines = {i: laid_out(r.points_mm, r.bend_mm) for i, r in built.knockons.runs.items()}
    for i, run in sorted(built.knockons.runs.items()):
        link = built.knockons.links_after.get(i)
        if link is None or link.id != run.link:
            yield f"a run is told for `{i}`, which is no link of the vehicle after the job"
            continue
        yield from _told(built, run, link)
        shape = list(_shape(built, run, link))
        yield from shape
        if not shape:
            yield from _low(built, link, lines[i], bodies)
            yield from _clear(built, run, link, lines[i], bodies)


def _as_drawn(built: Rebuilt) -> Iterator[str]:
    """See that a new link is led as the job draws it, unless a run is told instead."""
    for i, drawn in sorted(built.asked.links_new.items()):
        link, run = built.knockons.links_after.get(i), built.knockons.runs.get(i)
        instead = run is not None and run.laid is Laid.INSTEAD
        if link is not None and not instead and link.via_mm != drawn.via_mm:
            yield f"link `{i}` is led another way than the job draws it, and no run is told instead"


def _once(points: tuple[Vec, ...]) -> list[Vec]:
    """The points without those that repeat the one before."""
    return [p for n, p in enumerate(points) if n == 0 or p != points[n - 1]]


def _told(built: Rebuilt, run: Run, link: Link) -> Iterator[str]:
    """See that the run belongs to a link made anew or new, that the link is led by it, and drawn so if told so."""
    new = built.asked.links_new.get(link.id)
    if (run.laid is Laid.FOUND) != (new is None):
        yield f"the run of `{link.id}` is told as {run.laid.value} and is not"
    if run.laid is Laid.FOUND and link.id not in built.listed[EffectKind.REMADE]:
        yield f"a new run is told for `{link.id}`, which is not listed as made anew"
    if run.laid is Laid.INSTEAD and link.id not in built.listed[EffectKind.MEASURED]:
        yield f"`{link.id}` is led another way than the job draws it, and nothing says so"
    if _once((run.points_mm[0], *link.via_mm, run.points_mm[-1])) != _once(run.points_mm):
        yield f"link `{link.id}` is led another way than its run is told"
    kind = built.catalog.link_kinds.get(link.kind) if built.catalog is not None else None
    if kind is not None and abs(run.cut_mm - run.length_mm - 2.0 * kind.spare_mm) > _LENGTH_MM:
        yield f"the run of `{link.id}` is {run.length_mm:.0f} mm long and is said to be cut {run.cut_mm:.0f} mm"
    if kind is not None and kind.clip_pitch_mm > 0.0 and run.clips_mm:
        marks = (0.0, *run.clips_mm, run.length_mm)
        if max(b - a for a, b in pairwise(marks)) > kind.clip_pitch_mm + _LENGTH_MM:
            yield f"clips of `{link.id}` are farther apart than {kind.clip_pitch_mm:g} mm"


def _shape(built: Rebuilt, run: Run, link: Link) -> Iterator[str]:
    """See that it joins its ports, that its bends fit on its legs, and that its length is right."""
    ports = [port_mm(built.parts[e.component], e.port) for e in link.ends]
    for port, end in zip(ports, (run.points_mm[0], run.points_mm[-1]), strict=True):
        if math.dist(port, end) > _AT_PORT_MM:
            yield f"the run of `{link.id}` ends {math.dist(port, end):.1f} mm from its port"
    if len(run.points_mm) > 2 and run.bend_mm < link.bend_radius_mm - _LENGTH_MM:  # noqa: PLR2004 - two make a straight
        yield f"the run of `{link.id}` is bent round {run.bend_mm:g} mm, least is {link.bend_radius_mm:g} mm"
    angles = _angles(run.points_mm)
    used = [0.0, *(run.bend_mm * math.tan(a / 2.0) for a in angles), 0.0]
    length = 0.0
    for n, (a, b) in enumerate(pairwise(run.points_mm)):
        left = math.dist(a, b) - used[n] - used[n + 1]
        length += left
        if left < -_LENGTH_MM:
            yield f"leg {n + 1} of the run of `{link.id}` is {-left:.1f} mm too short for its bends"
    length += run.bend_mm * sum(angles)
    if abs(length - run.length_mm) > _LENGTH_MM:
        yield f"the run of `{link.id}` is {length:.1f} mm long and is told as {run.length_mm:.1f} mm"
    if run.bound_mm > run.length_mm + _LENGTH_MM or run.bound_mm < math.dist(*ports) - _LENGTH_MM:
        yield f"the bound told for the run of `{link.id}` cannot be right"


def _angles(points: tuple[Vec, ...]) -> list[float]:
    """How far the line turns at each corner [rad], from the sides of the triangle it makes there (cosine rule)."""
    angles = []
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        p, q, across = math.dist(a, b), math.dist(b, c), math.dist(a, c)
        cosine = (across * across - p * p - q * q) / (2.0 * p * q) if p * q > 0.0 else 1.0
        angles.append(math.acos(max(-1.0, min(1.0, cosine))))
    return angles


def laid_out(points: tuple[Vec, ...], bend_mm: float) -> list[Vec]:
    """Points along the bent centre line, each bend in small steps from where it begins."""
    line = [points[0]]
    for (a, b, c), angle in zip(zip(points, points[1:], points[2:], strict=False), _angles(points), strict=True):
        back = bend_mm * math.tan(angle / 2.0)
        if back < _ROUNDING_MM:
            line.append(b)
            continue
        came, goes = _unit(a, b), _unit(b, c)
        begin = _step(b, came, -back)
        aside = _unit((0.0, 0.0, 0.0), _step(goes, came, -math.cos(angle)))
        steps = max(2, math.ceil(bend_mm * angle / _STEP_MM))
        for k in range(steps + 1):
            turned = angle * k / steps
            on = _step(begin, came, bend_mm * math.sin(turned))
            line.append(_step(on, aside, bend_mm * (1.0 - math.cos(turned))))
    line.append(points[-1])
    return line


def _unit(a: Vec, b: Vec) -> Vec:
    far = math.dist(a, b) or 1.0
    return ((b[0] - a[0]) / far, (b[1] - a[1]) / far, (b[2] - a[2]) / far)


def _step(a: Vec, way: Vec, mm: float) -> Vec:
    return (a[0] + way[0] * mm, a[1] + way[1] * mm, a[2] + way[2] * mm)


def _low(built: Rebuilt, link: Link, line: list[Vec], bodies: dict[str, Body]) -> Iterator[str]:
    """See that no run hangs below everything sprung, where the road would reach it first."""
    sprung = [b.lo_mm[2] for i, b in bodies.items() if not built.parts[i].unsprung or i in link.passes]
    reach = link.across_mm / 2.0
    floor = min([*sprung, *(end[2] - reach for end in (line[0], line[-1]))])
    lowest = min(p[2] for p in line) - reach
    if lowest < floor - _ROUNDING_MM:
        yield f"the run of `{link.id}` hangs {floor - lowest:.0f} mm lower than anything sprung"


def _clear(built: Rebuilt, run: Run, link: Link, line: list[Vec], bodies: dict[str, Body]) -> Iterator[str]:
    """See that the run keeps from every part, and from the rigid links, what is to be kept."""
    whole = solid_body((Tube(across_mm=link.across_mm, through_mm=tuple(line)),), Pose())
    ends = {e.component for e in link.ends}
    # What goes straight from joint to joint has its holes made for it, and its joints are their makers' affair.
    # How a drawn run goes through what it passes is the owner's word.
    drawn = run.laid is Laid.DRAWN
    spared = {*ends, *link.passes} if drawn or run.sort in _STRAIGHT else set()
    for i, body in bodies.items():
        if link.id in built.parts[i].touches or i in spared:
            continue
        wanted_mm = 0.0 if i in ends or i in link.passes else kept_mm(built.catalog, link, built.parts[i])
        if closer_than(whole, body, wanted_mm - _ROUNDING_MM):
            yield from _nearer(built, link, line, (i, body, wanted_mm), built.parts[i])
    for i, (other, body) in _stiff_links(built, link).items():
        if drawn and (not link.rigid or set(link.ends) & set(other.ends)):
            continue
        wanted_mm = 0.0 if drawn else kept_mm(built.catalog, link, other)
        if closer_than(whole, body, wanted_mm - _ROUNDING_MM):
            yield from _nearer(built, link, line, (i, body, wanted_mm), other)


def _stiff_links(built: Rebuilt, link: Link) -> dict[str, tuple[Link, Body]]:
    """The other rigid links whose run is known, each with its body."""
    found: dict[str, tuple[Link, Body]] = {}
    for i, other in sorted(built.knockons.links_after.items()):
        run = built.knockons.runs.get(i)
        unknown = run is None and (i in built.listed[EffectKind.REMADE] or i in built.listed[EffectKind.MEASURED])
        if i == link.id or not other.rigid or unknown:
            continue
        if run is None:
            first, last = (port_mm(built.parts[e.component], e.port) for e in other.ends)
            found[i] = (other, link_body(other, first, last))
        else:
            line = tuple(laid_out(run.points_mm, run.bend_mm))
            found[i] = (other, solid_body((Tube(across_mm=other.across_mm, through_mm=line),), Pose()))
    return found


def _nearer(
    built: Rebuilt, link: Link, line: list[Vec], near: tuple[str, Body, float], thing: Component | Link
) -> Iterator[str]:
    """Judge the stretches that come nearer to a thing than they should: told for the worst that nothing excuses."""
    name, body, wanted_mm = near
    worst: tuple[float, Vec] | None = None
    for a, b in pairwise(line):
        for p, q in _pieces(a, b):
            found = gap(solid_body((Tube(across_mm=link.across_mm, through_mm=(p, q)),), Pose()), body)
            if found.mm >= wanted_mm - _ROUNDING_MM or _excused(built, link, line, near, thing, (p, found.mm)):
                continue
            if worst is None or found.mm < worst[0]:
                worst = (found.mm, found.at_mm)
    if worst is not None:
        where = ", ".join(f"{v:.0f}" for v in worst[1])
        yield (
            f"the run of `{link.id}` comes within {worst[0]:.1f} mm of `{name}` at {where}, "
            f"where {wanted_mm:g} mm is to be kept"
        )


def _pieces(a: Vec, b: Vec) -> Iterator[tuple[Vec, Vec]]:
    count = max(1, math.ceil(math.dist(a, b) / _STEP_MM))
    marks = [_step(a, _unit(a, b), math.dist(a, b) * k / count) for k in range(count + 1)]
    yield from pairwise(marks)


def _excused(
    built: Rebuilt,
    link: Link,
    line: list[Vec],
    near: tuple[str, Body, float],
    thing: Component | Link,
    found: tuple[Vec, float],
) -> bool:
    """Whether a stretch is near its own port, near a place it must go through, or in a hole it went through before."""
    name, body, wanted_mm = near
    at, mm = found
    ports = [(e.component, p) for e, p in zip(link.ends, (line[0], line[-1]), strict=True)]
    if isinstance(thing, Component):
        for owner, port in ports:
            if owner == name:
                deep = max(0.0, -_far_mm(body, port))
                if math.dist(at, port) <= max(_UNION_MM, 2.0 * link.across_mm) + 1.5 * deep + _STEP_MM:
                    return True
        # Both the old hole and the run are looked at in steps.
        hole_mm = link.across_mm + _SAME_HOLE_MM + 2.0 * _STEP_MM
        if name in link.passes and any(math.dist(at, h) <= hole_mm for h in _old_holes(built, link, name)):
            return True
    need = wanted_mm + link.across_mm / 2.0
    for place in (line[0], line[-1]):
        far_mm = _far_mm(body, place)
        reach = 2.0 * (need - far_mm) + link.across_mm + _STEP_MM
        no_nearer = mm >= far_mm - link.across_mm / 2.0 - 1.0 - _ROUNDING_MM
        if far_mm < need and math.dist(at, place) <= reach and no_nearer:
            return True
    mouths = (h for part in link.passes for h in _old_holes(built, link, part))
    return mm >= -_ROUNDING_MM and any(math.dist(at, h) <= _MOUTH_MM + need for h in mouths)


def _far_mm(body: Body, place: Vec) -> float:
    """Distance of a place from a body [mm], negative inside."""
    return gap(solid_body((Tube(across_mm=0.02, through_mm=(place, place)),), Pose()), body).mm + 0.01


def _old_holes(built: Rebuilt, link: Link, part: str) -> list[Vec]:
    """Places where the link as it stands (or as the job drew it) goes through a part; they go where the part goes."""
    old = built.vehicle.links.get(link.id)
    parts = built.vehicle.components if old is not None else built.parts
    drawn = old or built.asked.links_new.get(link.id, link)
    if part not in parts or part not in built.parts or any(e.component not in parts for e in drawn.ends):
        return []
    shift = [q - p for p, q in zip(parts[part].pose.at_mm, built.parts[part].pose.at_mm, strict=True)]
    body = component_body(parts[part])
    first, last = (port_mm(parts[e.component], e.port) for e in drawn.ends)
    whole = [
        (p, q)
        for a, b in pairwise((first, *drawn.via_mm, last))
        if closer_than(solid_body((Tube(across_mm=0.02, through_mm=(a, b)),), Pose()), body, 0.0)
        for p, q in _pieces(a, b)
    ]
    return [
        (p[0] + shift[0], p[1] + shift[1], p[2] + shift[2])
        for p, q in whole
        if closer_than(solid_body((Tube(across_mm=0.02, through_mm=(p, q)),), Pose()), body, 0.0)
    ]
