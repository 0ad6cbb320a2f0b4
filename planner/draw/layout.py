"""From things to a sheet: the scale, where the views stand, and which parts get a number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.draw.frames import Extent, Frame, bar_texts, extent_of, grid_of
from planner.draw.labels import BAND_MM, Edges, Wanted, place_labels
from planner.draw.lettering import text_width_mm
from planner.draw.scene import Form, Thing, anchor_in, size_in
from planner.draw.sheet import TEXT_MM, Bar, Entry, Mark, Note, Point, Shape, Sheet, View
from planner.model.shapes import Vec
from planner.space import Elevation
from planner.units import format_length

SHEET_MM = (420.0, 297.0)
"""A3 on its side (ISO 216)."""
MARGIN_MM = 10.0
NUMBERS_AT_MOST = 60
NOW, DONE = "as it stands", "when the job is done"
_TITLE_MM, _GAP_MM, _HEADER_MM, _FOOTER_MM = 5.5, 6.0, 15.0, 6.0
_LEGEND_MM, _LINE_MM = 8.0, 4.2
_LEAST_SEEN_MM = 4.0
"""Parts that look smaller than this on the paper in every view get no number when nothing happens to them."""
_NAME_COLUMN_MM = 68.0
_LINK_LEAST_MM = 0.3
_SCALES = (1, 2, 2.5, 4, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000)
"""Round ones, so that a rule reads the paper; the first that lets everything fit is taken."""
_SHOWN_BEFORE = frozenset({Mark.MOVES, Mark.GOES, Mark.LARGER, Mark.REMADE, Mark.BACK, Mark.SET})
_SHOWN_AFTER = frozenset({Mark.NEW, Mark.MOVES, Mark.LARGER, Mark.CUT, Mark.REMADE})
_FROM = {Elevation.SIDE: "from the right", Elevation.PLAN: "from above", Elevation.FRONT: "from the front"}
_ARROWS = {Elevation.SIDE: "front", Elevation.PLAN: "front", Elevation.FRONT: "its left"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a sheet is about."""

    name: str
    title: str
    about: str
    units: str
    ground_mm: float
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frames:
    """Where everything stands at one scale: frames by state and view, and the room for the list."""

    scale: float
    frames: Mapping[tuple[str, Elevation], Frame]
    list_at: Point
    list_size: tuple[float, float]


def lay_out(subject: Subject, things: Sequence[Thing], *, has_job: bool) -> Sheet:
    """The whole sheet, at the largest of the scales at which it fits.

    Parameters
    ----------
    subject : Subject
    things : sequence of Thing
    has_job : bool
        Two rows, before and after, with only what changes numbered; else one of each view and the large parts numbered.
    """
    extent = extent_of(tuple(things), subject.ground_mm)
    changed = sum(t.mark is not None for t in things)
    for scale in _SCALES:
        plan = _two_rows(extent, scale) if has_job else _one_of_each(extent, scale)
        count = changed if has_job else min(len(_large(things, scale)), NUMBERS_AT_MOST)
        if _holds(plan, count):
            break
    numbered = _numbered(things, plan, has_job=has_job)
    views = tuple(_view(subject, plan, key, things, numbered, has_job=has_job) for key in plan.frames)
    return _sheet(subject, plan, views, _entries(things, numbered, subject.units, plan, has_job=has_job))


def _columns(plan: _Frames) -> int:
    return max(1, int(plan.list_size[0] // _NAME_COLUMN_MM)) if plan.list_size[0] < SHEET_MM[0] / 2 else 4


def _holds(plan: _Frames, count: int) -> bool:
    """Whether the frames lie on the sheet and the list has room for ``count`` lines."""
    inside = all(
        f.right <= SHEET_MM[0] - MARGIN_MM and f.bottom + BAND_MM <= SHEET_MM[1] - MARGIN_MM - _FOOTER_MM
        for f in plan.frames.values()
    )
    lines = -(-count // _columns(plan))
    return inside and plan.list_size[0] >= _NAME_COLUMN_MM and lines * _LINE_MM <= plan.list_size[1]


def _two_rows(extent: Extent, scale: float) -> _Frames:
    frames: dict[tuple[str, Elevation], Frame] = {}
    top = MARGIN_MM + _HEADER_MM
    for state in (NOW, DONE):
        left = MARGIN_MM
        for view in (Elevation.PLAN, Elevation.SIDE, Elevation.FRONT):
            frame = Frame(view=view, extent=extent, scale=scale, corner=(left, top + _TITLE_MM + BAND_MM))
            frames[state, view] = frame
            left = frame.right + _GAP_MM
        top = max(f.bottom for (s, _), f in frames.items() if s == state) + BAND_MM
    top += _LEGEND_MM
    size = (SHEET_MM[0] - 2 * MARGIN_MM, SHEET_MM[1] - MARGIN_MM - _FOOTER_MM - top)
    return _Frames(scale=scale, frames=frames, list_at=(MARGIN_MM, top), list_size=size)


def _one_of_each(extent: Extent, scale: float) -> _Frames:
    """Plan above side view, front view beside it, so that every height and length stands at the same level."""
    top = MARGIN_MM + _HEADER_MM + _TITLE_MM + BAND_MM
    plan = Frame(view=Elevation.PLAN, extent=extent, scale=scale, corner=(MARGIN_MM, top))
    low = plan.bottom + 2 * BAND_MM + _TITLE_MM
    side = Frame(view=Elevation.SIDE, extent=extent, scale=scale, corner=(MARGIN_MM, low))
    front = Frame(view=Elevation.FRONT, extent=extent, scale=scale, corner=(side.right + _GAP_MM, low))
    left, top = plan.right + _GAP_MM, MARGIN_MM + _HEADER_MM
    size = (SHEET_MM[0] - MARGIN_MM - left, low - BAND_MM - _TITLE_MM - top)
    frames = {(NOW, f.view): f for f in (plan, side, front)}
    return _Frames(scale=scale, frames=frames, list_at=(left, top), list_size=size)


def _looks(thing: Thing, view: Elevation) -> float:
    """How large a thing looks in a view, in whichever state it looks larger [vehicle mm]."""
    return max(size_in(f.outline(view), is_run=f.body is None) for f in thing.forms)


def _large(things: Sequence[Thing], scale: float) -> list[Thing]:
    """Parts worth a number on a sheet without a job, the largest first."""
    sized = {t.id: max(_looks(t, v) for v in Elevation) for t in things if t.before and t.before.body is not None}
    large = [t for t in things if sized.get(t.id, 0.0) / scale >= _LEAST_SEEN_MM]
    return sorted(large, key=lambda t: (-sized[t.id], t.id))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Number:
    number: int
    view: Elevation


def _numbered(things: Sequence[Thing], plan: _Frames, *, has_job: bool) -> dict[str, _Number]:
    """Numbers from the front to the rear, each with the view it is told in, for as many as there is room for."""
    wanted = [t for t in things if t.mark is not None] if has_job else _large(things, plan.scale)
    if has_job:
        wanted.sort(key=lambda t: (t.forms[0].body is None, t.id))
    room = {v: plan_edges(plan, v).room_for(marked=has_job) for v in Elevation}
    load: dict[tuple[str, Elevation], int] = dict.fromkeys(plan.frames, 0)
    chosen: dict[str, Elevation] = {}
    for thing in wanted[:NUMBERS_AT_MOST]:
        states = _label_states(thing, has_job=has_job)
        sizes = {v: _looks(thing, v) for v in Elevation}
        free = [v for v in Elevation if all(load[s, v] < room[v] for s in states)]
        if not free:
            continue
        full = {v: max((load[s, v] / room[v] for s in states), default=0.0) for v in free}
        best = max(free, key=lambda v: sizes[v] / max(*sizes.values(), 1e-9) - full[v])
        chosen[thing.id] = best
        for s in states:
            load[s, best] += 1
    order = sorted((t for t in things if t.id in chosen), key=lambda t: (round(t.forms[-1].middle_mm[0], 3), t.id))
    return {t.id: _Number(number=n, view=chosen[t.id]) for n, t in enumerate(order, start=1)}


def plan_edges(plan: _Frames, view: Elevation) -> Edges:
    """The rows of labels of a view: as wide as its frame."""
    return _edges(next(f for (_, v), f in plan.frames.items() if v is view))


def _edges(frame: Frame) -> Edges:
    return Edges(left=frame.corner[0], right=frame.right, top=frame.corner[1], bottom=frame.bottom)


def _form(thing: Thing, state: str) -> Form | None:
    return thing.before if state == NOW else thing.after


def mark_in(thing: Thing, state: str) -> Mark | None:
    """The mark a thing bears in one row: what goes is told before, what comes is told after."""
    return thing.mark if thing.mark in (_SHOWN_BEFORE if state == NOW else _SHOWN_AFTER) else None


def _label_states(thing: Thing, *, has_job: bool) -> list[str]:
    if not has_job:
        return [NOW]
    return [s for s in (NOW, DONE) if _form(thing, s) is not None and mark_in(thing, s) is not None]


def _view(
    subject: Subject,
    plan: _Frames,
    key: tuple[str, Elevation],
    things: Sequence[Thing],
    numbered: Mapping[str, _Number],
    *,
    has_job: bool,
) -> View:
    (state, view), frame = key, plan.frames[key]
    there = [(t, f) for t in things if (f := _form(t, state)) is not None]
    wanted = [
        Wanted(
            subject=t.id,
            number=numbered[t.id].number,
            mark=mark_in(t, state),
            anchor=frame.at(anchor_in(f.outline(view), is_run=f.body is None)),
        )
        for t, f in there
        if t.id in numbered and numbered[t.id].view is view and state in _label_states(t, has_job=has_job)
    ]
    shapes = [_shape(t, f, frame, mark_in(t, state)) for t, f in there]
    if state == DONE:
        gone = [(t, t.before) for t in things if t.mark is Mark.MOVES and t.before is not None]
        shapes += [replace(_shape(t, f, frame, None), old_place=True) for t, f in gone]
    return View(
        elevation=view,
        state=state,
        title=f"{_FROM[view]}, {state}" if has_job else _FROM[view],
        title_at=(frame.corner[0], frame.corner[1] - BAND_MM - 1.5),
        arrow_text=_ARROWS[view],
        corner=frame.corner,
        size=frame.size,
        grid=grid_of(frame, subject.units),
        shapes=tuple(sorted(shapes, key=lambda s: (s.old_place, s.mark is not None, s.near_mm, s.subject))),
        labels=place_labels(wanted, _edges(frame)),
    )


def _shape(thing: Thing, form: Form, frame: Frame, mark: Mark | None) -> Shape:
    is_run = form.body is None
    return Shape(
        subject=thing.id,
        label=thing.name,
        outline=tuple(tuple(frame.at(p) for p in rim) for rim in form.outline(frame.view)),
        near_mm=form.near_mm(frame.view),
        mark=mark,
        across_mm=max(form.across_mm / frame.scale, _LINK_LEAST_MM) if is_run else None,
    )


def _entries(
    things: Sequence[Thing], numbered: Mapping[str, _Number], units: str, plan: _Frames, *, has_job: bool
) -> tuple[Entry, ...]:
    """The list in the order of the numbers, then what changes but has no number."""
    told = [t for t in things if t.id in numbered or (has_job and t.mark is not None)]
    told.sort(key=lambda t: (t.id not in numbered, numbered[t.id].number if t.id in numbered else 0, t.id))
    columns = _columns(plan)
    wide = plan.list_size[0] / columns
    lines = max(-(-len(told) // columns), 1)
    return tuple(
        Entry(
            number=numbered[t.id].number if t.id in numbered else 0,
            mark=t.mark,
            subject=t.id,
            name=t.name,
            text=t.text,
            places=tuple((s, _place_words(f.middle_mm, units)) for s in (NOW, DONE) if (f := _form(t, s)) is not None),
            at=(plan.list_at[0] + (n // lines) * wide, plan.list_at[1] + (n % lines + 1) * _LINE_MM - 1.0),
        )
        for n, t in enumerate(told)
    )


def _place_words(middle_mm: Vec, units: str) -> str:
    return ", ".join(f"{axis} {format_length(v, units)}" for axis, v in zip("xyz", middle_mm, strict=True))


def _sheet(subject: Subject, plan: _Frames, views: tuple[View, ...], entries: tuple[Entry, ...]) -> Sheet:
    field, texts = bar_texts(subject.units, plan.scale)
    bar_left = SHEET_MM[0] - MARGIN_MM - field * (len(texts) - 1) - text_width_mm(texts[-1]) / 2.0
    scale_text = f"1 : {plan.scale:g} on paper of {SHEET_MM[0]:g} x {SHEET_MM[1]:g} mm (A3)"
    foot = SHEET_MM[1] - MARGIN_MM + 1.0
    has_job = any(v.state == DONE for v in views)
    step = (SHEET_MM[0] - 2 * MARGIN_MM) / len(Mark)
    legend_at = plan.list_at[1] - _LEGEND_MM + 4.5
    notes = [
        Note(at=(MARGIN_MM, MARGIN_MM + 4.0), text=subject.title, bold=True, size_mm=5.0),
        Note(at=(MARGIN_MM, MARGIN_MM + 9.5), text=f"{scale_text}; x rearward, y to the right, z up"),
        Note(at=(MARGIN_MM, foot), text="; ".join(subject.notes)),
    ]
    return Sheet(
        name=subject.name,
        title=subject.title,
        about=subject.about,
        size=SHEET_MM,
        scale=plan.scale,
        views=views,
        bar=Bar(at=(bar_left, MARGIN_MM + 1.0), step_mm=field, texts=texts),
        legend=tuple((m, (MARGIN_MM + n * step, legend_at)) for n, m in enumerate(Mark)) if has_job else (),
        entries=entries,
        entry_wide_mm=plan.list_size[0] / _columns(plan),
        notes=tuple(notes),
    )


__all__ = ["DONE", "NOW", "NUMBERS_AT_MOST", "SHEET_MM", "TEXT_MM", "Subject", "lay_out"]
