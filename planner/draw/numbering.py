"""Which parts get a number, in which view they bear it, and where their leaders end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import dist

from planner.draw.frames import Frame
from planner.draw.labels import Edges
from planner.draw.scene import NOW, Form, Thing, anchors_in, mark_in, size_in
from planner.draw.sheet import Point
from planner.space import Elevation

NUMBERS_AT_MOST = 60
LEAST_SEEN_MM = 4.0
"""Parts that look smaller than this on the paper in every view get no number when nothing happens to them."""
_ANCHORS_APART_MM = 2.0
_CROWDED = 0.5
_BEHIND = 1.0
"""What it weighs, as a part of its size, that a leader ends there already, or that a twin stands before it."""
_TWIN = 0.7
"""Shared part of the two boxes together from which two parts are taken to stand behind one another."""

Key = tuple[str, Elevation]
"""A state and a view."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """The number of a part, the view that bears it, and the ends of its leaders on the paper by state."""

    number: int
    view: Elevation
    anchors: Mapping[str, Point]


def edges_of(frame: Frame) -> Edges:
    """The rows of labels of a view: as wide as its frame."""
    return Edges(left=frame.corner[0], right=frame.right, top=frame.corner[1], bottom=frame.bottom)


def worth_a_number(things: Sequence[Thing], scale: float) -> list[Thing]:
    """The parts (no links) that look large enough on a sheet without a job, the largest first.

    Of a pair the right one comes first: it is the one to be seen from the right.
    """
    sized = {t.id: max(_looks(t, v) for v in Elevation) for t in things if t.before and t.before.body is not None}
    large = [t for t in things if sized.get(t.id, 0.0) / scale >= LEAST_SEEN_MM]
    return sorted(large, key=lambda t: (-round(sized[t.id], 3), -t.forms[0].middle_mm[1], t.id))


def _looks(thing: Thing, view: Elevation) -> float:
    """How large a thing looks in a view, in whichever state it looks larger [vehicle mm]."""
    return max(size_in(f.outline(view), is_run=f.body is None) for f in thing.forms)


def number_things(wanted: Sequence[Thing], frames: Mapping[Key, Frame], *, has_job: bool) -> dict[str, Numbered]:
    """Numbers from the front to the rear, for as many of the wanted (the most wanted first) as there is room for."""
    desk = _Desk(frames, has_job=has_job)
    for thing in wanted[:NUMBERS_AT_MOST]:
        desk.take(thing)
    order = sorted((t for t in wanted if t.id in desk.chosen), key=lambda t: (round(t.forms[-1].middle_mm[0], 3), t.id))
    return {
        t.id: Numbered(number=n, view=desk.chosen[t.id][0], anchors=desk.chosen[t.id][1])
        for n, t in enumerate(order, start=1)
    }


_Box = tuple[float, float, float, float]


def _box(form: Form, view: Elevation) -> _Box:
    """Left, right, lower and upper edge of a form in the plane of an elevation [mm]."""
    (u0, v0), (u1, v1) = (view.flat(corner) for corner in form.corners_mm)
    return min(u0, u1), max(u0, u1), min(v0, v1), max(v0, v1)


def _shared(a: _Box, b: _Box) -> float:
    """Area that two boxes share, as a part of the area they cover together."""
    wide, high = min(a[1], b[1]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[2], b[2])
    both = max(wide, 0.0) * max(high, 0.0)
    return both / max(sum((c[1] - c[0]) * (c[3] - c[2]) for c in (a, b)) - both, 1e-9)


class _Desk:
    """Hands out places in views one thing at a time."""

    def __init__(self, frames: Mapping[Key, Frame], *, has_job: bool) -> None:
        self._frames = frames
        self._has_job = has_job
        self._room = {key: edges_of(f).room_for(marked=has_job) for key, f in frames.items()}
        self._used: dict[Key, list[Point]] = {key: [] for key in frames}
        self._boxes: dict[Key, list[_Box]] = {key: [] for key in frames}
        self.chosen: dict[str, tuple[Elevation, dict[str, Point]]] = {}

    def take(self, thing: Thing) -> None:
        """Give the thing the view in which it looks largest, as far as that is not full or its place taken."""
        forms = self._forms(thing)
        sizes = {v: _looks(thing, v) for v in Elevation}
        largest = max(*sizes.values(), 1e-9)
        best: tuple[float, Elevation, dict[str, Point]] | None = None
        for view in Elevation:
            keys = [(state, view) for state in forms]
            if not keys or any(len(self._used[k]) >= self._room[k] for k in keys):
                continue
            anchors = {state: self._anchor(forms[state], (state, view)) for state in forms}
            full = max(len(self._used[k]) / self._room[k] for k in keys)
            worse = max(self._worse(k, anchors[k[0]], forms[k[0]]) for k in keys)
            score = sizes[view] / largest - full - worse
            if best is None or score > best[0]:
                best = score, view, anchors
        if best is None:
            return
        self.chosen[thing.id] = best[1], best[2]
        for state, anchor in best[2].items():
            self._used[state, best[1]].append(anchor)
            self._boxes[state, best[1]].append(_box(forms[state], best[1]))

    def _forms(self, thing: Thing) -> dict[str, Form]:
        return {
            s: form
            for s in dict.fromkeys(state for state, _ in self._frames)
            if (form := thing.form(s)) is not None and (mark_in(thing, s) is not None if self._has_job else s == NOW)
        }

    def _anchor(self, form: Form, key: Key) -> Point:
        places = [self._frames[key].at(p) for p in anchors_in(form.outline(key[1]), is_run=form.body is None)]
        free = next((p for p in places if self._free_mm(key, p) >= _ANCHORS_APART_MM), None)
        return free or max(places, key=lambda p: self._free_mm(key, p))

    def _worse(self, key: Key, anchor: Point, form: Form) -> float:
        box = _box(form, key[1])
        if any(_shared(box, other) > _TWIN for other in self._boxes[key]):
            return _BEHIND
        return _CROWDED if self._free_mm(key, anchor) < _ANCHORS_APART_MM else 0.0

    def _free_mm(self, key: Key, place: Point) -> float:
        return min((dist(place, other) for other in self._used[key]), default=float("inf"))
