"""Which parts and spots get a number, in which views they bear it, and where their leaders end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import dist

from planner.draw.frames import Frame
from planner.draw.labels import Edges
from planner.draw.scene import Form, Thing, anchors_in, mark_in, size_in
from planner.draw.setting import right_of
from planner.draw.sheet import Point
from planner.draw.spots import Fold
from planner.space import Elevation

NUMBERS_AT_MOST = 60
LEAST_SEEN_MM = 4.0
"""Parts that look smaller than this on the paper in every view get no number when nothing happens to them."""
_LINK_SEEN_MM = 12.0
_NEIGHBOURS_AT_MOST, _FEW = 24, 16
_ANCHORS_APART_MM = 2.0
_CROWDED = 0.5
_BEHIND = 1.0
"""What it weighs, as a part of its size, that a leader ends there already, or that a twin stands before it."""
_TWIN = 0.7
"""Shared part of the two boxes together from which two parts are taken to stand behind one another."""
_SPOTS_SHARE = 0.5
"""Spots are numbered in every view whose rows of labels they fill to no more than this."""

Key = tuple[str, Elevation]
"""A state and a view."""
Frames = Mapping[Key, Frame]


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """The number of a part, the view that bears it, and the ends of its leaders on the paper by state."""

    number: int
    view: Elevation
    anchors: Mapping[str, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberedSpot:
    """The number of a spot and the views in which a label bears it."""

    number: int
    views: frozenset[Elevation]


def edges_of(frame: Frame, state: str) -> Edges:
    """The rows of labels of a view: as wide as its frame, or as its title when that is longer."""
    return Edges(left=frame.corner[0], right=right_of(frame, state), top=frame.corner[1], bottom=frame.bottom)


def worth_a_number(things: Sequence[Thing], frames: Frames) -> list[Thing]:
    """The things that look large enough on a sheet without a job, the largest first.

    Links are among them in a window only. Of a pair the right part comes first: it is the one seen from the right.
    """
    whole = not any(f.extent.cut for f in frames.values())
    scale = next(iter(frames.values())).scale
    sized = {t.id: max(_looks(t, v, frames) for v in Elevation) / scale for t in things if not (whole and _is_run(t))}
    large = [t for t in things if sized.get(t.id, 0.0) >= (_LINK_SEEN_MM if _is_run(t) else LEAST_SEEN_MM)]
    return sorted(large, key=lambda t: (_is_run(t), -round(sized[t.id], 3), -t.forms[0].middle_mm[1], t.id))


def neighbours(things: Sequence[Thing], frames: Frames, changed: int) -> list[Thing]:
    """Of the things to which nothing happens, those to be named in a window beside so many that change.

    The largest parts, and links too as long as there is little to be named.
    """
    plain = worth_a_number([t for t in things if t.mark is None], frames)
    parts = [t for t in plain if not _is_run(t)][:_NEIGHBOURS_AT_MOST]
    return parts + [t for t in plain if _is_run(t)][: max(0, _FEW - changed - len(parts))]


def _is_run(thing: Thing) -> bool:
    return thing.forms[0].is_run


def _looks(thing: Thing, view: Elevation, frames: Frames) -> float:
    """How large a thing looks in a view, in whichever state it looks larger [vehicle mm]."""
    return max(
        (
            size_in(seen, is_run=form.is_run)
            for (state, v), frame in frames.items()
            if v is view and (form := thing.form(state)) is not None and (seen := frame.seen(form))
        ),
        default=0.0,
    )


def number_all(
    wanted: Sequence[Thing], folds: Sequence[Fold], frames: Frames, *, marked: bool
) -> tuple[dict[str, Numbered], tuple[NumberedSpot, ...]]:
    """Numbers from the front to the rear, for as many of the wanted (the most wanted first) as there is room for.

    The spots are numbered after the parts, but get their labels first.
    """
    desk = _Desk(frames, marked=marked)
    views = [desk.take_spot(fold) for fold in folds]
    for thing in wanted[:NUMBERS_AT_MOST]:
        desk.take(thing)
    order = sorted((t for t in wanted if t.id in desk.chosen), key=lambda t: (round(t.forms[-1].middle_mm[0], 3), t.id))
    things = {
        t.id: Numbered(number=n, view=desk.chosen[t.id][0], anchors=desk.chosen[t.id][1])
        for n, t in enumerate(order, start=1)
    }
    spots = tuple(NumberedSpot(number=n, views=v) for n, v in enumerate(views, start=len(things) + 1))
    return things, spots


_Box = tuple[float, float, float, float]


def _box(form: Form, frame: Frame) -> _Box:
    """Left, right, lower and upper edge of what a frame shows of a form, in the plane of its elevation [mm]."""
    (u0, v0), (u1, v1) = (frame.view.flat(corner) for corner in form.corners_mm)
    box = min(u0, u1), max(u0, u1), min(v0, v1), max(v0, v1)
    if not frame.extent.cut:
        return box
    (left, low), (right, high) = frame.extent.rect_mm(frame.view)
    return max(box[0], left), min(box[1], right), max(box[2], low), min(box[3], high)


def _shared(a: _Box, b: _Box) -> float:
    """Area that two boxes share, as a part of the area they cover together."""
    wide, high = min(a[1], b[1]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[2], b[2])
    both = max(wide, 0.0) * max(high, 0.0)
    return both / max(sum((c[1] - c[0]) * (c[3] - c[2]) for c in (a, b)) - both, 1e-9)


class _Desk:
    """Hands out places in views one thing at a time."""

    def __init__(self, frames: Frames, *, marked: bool) -> None:
        self._frames = frames
        self._room = {key: edges_of(f, key[0]).room_for(marked=marked) for key, f in frames.items()}
        self._used: dict[Key, list[Point]] = {key: [] for key in frames}
        self._boxes: dict[Key, list[_Box]] = {key: [] for key in frames}
        self.chosen: dict[str, tuple[Elevation, dict[str, Point]]] = {}

    def take_spot(self, fold: Fold) -> frozenset[Elevation]:
        """Label a spot in every view of its state of the vehicle that has room to spare, but in one at the least."""
        keys = [(fold.worst.state, view) for view in Elevation]
        free = [k for k in keys if len(self._used[k]) < self._room[k]]
        roomy = [k for k in free if len(self._used[k]) + 1 <= _SPOTS_SHARE * self._room[k]]
        if free and not roomy:
            roomy = [max(free, key=lambda k: self._room[k] - len(self._used[k]))]
        for key in roomy:
            frame = self._frames[key]
            self._used[key].append(frame.at(frame.view.flat(fold.at_mm)))
        return frozenset(view for _, view in roomy)

    def take(self, thing: Thing) -> None:
        """Give the thing the view in which it looks largest, as far as that is not full or its place taken."""
        sizes = {v: _looks(thing, v, self._frames) for v in Elevation}
        largest = max(*sizes.values(), 1e-9)
        best: tuple[float, Elevation, dict[str, Point]] | None = None
        for view in Elevation:
            forms = self._forms(thing, view)
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
            key, form = (state, best[1]), thing.form(state)
            self._used[key].append(anchor)
            if form is not None:
                self._boxes[key].append(_box(form, self._frames[key]))

    def _forms(self, thing: Thing, view: Elevation) -> dict[str, Form]:
        """The forms to be labelled in a view: in each state with a mark; what has none once, where it is seen first."""
        seen = {
            state: form
            for (state, v), frame in self._frames.items()
            if v is view and (form := thing.form(state)) is not None and frame.seen(form)
        }
        if thing.mark is None:
            return dict(list(seen.items())[:1])
        return {state: form for state, form in seen.items() if mark_in(thing, state) is not None}

    def _anchor(self, form: Form, key: Key) -> Point:
        frame = self._frames[key]
        places = [frame.at(p) for p in anchors_in(frame.seen(form), is_run=form.is_run)]
        free = next((p for p in places if self._free_mm(key, p) >= _ANCHORS_APART_MM), None)
        return free or max(places, key=lambda p: self._free_mm(key, p))

    def _worse(self, key: Key, anchor: Point, form: Form) -> float:
        box = _box(form, self._frames[key])
        if any(_shared(box, other) > _TWIN for other in self._boxes[key]):
            return _BEHIND
        return _CROWDED if self._free_mm(key, anchor) < _ANCHORS_APART_MM else 0.0

    def _free_mm(self, key: Key, place: Point) -> float:
        return min((dist(place, other) for other in self._used[key]), default=float("inf"))
