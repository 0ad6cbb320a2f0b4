"""What there is to draw: each part as it stands and when the job is done, with the mark the job gives it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import dist

import numpy as np

from planner.draw.clip import leg_within
from planner.draw.sheet import Mark
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Cut, Job
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Link, Vehicle
from planner.space import Body, Elevation, Polygon, component_body, fillet, near_mm, port_mm, silhouette, solid_body

NOW, DONE = "as it stands", "when the job is done"
"""The two states of a vehicle that are drawn."""

_SHOWN_NOW = frozenset({Mark.MOVES, Mark.GOES, Mark.LARGER, Mark.REMADE, Mark.BACK, Mark.SET})
_SHOWN_DONE = frozenset({Mark.NEW, Mark.MOVES, Mark.LARGER, Mark.CUT, Mark.REMADE})
_MARKS = {
    EffectKind.NEW: Mark.NEW,
    EffectKind.GONE: Mark.GOES,
    EffectKind.MOVES: Mark.MOVES,
    EffectKind.GROWS: Mark.LARGER,
    EffectKind.CUT: Mark.CUT,
    EffectKind.REMADE: Mark.REMADE,
    EffectKind.OFF_AND_BACK: Mark.BACK,
    EffectKind.ADJUSTED: Mark.SET,
}
"""The strongest first: a part that moves and comes off on the way is one that moves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Where something is and what it looks like: a body, or a run of points with a width."""

    body: Body | None = None
    run_mm: tuple[Vec, ...] = ()
    across_mm: float = 0.0
    mover: Component | None = None
    """The part itself when it swings or slides; ``body`` is the part at rest."""

    @property
    def is_run(self) -> bool:
        """Whether it is a run of points."""
        return self.body is None

    def swept(self) -> Form | None:
        """All that its motion passes through; None for what does not move."""
        return Form(body=component_body(self.mover)) if self.mover is not None else None

    def meets(self, low_mm: Vec, high_mm: Vec) -> bool:
        """Whether any of it comes into a box (vehicle axes): by the boxes of its pieces, or by the legs of its run."""
        if self.body is not None:
            over = np.logical_and(self.body.lows <= np.array(high_mm), self.body.highs >= np.array(low_mm))
            return bool(over.all(axis=1).any())
        half = self.across_mm / 2.0
        low, high = tuple(v - half for v in low_mm), tuple(v + half for v in high_mm)
        return any(leg_within(a, b, low, high) is not None for a, b in pairwise(self.run_mm))

    @property
    def corners_mm(self) -> tuple[Vec, Vec]:
        """Low and high corner of its box (vehicle axes)."""
        if self.body is not None:
            return self.body.lo_mm, self.body.hi_mm
        xs, ys, zs = zip(*self.run_mm, strict=True)
        half = self.across_mm / 2.0
        return (min(xs) - half, min(ys) - half, min(zs) - half), (max(xs) + half, max(ys) + half, max(zs) + half)

    @property
    def middle_mm(self) -> Vec:
        """Middle of its box (vehicle axes)."""
        (x0, y0, z0), (x1, y1, z1) = self.corners_mm
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0

    def outline(self, view: Elevation) -> tuple[Polygon, ...]:
        """Its outline, or its run as one open line, in the plane of the elevation [mm]."""
        if self.body is not None:
            return _silhouette(self.body, view)
        return (tuple(view.flat(p) for p in self.run_mm),)

    def near_mm(self, view: Elevation) -> float:
        """How near its nearest point is to the eye."""
        return near_mm(self.body, view) if self.body is not None else max(view.near_mm(p) for p in self.run_mm)


@lru_cache(maxsize=4096)
def _silhouette(body: Body, view: Elevation) -> tuple[Polygon, ...]:
    """One body is looked at many times while its sheet is laid out."""
    return silhouette(body, view)


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One part, link or cut in both states; a state in which it is not there is None."""

    id: str
    name: str
    before: Form | None
    after: Form | None
    mark: Mark | None = None
    text: str = ""

    @property
    def forms(self) -> tuple[Form, ...]:
        """The forms it has."""
        return tuple(f for f in (self.before, self.after) if f is not None)

    def form(self, state: str) -> Form | None:
        """Its form in one of the two states."""
        return self.before if state == NOW else self.after


def mark_in(thing: Thing, state: str) -> Mark | None:
    """The mark a thing bears in one state: what goes is told before, what comes is told after."""
    return thing.mark if thing.mark in (_SHOWN_NOW if state == NOW else _SHOWN_DONE) else None


def things_standing(vehicle: Vehicle) -> tuple[Thing, ...]:
    """Everything on the vehicle as it stands, by id."""
    forms, names = _forms(vehicle.components, vehicle.links), _names(vehicle.components, vehicle.links)
    return tuple(Thing(id=i, name=names[i], before=form, after=None) for i, form in sorted(forms.items()))


def things_changed(vehicle: Vehicle, job: Job, knockons: Knockons) -> tuple[Thing, ...]:
    """Everything before and after the job, by id, each with the mark of the strongest thing that happens to it."""
    before = _forms(vehicle.components, vehicle.links)
    after = _forms(knockons.after, knockons.links_after)
    for i, run in knockons.runs.items():
        if i in after:
            line = _line(fillet(run.points_mm, run.bend_mm).points_mm)
            after[i] = Form(run_mm=line, across_mm=knockons.links_after[i].across_mm)
    names = _names(vehicle.components, vehicle.links) | _names(knockons.after, knockons.links_after)
    for change in job.changes:
        if isinstance(change, Cut):
            after[change.id] = Form(body=solid_body((change.hole,), Pose()))
            names[change.id] = f"{change.id} in the {names.get(change.host, change.host)}"
    told = _told(knockons)
    carried = {i for i in before.keys() & after.keys() if i not in told and _moved(i, vehicle, knockons)}
    found = []
    for i in sorted(before.keys() | after.keys()):
        mark, text = (
            (Mark.MOVES, f"{names[i]} goes along with what it is on") if i in carried else told.get(i, _NOTHING)
        )
        form = before.get(i), after.get(i)
        found.append(Thing(id=i, name=names[i], before=form[0], after=form[1], mark=mark, text=text))
    return tuple(found)


_NOTHING: tuple[Mark | None, str] = (None, "")


def _told(knockons: Knockons) -> dict[str, tuple[Mark | None, str]]:
    order = {kind: n for n, kind in enumerate(_MARKS)}
    told: dict[str, tuple[Mark | None, str]] = {}
    for effect in sorted((e for e in knockons.effects if e.kind in order), key=lambda e: order[e.kind]):
        told.setdefault(effect.subject, (_MARKS[effect.kind], effect.text))
    return told


def _moved(subject: str, vehicle: Vehicle, knockons: Knockons) -> bool:
    if subject not in vehicle.components or subject not in knockons.after:
        return False
    return vehicle.components[subject].pose != knockons.after[subject].pose


def _forms(components: Mapping[str, Component], links: Mapping[str, Link]) -> dict[str, Form]:
    forms = {
        i: Form(body=solid_body(c.solids, c.pose), mover=c if c.motion is not None else None)
        for i, c in components.items()
    }
    for i, link in links.items():
        start, finish = (port_mm(components[e.component], e.port) for e in link.ends)
        run = fillet((start, *link.via_mm, finish), link.bend_radius_mm)
        forms[i] = Form(run_mm=_line(run.points_mm), across_mm=link.across_mm)
    return forms


def _line(points_mm: tuple[Vec, ...]) -> tuple[Vec, ...]:
    """Two points at the least: both ends of a link may be in one place."""
    return points_mm if len(points_mm) > 1 else points_mm * 2


def _names(components: Mapping[str, Component], links: Mapping[str, Link]) -> dict[str, str]:
    return {i: c.name for i, c in components.items()} | {i: k.name for i, k in links.items()}


def size_in(outline: tuple[Polygon, ...], *, is_run: bool) -> float:
    """How large something looks: length of a run, side of the square as large as an outline [mm]."""
    if is_run:
        return sum(dist(a, b) for stretch in outline for a, b in pairwise(stretch))
    return math.sqrt(abs(sum(_twice_area(rim) for rim in outline)) / 2.0)


def _twice_area(rim: Polygon) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in _sides(rim))


def _sides(rim: Polygon) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    return pairwise((*rim, rim[0]))


def anchors_in(outline: tuple[Polygon, ...], *, is_run: bool) -> list[tuple[float, float]]:
    """Places on a part where a leader may end, the best first: within its outline, or on the legs of a run."""
    if is_run:
        legs = sorted((leg for stretch in outline for leg in pairwise(stretch)), key=lambda leg: -dist(*leg))[:3]
        return [_between(a, b, part) for part in (0.5, 0.25, 0.75) for a, b in legs]
    largest = max(outline, key=_twice_area)
    low, high = min(v for _, v in largest), max(v for _, v in largest)
    # A little off the middle, so that the level does not run along an edge of a symmetrical outline.
    spans = [span for part in (0.503, 0.253, 0.753) for span in _spans(outline, low + part * (high - low))]
    spans.sort(key=lambda s: s[1] - s[2])
    places = [_between((left, level), (right, level), part) for part in (0.5, 0.2, 0.8) for level, left, right in spans]
    return places or [largest[0]]


def _between(a: tuple[float, float], b: tuple[float, float], part: float) -> tuple[float, float]:
    return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])


def _spans(outline: tuple[Polygon, ...], level: float) -> list[tuple[float, float, float]]:
    """Stretches (level, left, right) of a level line inside the outline."""
    crossings = sorted(
        a[0] + (level - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        for rim in outline
        for a, b in _sides(rim)
        if (a[1] > level) != (b[1] > level)
    )
    return [(level, left, right) for left, right in zip(crossings[::2], crossings[1::2], strict=True)]
