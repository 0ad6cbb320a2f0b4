"""How likely the finish dates are: shares of simulated jobs finished by each day, as a rising step line."""

from __future__ import annotations

from datetime import date, timedelta

from planner.draw.picture import (
    HEAD_MM,
    LINE,
    MARGIN_MM,
    SMALL_MM,
    Form,
    Picture,
    Words,
    block,
    drawn,
    lines,
    plain,
    rect,
    words_wide,
    wrapped,
)
from planner.draw.spread import spread
from planner.model.plan import Odds, Plan
from planner.units.spoken import day_words, short_day

_WIDE_MM = 180.0
_LEFT_MM, _HIGH_MM = 14.0, 78.0
_SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
_TICKS = (1, 2, 7, 14, 28, 56, 91, 182, 364)
_TICK_APART_MM = 17.0
_LOOKS = {
    "rise": "fill:none;stroke:#0072B2;stroke-width:1",
    "under": "fill:#DCE9F2;stroke:none",
    "drop": "fill:none;stroke:#000;stroke-width:.3;stroke-dasharray:1.2 .9",
    "meet": "fill:none;stroke:#D55E00;stroke-width:.8;stroke-dasharray:3 1 .8 1",
}
Named = tuple[str, str, date, float]
"""Letter, words, day and share of one day that is marked."""


def odds_picture(plan: Plan, odds: Odds, by: date | None = None, *, name: str = "odds") -> Picture:
    """Draw the share of simulated jobs that were finished by each day.

    Parameters
    ----------
    plan : Plan
    odds : Odds
    by : date, optional
        The day to meet.
    name : str
        Begins every id in the drawing.

    Returns
    -------
    Picture
        The line rises at the end of each day on which jobs were finished; it need not reach the top, as
        some may run out of sessions. Left out: what the notes of ``odds`` say, which stand in the twin.
    """
    marks = _named(plan, odds, by)
    top = MARGIN_MM + HEAD_MM * 2.4 + 9.0
    if not odds.days and not marks:
        items: tuple[Words | Form, ...] = block((MARGIN_MM, top), ("No simulated job was finished.",))
        return _picture(name, odds, items, top + 6.0)
    axis = _Axis([d for d, _ in odds.days] + [m[2] for m in marks], top)
    items = (*_grid(axis), *_curve(axis, odds), *_marks(axis, marks))
    foot = axis.bottom + 9.0
    told = tuple(
        line
        for letter, words, day, share in marks
        for line in wrapped(_mark_words(letter, words, day, share), _WIDE_MM - 2 * MARGIN_MM)
    )
    if odds.late:
        told += (f"{_percent(odds.late)} of them ran out of sessions: the line does not reach the top",)
    items += block((MARGIN_MM, foot + SMALL_MM), told)
    return _picture(name, odds, items, foot + len(told) * SMALL_MM * LINE + MARGIN_MM)


draw_odds = drawn(odds_picture)
"""The same as SVG text."""


def draw_odds_words(plan: Plan, odds: Odds, by: date | None = None) -> tuple[str, ...]:
    """The same in lines: every day with its share, the days that are marked, what the numbers rest on."""
    told = [f"How likely the finish is: {odds.runs} simulated jobs"]
    told += [f"by {day_words(day)}: {_percent(share)}" for day, share in odds.days]
    told += [_mark_words(*mark) for mark in _named(plan, odds, by)]
    if odds.late:
        told.append(f"{_percent(odds.late)} of them ran out of sessions")
    return (*told, *(plain(note) for note in odds.notes))


def _named(plan: Plan, odds: Odds, by: date | None) -> list[Named]:
    """The days worth a mark, by day: half, 8 in 10, 19 in 20, the plan's own end, the day to meet."""
    asked = (("H", "half of them", odds.p50), ("E", "8 in 10", odds.p80), ("N", "19 in 20", odds.p95))
    found = [(letter, words, day, _share(odds, day)) for letter, words, day in asked if day is not None]
    if plan.finish is not None:
        found.append(("P", "the plan ends", plan.finish.date(), _share(odds, plan.finish.date())))
    if by is not None:
        found.append(("M", "the day to meet", by, odds.by if odds.by is not None else _share(odds, by)))
    return sorted(found, key=lambda m: m[2])


def _share(odds: Odds, day: date) -> float:
    return max((share for d, share in odds.days if d <= day), default=0.0)


def _mark_words(letter: str, words: str, day: date, share: float) -> str:
    return f"{letter}  {words}: {day_words(day)}; {_percent(share)} of the jobs are finished by then"


def _percent(share: float) -> str:
    """A share that is not everything is never told as everything, nor one that is something as nothing."""
    if 0.0 < share < 0.001:  # noqa: PLR2004  # what would be rounded to nothing
        return "under 0.1 %"
    if 0.999 < share < 1.0:  # noqa: PLR2004  # what would be rounded to all
        return "over 99.9 %"
    return f"{share:.1%}".replace(".0%", "%").replace("%", " %")


class _Axis:
    """Days and shares onto the paper: a day is as wide as any other, its end is where its share stands."""

    def __init__(self, days: list[date], top: float) -> None:
        self.first = min(days) - timedelta(days=1)
        self.last = max(days) + timedelta(days=1)
        self.left, self.right = MARGIN_MM + _LEFT_MM, _WIDE_MM - MARGIN_MM - 6.0
        self.top, self.bottom = top, top + _HIGH_MM

    def x(self, day: date) -> float:
        return self.left + (self.right - self.left) * (day - self.first).days / (self.last - self.first).days

    def y(self, share: float) -> float:
        return self.bottom - _HIGH_MM * share


def _grid(axis: _Axis) -> list[Words | Form]:
    items: list[Words | Form] = []
    for share in _SHARES:
        y = axis.y(share)
        items.append(Form(d=lines((axis.left, y), (axis.right, y)), look="line" if share == 0.0 else "pale"))
        items.append(Words(at=(axis.left - 1.5, y + SMALL_MM * 0.36), text=f"{share:.0%}", anchor="end"))
    fits = (s for s in _TICKS if axis.x(axis.first + timedelta(days=s)) - axis.left >= _TICK_APART_MM)
    step = timedelta(days=next(fits, max(_TICKS[-1], (axis.last - axis.first).days // 8)))
    day = axis.first
    while day <= axis.last:
        items.append(Form(d=lines((axis.x(day), axis.bottom), (axis.x(day), axis.bottom + 1.2)), look="line"))
        items.append(Words(at=(axis.x(day), axis.bottom + 1.8 + SMALL_MM), text=short_day(day), anchor="middle"))
        day += step
    items.append(Form(d=lines((axis.left, axis.top), (axis.left, axis.bottom)), look="line"))
    return items


def _curve(axis: _Axis, odds: Odds) -> list[Words | Form]:
    points = [(axis.left, axis.bottom)]
    for day, share in odds.days:
        points += [(axis.x(day), points[-1][1]), (axis.x(day), axis.y(share))]
    points.append((axis.right, points[-1][1]))
    under = lines(*points, (axis.right, axis.bottom)) + "Z"
    data = tuple((f"by-{day}", f"{share:.4f}") for day, share in odds.days) if len(odds.days) <= _DATA_MOST else ()
    return [Form(d=under, look="under"), Form(d=lines(*points), look="rise", data=data)]


_DATA_MOST = 12


def _marks(axis: _Axis, marks: list[Named]) -> list[Words | Form]:
    """A line down from each marked day's share, and its letter in a row above the frame, moved apart."""
    items: list[Words | Form] = []
    wide = [words_wide(m[0], HEAD_MM, bold=True) for m in marks]
    at = spread([axis.x(m[2]) for m in marks], wide, 1.5, axis.left, axis.right + 6.0)
    for (letter, words, day, share), x in zip(marks, at, strict=True):
        look = "meet" if letter == "M" else "drop"
        foot, head = axis.bottom, axis.top
        d = lines((x, head - 2.0), (axis.x(day), head), (axis.x(day), foot))
        items += [
            Form(d=d, look=look, tip=words, data=(("mark", letter),)),
            Form(d=rect(axis.x(day) - 0.8, axis.y(share) - 0.8, 1.6, 1.6), look="box"),
            Words(at=(x, head - 3.0), text=letter, size_mm=HEAD_MM, anchor="middle", bold=True),
        ]
    return items


def _picture(name: str, odds: Odds, items: tuple[Words | Form, ...], high: float) -> Picture:
    title = "How likely the finish is"
    head = Words(at=(MARGIN_MM, MARGIN_MM + HEAD_MM), text=title, size_mm=HEAD_MM, bold=True)
    under = Words(
        at=(MARGIN_MM, MARGIN_MM + HEAD_MM * 2.2),
        text=f"{odds.runs} simulated jobs: share of them finished by the end of each day",
    )
    return Picture(
        name=name,
        title=title,
        about="Rising steps: the share of simulated jobs finished by each day.",
        size=(_WIDE_MM, high),
        items=(head, under, *items),
        looks=_LOOKS,
        fills={},
    )
