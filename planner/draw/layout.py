"""From things to a sheet: the scale, where the views stand, and which parts get a number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.draw.frames import Extent, Frame, bar_texts, extent_of, grid_of
from planner.draw.labels import BAND_MM, Wanted, place_labels
from planner.draw.lettering import text_width_mm
from planner.draw.numbering import NUMBERS_AT_MOST, Numbered, edges_of, number_things, worth_a_number
from planner.draw.scene import DONE, NOW, Form, Thing, mark_in
from planner.draw.sheet import Bar, Entry, Mark, Note, Point, Shape, Sheet, View
from planner.model.shapes import Vec
from planner.space import Elevation
from planner.units import format_length

SHEET_MM = (420.0, 297.0)
"""A3 on its side (ISO 216)."""
MARGIN_MM = 10.0
_TITLE_MM, _GAP_MM, _HEADER_MM, _FOOTER_MM = 5.0, 5.0, 13.0, 4.0
_LEGEND_MM, _LINE_MM = 8.0, 4.1
_NAME_COLUMN_MM = 68.0
_LINK_LEAST_MM = 0.3
_BOLD, _ARROW_MM = 1.15, 9.0
"""How much wider bold letters are at most, and room for an arrow with the gaps round it [mm]."""
_SCALES = (1, 2, 2.5, 4, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000)
"""Round ones, so that a rule reads the paper; the first that lets everything fit is taken."""
_WHEN = {NOW: NOW, DONE: "job done"}
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
    changed = sorted((t for t in things if t.mark is not None), key=lambda t: (t.forms[0].body is None, t.id))
    for scale in _SCALES:
        plan = _two_rows(extent, scale) if has_job else _one_of_each(extent, scale)
        wanted = changed if has_job else worth_a_number(things, scale)
        if _holds(plan, min(len(wanted), NUMBERS_AT_MOST)):
            break
    numbered = number_things(wanted, plan.frames, has_job=has_job)
    views = tuple(_view(subject, plan, key, things, numbered) for key in plan.frames)
    return _sheet(subject, plan, views, _entries(things, numbered, subject.units, plan))


def _columns(plan: _Frames) -> int:
    return max(1, int(plan.list_size[0] // _NAME_COLUMN_MM)) if plan.list_size[0] < SHEET_MM[0] / 2 else 4


def _holds(plan: _Frames, count: int) -> bool:
    """Whether the frames lie on the sheet and the list has room for ``count`` lines."""
    inside = all(
        _right_of(f, s) <= SHEET_MM[0] - MARGIN_MM and f.bottom + BAND_MM <= SHEET_MM[1] - MARGIN_MM - _FOOTER_MM
        for (s, _), f in plan.frames.items()
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
            left = _right_of(frame, state) + _GAP_MM
        top = max(f.bottom for (s, _), f in frames.items() if s == state) + BAND_MM
    top += _LEGEND_MM
    size = (SHEET_MM[0] - 2 * MARGIN_MM, SHEET_MM[1] - MARGIN_MM - _FOOTER_MM - top)
    return _Frames(scale=scale, frames=frames, list_at=(MARGIN_MM, top), list_size=size)


def _title(view: Elevation, state: str) -> str:
    return f"{_FROM[view]}, {_WHEN[state]}"


def _right_of(frame: Frame, state: str) -> float:
    """Where a view ends on the right [mm], its bold title and its arrow counted in."""
    words = text_width_mm(_title(frame.view, state)) * _BOLD + text_width_mm(_ARROWS[frame.view])
    return max(frame.right, frame.corner[0] + words + _ARROW_MM)


def _one_of_each(extent: Extent, scale: float) -> _Frames:
    """Plan above side view, front view beside it, so that every height and length stands at the same level."""
    top = MARGIN_MM + _HEADER_MM + _TITLE_MM + BAND_MM
    plan = Frame(view=Elevation.PLAN, extent=extent, scale=scale, corner=(MARGIN_MM, top))
    low = plan.bottom + 2 * BAND_MM + _TITLE_MM
    side = Frame(view=Elevation.SIDE, extent=extent, scale=scale, corner=(MARGIN_MM, low))
    front = Frame(view=Elevation.FRONT, extent=extent, scale=scale, corner=(_right_of(side, NOW) + _GAP_MM, low))
    left, top = _right_of(plan, NOW) + _GAP_MM, MARGIN_MM + _HEADER_MM
    size = (SHEET_MM[0] - MARGIN_MM - left, low - BAND_MM - _TITLE_MM - top)
    frames = {(NOW, f.view): f for f in (plan, side, front)}
    return _Frames(scale=scale, frames=frames, list_at=(left, top), list_size=size)


def _view(
    subject: Subject,
    plan: _Frames,
    key: tuple[str, Elevation],
    things: Sequence[Thing],
    numbered: Mapping[str, Numbered],
) -> View:
    (state, view), frame = key, plan.frames[key]
    there = [(t, f) for t in things if (f := t.form(state)) is not None]
    wanted = [
        Wanted(
            subject=t.id,
            number=numbered[t.id].number,
            mark=mark_in(t, state),
            anchor=numbered[t.id].anchors[state],
        )
        for t, f in there
        if t.id in numbered and numbered[t.id].view is view and state in numbered[t.id].anchors
    ]
    shapes = [_shape(t, f, frame, mark_in(t, state)) for t, f in there]
    if state == DONE:
        gone = [(t, t.before) for t in things if t.mark is Mark.MOVES and t.before is not None]
        shapes += [replace(_shape(t, f, frame, None), old_place=True) for t, f in gone]
    return View(
        elevation=view,
        state=state,
        title=_title(view, state),
        title_at=(frame.corner[0], frame.corner[1] - BAND_MM - 1.5),
        arrow_text=_ARROWS[view],
        corner=frame.corner,
        size=frame.size,
        grid=grid_of(frame, subject.units),
        shapes=tuple(sorted(shapes, key=lambda s: (s.old_place, s.mark is not None, s.near_mm, s.subject))),
        labels=place_labels(wanted, edges_of(frame)),
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


def _entries(things: Sequence[Thing], numbered: Mapping[str, Numbered], units: str, plan: _Frames) -> tuple[Entry, ...]:
    """The list in the order of the numbers, then what changes but has no number."""
    told = [t for t in things if t.id in numbered or t.mark is not None]
    told.sort(key=lambda t: (t.id not in numbered, numbered[t.id].number if t.id in numbered else 0, t.id))
    columns = _columns(plan)
    wide = plan.list_size[0] / columns
    lines = min(max(-(-len(told) // columns), 1), int(plan.list_size[1] // _LINE_MM))
    return tuple(
        Entry(
            number=numbered[t.id].number if t.id in numbered else 0,
            mark=t.mark,
            subject=t.id,
            name=t.name,
            text=t.text,
            places=tuple((s, _place_words(f.middle_mm, units)) for s in (NOW, DONE) if (f := t.form(s)) is not None),
            at=(plan.list_at[0] + (n // lines) * wide, plan.list_at[1] + (n % lines + 1) * _LINE_MM - 1.0)
            if n < lines * columns
            else None,
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
    room = SHEET_MM[0] - 2 * MARGIN_MM
    step = room / len(Mark)
    legend_at = plan.list_at[1] - _LEGEND_MM + 4.5
    beside = bar_left - MARGIN_MM - 10.0
    untold = sum(e.at is None for e in entries)
    more = (f"{untold} more changes only in --list",) if untold else ()
    notes = (
        Note(at=(MARGIN_MM, MARGIN_MM + 4.0), text=subject.title, room_mm=beside, bold=True, size_mm=5.0),
        Note(at=(MARGIN_MM, MARGIN_MM + 9.5), text=f"{scale_text}; x rearward, y to the right, z up", room_mm=beside),
        Note(at=(MARGIN_MM, foot), text="; ".join((*more, *subject.notes)), room_mm=room),
    )
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
        notes=notes,
    )
