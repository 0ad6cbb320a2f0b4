"""The boxes that closer looks are cut to: round one part, or where a job gets in the way of what stands there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.draw.frames import Extent
from planner.draw.scene import DONE, NOW, Form, Thing
from planner.draw.spots import Meeting
from planner.model.shapes import Vec

Box = tuple[Vec, Vec]
_BUSY_REACH_MM = 250.0
"""So far from the place of a clash the two things that clash there are shown."""
_BUSY_RIM_MM = 40.0


def window_round(thing: Thing, reach_mm: float, ground_mm: float, *, has_job: bool) -> Mapping[str, Extent]:
    """The window of each state: so far round a part in both its homes.

    When it moves so far that the two boxes stand apart, each state has its own.
    """
    boxes = {s: _grown(f.corners_mm, reach_mm) for s in (NOW, DONE) if (f := thing.form(s)) is not None}
    if not has_job:
        return {NOW: _extent(boxes[NOW], ground_mm)}
    before, after = (boxes.get(s) or next(iter(boxes.values())) for s in (NOW, DONE))
    if _apart(before, after):
        return {NOW: _extent(before, ground_mm), DONE: _extent(after, ground_mm)}
    both = _extent(_round_all([before, after]), ground_mm)
    return {NOW: both, DONE: both}


def busy_window(things: Sequence[Thing], meetings: Sequence[Meeting], ground_mm: float) -> Mapping[str, Extent] | None:
    """One window for both states round all clashes, with what clashes there; None when there is none."""
    known = {t.id: t for t in things}
    boxes = []
    for meeting in meetings:
        at = meeting.at_mm
        if at is None:
            continue
        about = _grown((at, at), _BUSY_REACH_MM)
        forms: list[Form | None] = []
        if meeting.met in known:
            forms.append(known[meeting.met].form(meeting.state))
        if meeting.comer in known:
            forms.append(known[meeting.comer].after)
        boxes += [_shared(f.corners_mm, about) for f in forms if f is not None and f.meets(*about)]
        boxes.append((at, at))
    if not boxes:
        return None
    both = _extent(_grown(_round_all(boxes), _BUSY_RIM_MM), ground_mm)
    return {NOW: both, DONE: both}


def _extent(box: Box, ground_mm: float) -> Extent:
    return Extent(low=box[0], high=box[1], ground_mm=ground_mm, cut=True)


def _vec(values: Sequence[float]) -> Vec:
    x, y, z = values
    return x, y, z


def _grown(box: Box, by_mm: float) -> Box:
    return _vec([v - by_mm for v in box[0]]), _vec([v + by_mm for v in box[1]])


def _shared(a: Box, b: Box) -> Box:
    return (
        _vec([max(u, v) for u, v in zip(a[0], b[0], strict=True)]),
        _vec([min(u, v) for u, v in zip(a[1], b[1], strict=True)]),
    )


def _round_all(boxes: Sequence[Box]) -> Box:
    return (
        _vec([min(v) for v in zip(*(b[0] for b in boxes), strict=True)]),
        _vec([max(v) for v in zip(*(b[1] for b in boxes), strict=True)]),
    )


def _apart(a: Box, b: Box) -> bool:
    return any(a1 < b0 or b1 < a0 for a0, a1, b0, b1 in zip(a[0], a[1], b[0], b[1], strict=True))
