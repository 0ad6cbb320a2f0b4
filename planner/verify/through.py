"""Does a link go right through a part: found point by point along the line between its ports."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, pairwise

from planner.model.shapes import Vec
from planner.model.vehicle import Component, Link
from planner.space import Body, component_body, gap, port_mm, route_body

_STEP_MM = 0.5
_POINT_MM = 0.02
_LEAST_MM = 1.0
"""A shorter stretch may be the doubt of where a line begins or ends."""
_MOST_MM = 70.0
"""A longer one is drawn along the part, or through what is hollow (starting guess, under the planner's own)."""


def goes_through(link: Link, part: Component, parts: Mapping[str, Component]) -> bool:
    """Whether a short stretch of its middle line lies in a part that is not one of its ends."""
    if part.id in {end.component for end in link.ends}:
        return False
    first, last = (port_mm(parts[end.component], end.port) for end in link.ends)
    body = component_body(part)
    return any(_through(a, b, body) for a, b in pairwise((first, *link.via_mm, last)))


def stretches_in(points_mm: Sequence[Vec], part: Component) -> Iterator[tuple[Vec, Vec]]:
    """First and last place of each stretch of a line from place to place that lies in a part [mm]."""
    body = component_body(part)
    for a, b in pairwise(points_mm):
        steps = max(1, math.ceil(math.dist(a, b) / _STEP_MM))
        places = [_on(a, b, k / steps) for k in range(steps + 1)]
        for within, group in groupby(places, key=lambda place: _is_in(place, body)):
            if within:
                stretch = list(group)
                yield stretch[0], stretch[-1]


def _through(a: Vec, b: Vec, body: Body) -> bool:
    steps = max(1, math.ceil(math.dist(a, b) / _STEP_MM))
    inside = [_is_in(_on(a, b, k / steps), body) for k in range(steps + 1)]
    pitch = math.dist(a, b) / steps
    runs = [len(list(group)) for within, group in groupby(inside) if within]
    return any(_LEAST_MM <= (count - 1) * pitch <= _MOST_MM for count in runs)


def _is_in(point: Vec, body: Body) -> bool:
    if any(not low <= at <= high for low, at, high in zip(body.lo_mm, point, body.hi_mm, strict=True)):
        return False
    return gap(route_body((point, point), 0.0, _POINT_MM), body).mm < -_POINT_MM


def _on(a: Vec, b: Vec, share: float) -> Vec:
    x, y, z = (p + (q - p) * share for p, q in zip(a, b, strict=True))
    return (x, y, z)
