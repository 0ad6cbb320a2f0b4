"""From things to a sheet: the scale, the views with their shapes, labels and spots, and the lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.draw.frames import Extent, Frame, bar_texts, extent_of, grid_of
from planner.draw.labels import BAND_MM, Wanted, place_labels
from planner.draw.lettering import text_width_mm
from planner.draw.numbering import (
    NUMBERS_AT_MOST,
    Numbered,
    NumberedSpot,
    edges_of,
    neighbours,
    number_all,
    worth_a_number,
)
from planner.draw.scene import DONE, NOW, Form, Thing, mark_in
from planner.draw.setting import (
    ARROWS,
    LINE_MM,
    MARGIN_MM,
    SHEET_MM,
    Setting,
    settings_for,
    title_of,
)
from planner.draw.sheet import Bar, Entry, Mark, Note, Shape, Sheet, Spot, Trace, View
from planner.draw.spot_list import SPOT_WIDE_MM, legend_of_spots, place_words, spot_entries
from planner.draw.spots import FOLD_MM, SPOTS_AT_MOST, Fold, Meeting, folded
from planner.space import Elevation

_LINK_LEAST_MM = 0.3
_SCALES = (1, 2, 2.5, 3, 4, 5, 6, 7.5, 8, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000)
"""Round ones, so that a rule reads the paper; the first that lets everything fit is taken."""
_ENLARGED = (0.1, 0.2, 0.5)
"""For windows only: ten, five and twice the true size."""
_SPOTS_ON_A_WHOLE = (SPOTS_AT_MOST, 6, 4)
"""On a whole vehicle, fewer spots are tried before a smaller scale is: a closer look tells them apart."""
_RANK = {None: 0, Trace.SWING: 1, Trace.OLD: 3, Trace.NEWCOMER: 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a sheet is about."""

    name: str
    title: str
    about: str
    units: str
    ground_mm: float
    notes: tuple[str, ...]
    where: str = ""
    """What of it a window shows."""
    sought: str = ""
    """The part that a closer look was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A setting with all that is numbered in it."""

    subject: Subject
    setting: Setting
    things: tuple[Thing, ...]
    folds: tuple[Fold, ...]
    numbered: Mapping[str, Numbered]
    spots: tuple[NumberedSpot, ...]


def lay_out(
    subject: Subject,
    things: Sequence[Thing],
    meetings: Sequence[Meeting] = (),
    *,
    extents: Mapping[str, Extent] | None = None,
    has_job: bool,
) -> Sheet:
    """The whole sheet, at the largest of the scales at which it fits.

    Parameters
    ----------
    subject : Subject
    things : sequence of Thing
    meetings : sequence of Meeting
        The clashes, the worst first.
    extents : mapping of state to Extent, optional
        What to show of each state; else the whole vehicle.
    has_job : bool
        Two rows, before and after, with only what changes numbered; else one of each view and the large parts numbered.
    """
    if extents is None:
        whole = extent_of(tuple(things), subject.ground_mm)
        extents = {NOW: whole, DONE: whole} if has_job else {NOW: whole}
    scales = (*_ENLARGED, *_SCALES) if extents[NOW].cut else _SCALES
    found = _largest(things, _inside(meetings, extents), extents, scales, has_job=has_job)
    return _laid(subject, things, meetings, found)


def lay_out_at_most(
    subject: Subject, things: Sequence[Thing], meetings: Sequence[Meeting], extents: Mapping[str, Extent], scale: float
) -> Sheet | None:
    """A sheet of windows on a job, if everything fits at a scale of 1 to so many or a larger drawing; else None."""
    scales = [s for s in (*_ENLARGED, *_SCALES) if s <= scale]
    found = _largest(things, _inside(meetings, extents), extents, scales, has_job=True) if scales else None
    return _laid(subject, things, meetings, found) if found is not None and found.fits else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A setting, what is to be numbered in it, and the spots; ``fits``: it holds everything."""

    setting: Setting
    wanted: list[Thing]
    folds: tuple[Fold, ...]
    fits: bool
    has_job: bool


def _inside(meetings: Sequence[Meeting], extents: Mapping[str, Extent]) -> tuple[Meeting, ...]:
    return tuple(m for m in meetings if m.at_mm is None or extents[m.state].holds(m.at_mm))


def _laid(subject: Subject, things: Sequence[Thing], meetings: Sequence[Meeting], found: _Found) -> Sheet:
    setting, folds = found.setting, found.folds
    numbered, spots = number_all(found.wanted, folds, setting.frames, marked=found.has_job or bool(folds))
    layout = Layout(subject=subject, setting=setting, things=tuple(things), folds=folds, numbered=numbered, spots=spots)
    cut = any(f.extent.cut for f in setting.frames.values())
    placeless = [m for m in meetings if m.at_mm is None] if not cut else []
    return _sheet(layout, tuple(_view(layout, key) for key in setting.frames), placeless)


def _largest(
    things: Sequence[Thing],
    meetings: Sequence[Meeting],
    extents: Mapping[str, Extent],
    scales: Sequence[float],
    *,
    has_job: bool,
) -> _Found:
    """The setting with the largest of the scales that holds everything; the last one when none does."""
    tries = (SPOTS_AT_MOST,) if extents[NOW].cut else _SPOTS_ON_A_WHOLE
    for scale in scales:
        for at_most in tries:
            folds = folded(meetings, FOLD_MM * scale, at_most)
            settings = settings_for(extents, scale, len(folds))
            last = scale == scales[-1] and at_most == tries[-1]
            if not last and not any(s.holds(0) for s in settings):
                continue
            # What is seen depends on the scale, not on where the views stand.
            wanted = _wanted(things, settings[0], has_job=has_job)
            for setting in settings:
                found = _Found(setting=setting, wanted=wanted, folds=folds, fits=False, has_job=has_job)
                if setting.holds(min(len(wanted), NUMBERS_AT_MOST)):
                    return replace(found, fits=True)
    return found


def _wanted(things: Sequence[Thing], setting: Setting, *, has_job: bool) -> list[Thing]:
    """What is to be numbered, the most wanted first."""
    if not has_job:
        return worth_a_number(things, setting.frames)
    changed = [t for t in things if _is_shown(t, setting, marked=True)]
    changed.sort(key=lambda t: (t.forms[0].is_run, t.id))
    cut = any(f.extent.cut for f in setting.frames.values())
    return [*changed, *neighbours(things, setting.frames, len(changed))] if cut else changed


def _is_shown(thing: Thing, setting: Setting, *, marked: bool) -> bool:
    """Whether a thing is to be seen anywhere on the sheet, with its mark if that is asked for."""
    return any(
        (form := thing.form(state)) is not None
        and (not marked or mark_in(thing, state) is not None)
        and bool(frame.seen(form))
        for (state, _), frame in setting.frames.items()
    )


def _view(layout: Layout, key: tuple[str, Elevation]) -> View:
    (state, view), frame = key, layout.setting.frames[key]
    there = [(t, f) for t in layout.things if (f := t.form(state)) is not None and frame.shows(f)]
    shapes = [replace(_shape(t, f, frame, mark_in(t, state)), sought=t.id == layout.subject.sought) for t, f in there]
    shapes += _traces(layout, there, key)
    shapes.sort(key=lambda s: (_RANK[s.trace] or 2 * (s.mark is not None), s.near_mm, s.subject))
    spots = _spots(layout, frame, state)
    return View(
        elevation=view,
        state=state,
        title=title_of(view, state),
        title_at=(frame.corner[0], frame.corner[1] - BAND_MM - 1.5),
        arrow_text=ARROWS[view],
        corner=frame.corner,
        size=frame.size,
        grid=grid_of(frame, layout.subject.units),
        shapes=tuple(shapes),
        labels=place_labels(_labels(layout, there, key, spots), edges_of(frame, state)),
        spots=spots,
        cut_at=frame.inner if frame.extent.cut else None,
    )


def _labels(
    layout: Layout, there: Sequence[tuple[Thing, Form]], key: tuple[str, Elevation], spots: Sequence[Spot]
) -> list[Wanted]:
    state, view = key
    parts = [
        Wanted(subject=t.id, number=known.number, mark=mark_in(t, state), anchor=known.anchors[state])
        for t, _ in there
        if (known := layout.numbered.get(t.id)) is not None and known.view is view and state in known.anchors
    ]
    borne = {n.number for n in layout.spots if view in n.views}
    return parts + [Wanted(subject="", number=s.number, mark=s.clash, anchor=s.at) for s in spots if s.number in borne]


def _spots(layout: Layout, frame: Frame, state: str) -> tuple[Spot, ...]:
    return tuple(
        Spot(number=n.number, clash=f.worst.clash, at=frame.at(frame.view.flat(f.at_mm)), text=f.worst.head)
        for f, n in zip(layout.folds, layout.spots, strict=True)
        if f.worst.state == state
    )


def _traces(layout: Layout, there: Sequence[tuple[Thing, Form]], key: tuple[str, Elevation]) -> list[Shape]:
    """Bare lines: old places, what the job puts where it clashes, and in a window where parts swing."""
    (state, _), frame = key, layout.setting.frames[key]
    if state == DONE:
        gone = [(t, t.before) for t in layout.things if t.mark is Mark.MOVES and t.before is not None]
        found = [(t, f, Trace.OLD) for t, f in gone]
    else:
        comers = {m.comer for fold in layout.folds for m in (fold.worst, *fold.others) if m.state == NOW}
        come = [(t, t.after) for t in layout.things if t.id in comers and t.after is not None]
        found = [(t, f, Trace.NEWCOMER) for t, f in come]
    if frame.extent.cut:
        found += [(t, swept, Trace.SWING) for t, f in there if (swept := f.swept()) is not None]
    return [replace(_shape(t, f, frame, None), trace=trace) for t, f, trace in found if frame.shows(f)]


def _shape(thing: Thing, form: Form, frame: Frame, mark: Mark | None) -> Shape:
    return Shape(
        subject=thing.id,
        label=thing.name,
        outline=tuple(tuple(frame.at(p) for p in rim) for rim in form.outline(frame.view)),
        near_mm=form.near_mm(frame.view),
        mark=mark,
        across_mm=max(form.across_mm / frame.scale, _LINK_LEAST_MM) if form.is_run else None,
    )


def _entries(layout: Layout) -> tuple[Entry, ...]:
    """The list in the order of the numbers, then what changes but has no number."""
    numbered, setting, units = layout.numbered, layout.setting, layout.subject.units
    told = [t for t in layout.things if t.id in numbered or (t.mark and _is_shown(t, setting, marked=True))]
    told.sort(key=lambda t: (t.id not in numbered, numbered[t.id].number if t.id in numbered else 0, t.id))
    columns, (left, top) = setting.columns, setting.list_at
    lines = min(max(-(-len(told) // columns), 1), int(setting.list_size[1] // LINE_MM))
    return tuple(
        Entry(
            number=numbered[t.id].number if t.id in numbered else 0,
            mark=t.mark,
            subject=t.id,
            name=t.name,
            text=t.text,
            places=tuple((s, place_words(f.middle_mm, units)) for s in (NOW, DONE) if (f := t.form(s)) is not None),
            at=(left + (n // lines) * setting.entry_wide_mm, top + (n % lines + 1) * LINE_MM - 1.0)
            if n < lines * columns
            else None,
        )
        for n, t in enumerate(told)
    )


def scale_words(scale: float) -> str:
    """A scale as it is written on drawings.

    Examples
    --------
    >>> scale_words(7.5), scale_words(0.2)
    ('1 : 7.5', '5 : 1')
    """
    return f"1 : {scale:g}" if scale >= 1 else f"{1 / scale:g} : 1"


def _sheet(layout: Layout, views: tuple[View, ...], placeless: Sequence[Meeting]) -> Sheet:
    subject, setting = layout.subject, layout.setting
    field, texts = bar_texts(subject.units, setting.scale)
    bar_left = SHEET_MM[0] - MARGIN_MM - field * (len(texts) - 1) - text_width_mm(texts[-1]) / 2.0
    has_job = any(v.state == DONE for v in views)
    entries = _entries(layout)
    step = (SHEET_MM[0] - 2 * MARGIN_MM) / len(Mark)
    return Sheet(
        name=subject.name,
        title=", ".join(filter(None, (subject.title, subject.where))),
        about=subject.about,
        size=SHEET_MM,
        scale=setting.scale,
        views=views,
        bar=Bar(at=(bar_left, MARGIN_MM + 1.0), step_mm=field, texts=texts),
        legend=tuple((m, (MARGIN_MM + n * step, setting.legend_y)) for n, m in enumerate(Mark)) if has_job else (),
        entries=entries,
        entry_wide_mm=setting.entry_wide_mm,
        notes=_notes(layout, entries, bar_left),
        spots=spot_entries(layout.folds, layout.spots, placeless, setting, subject.units),
        spot_wide_mm=SPOT_WIDE_MM,
        spot_legend=legend_of_spots([f.worst for f in layout.folds], setting, has_job=has_job),
    )


def _notes(layout: Layout, entries: Sequence[Entry], bar_left: float) -> tuple[Note, ...]:
    subject, scale = layout.subject, scale_words(layout.setting.scale)
    units = "inches" if subject.units == "inch" else "millimetres"
    paper = f"{scale} on paper of {SHEET_MM[0]:g} x {SHEET_MM[1]:g} mm (A3)"
    axes = f"x rearward, y to the right, z up, in {units}"
    second = "; ".join(filter(None, (subject.where, paper, axes)))
    beside, room = bar_left - MARGIN_MM - 10.0, SHEET_MM[0] - 2 * MARGIN_MM
    untold = sum(e.at is None for e in entries)
    more = (f"{untold} more changes only in --list",) if untold else ()
    return (
        Note(at=(MARGIN_MM, MARGIN_MM + 4.0), text=subject.title, room_mm=beside, bold=True, size_mm=5.0),
        Note(at=(MARGIN_MM, MARGIN_MM + 9.5), text=second, room_mm=beside),
        Note(at=(MARGIN_MM, SHEET_MM[1] - MARGIN_MM + 1.0), text="; ".join((*more, *subject.notes)), room_mm=room),
    )
