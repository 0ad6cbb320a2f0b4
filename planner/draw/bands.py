"""Strip-and-refit bands: a row for each thing the plan changes, steps from left to right, a band while it is so."""

from __future__ import annotations

from collections.abc import Iterator

from planner.draw.band_rows import LETTERS, Band, BandRow, Need, Sort, band_rows
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
from planner.draw.plan_steps import FILLS, PLAN_WIDE_MM, in_order, number_of, title_of
from planner.draw.spread import spread
from planner.model.plan import Plan
from planner.model.work import WorkList
from planner.units.spoken import short_day

Items = list[Words | Form]

_NAME_MM = 52.0
_STEP_MOST_MM = 6.0
_BAND_MM, _NUMBER_MM, _ROW_MM = 2.6, 2.6, 8.0
_DAYS_APART_MM = 2.0
_AFTER_MM = 4.0
"""Room to the right for the number of the last step."""
_NARROWEST_MM = 180.0
_LOOKS = {
    "O": "fill:url(@off);stroke:#000;stroke-width:.25",
    "F": "fill:url(@put);stroke:#000;stroke-width:.25",
    "L": "fill:url(@off);stroke:#000;stroke-width:.25",
    "T": "fill:url(@put);stroke:#000;stroke-width:.25",
    "V": "fill:url(@open);stroke:#000;stroke-width:.25",
    "C": "fill:url(@put);stroke:#000;stroke-width:.25",
    "E": "fill:url(@state);stroke:#000;stroke-width:.25",
    "need": "fill:none;stroke:#000;stroke-width:.5",
    "lean": "fill:none;stroke:#000;stroke-width:.18",
    "rail": "fill:none;stroke:#777;stroke-width:.3",
}
_FILLS = {
    "off": FILLS["off"],
    "put": FILLS["put"],
    "open": ("M0 0L2 2M-.5 1.5L.5 2.5M1.5 -.5L2.5 .5", 'stroke="#CC79A7" stroke-width=".5"'),
    "state": ("M.5 0V2M1.5 0V2", 'stroke="#E69F00" stroke-width=".45"'),
}
_GROUPS = {Sort.PART: "Parts and links", Sort.CIRCUIT: "Circuits", Sort.CONDITION: "States of the vehicle"}


def bands_picture(
    work: WorkList, plan: Plan, *, numbers: tuple[int, ...] = (), name: str = "bands", wide_mm: float = PLAN_WIDE_MM
) -> Picture:
    """Draw when what is off, fitted, open or entered.

    Parameters
    ----------
    work : WorkList
    plan : Plan
    numbers : tuple of int, optional
        What each slot's step is called by; else its place in the plan.
    name : str
        Begins every id in the drawing.
    wide_mm : float
        How wide the drawing is at the most [mm].

    Returns
    -------
    Picture
        A band lasts while a thing is not as it was at the start, with the numbers of the steps that change it
        at its ends. Strokes through the band are tasks that need it so; strokes on the rail are tasks that need
        it as at the start, told only between two changes: they are why it goes back. Short strokes are changes of
        other things that need it. Left out: things the plan never changes, and demands of which any one will do. It may
        be cut between rows, with the dates again on top.
    """
    rows = band_rows(work, plan)
    sheet = _Sheet(plan, rows, numbers, wide_mm)
    sheet.sessions()
    for n, row in enumerate(rows):
        sheet.seams.append(sheet.y)
        if n == 0 or rows[n - 1].sort is not row.sort:
            sheet.group(row.sort)
        sheet.row(row)
    if not rows:
        sheet.say("The plan takes nothing off and puts nothing on.")
    sheet.legend(rows)
    return Picture(
        name=name,
        title="What is off, fitted, open or entered, step by step",
        about="A row for each thing the plan changes; a band lasts while it is not as it was at the start.",
        size=(sheet.wide, sheet.y + MARGIN_MM),
        items=tuple(sheet.items),
        looks=_LOOKS,
        fills=_FILLS,
        seams=tuple(sheet.seams),
        head=sheet.head,
    )


draw_bands = drawn(bands_picture)
"""The same as SVG text."""


def draw_bands_words(work: WorkList, plan: Plan, *, numbers: tuple[int, ...] = ()) -> tuple[str, ...]:
    """The same in lines: each thing with its bands, and every task that needs it so or needs it back."""
    told = ["What is off, fitted, open or entered, step by step"]
    rows = band_rows(work, plan)
    order = in_order(plan)
    for row in rows:
        told.append(f"{_GROUPS[row.sort].lower()}: {row.name}")
        for n, band in enumerate(row.bands):
            told.append(f"  {LETTERS[row.letter]} {_span_words(band, order, numbers)}")
            told += _need_words(work, plan, [x for x in _within(row, band) if x.task], "needs it so", numbers)
            if n + 1 < len(row.bands):
                back = [x for x in _between(band, row.bands[n + 1], row) if x.task]
                told += _need_words(work, plan, back, "needs it back", numbers)
    if not rows:
        told.append("the plan takes nothing off and puts nothing on")
    return tuple(told)


def _span_words(band: Band, order: list[int], numbers: tuple[int, ...]) -> str:
    first = number_of(numbers, order[band.first])
    return f"from {first} on" if band.last is None else f"from {first} to {number_of(numbers, order[band.last])}"


def _need_words(work: WorkList, plan: Plan, needs: list[Need], why: str, numbers: tuple[int, ...]) -> Iterator[str]:
    order = in_order(plan)
    for need in needs:
        i = order[need.column]
        yield f"    {number_of(numbers, i)} {title_of(work, plan.slots[i])}: {why}"


def _within(row: BandRow, band: Band) -> list[Need]:
    end = band.last
    return [n for n in row.needs if n.changed and band.first < n.column and (end is None or n.column < end)]


def _between(band: Band, following: Band, row: BandRow) -> list[Need]:
    end = band.last if band.last is not None else following.first
    return [n for n in row.needs if not n.changed and end < n.column < following.first]


class _Sheet:
    """The drawing as it grows downwards."""

    def __init__(self, plan: Plan, rows: tuple[BandRow, ...], numbers: tuple[int, ...], wide_mm: float) -> None:
        self.plan, self.order, self.numbers = plan, in_order(plan), numbers
        self.seams: list[float] = []
        self.head: tuple[float, float] | None = None
        count = max(len(plan.slots), 1)
        aside = 2 * MARGIN_MM + _NAME_MM + _AFTER_MM
        self.step = min((wide_mm - aside) / count, _STEP_MOST_MM)
        self.left = MARGIN_MM + _NAME_MM
        self.right = self.left + count * self.step
        self.wide = max(self.right + _AFTER_MM + MARGIN_MM, _NARROWEST_MM)
        self.y = MARGIN_MM + HEAD_MM
        title = "What is off, fitted, open or entered, step by step"
        self.items: Items = [Words(at=(MARGIN_MM, self.y), text=title, size_mm=HEAD_MM, bold=True)]
        self.y += 5.0
        self.high = _height(rows)
        self.row_count = len(rows)

    def x(self, column: float) -> float:
        """Middle of a column."""
        return self.left + (column + 0.5) * self.step

    def say(self, text: str) -> None:
        self.y += 5.0
        self.items.append(Words(at=(MARGIN_MM, self.y), text=text))

    def sessions(self) -> None:
        """A line at the start of each day, all the way down, and its date where there is room."""
        self.y += SMALL_MM * 2
        until = -1.0
        foot = self.y + 2.0 + self.high
        self.head = (self.y - SMALL_MM - 0.6, self.y + 1.8)
        day = None
        for column, i in enumerate(self.order):
            slot = self.plan.slots[i]
            if slot.start.date() == day:
                continue
            day = slot.start.date()
            x = self.left + column * self.step
            text = short_day(day)
            wide = words_wide(text)
            # The last day's date stands left of its line where there is no room to the right.
            turned = x + wide > self.wide - MARGIN_MM
            fits = x - (wide if turned else 0.0) >= until
            self.items.append(Form(d=lines((x, self.y + (-SMALL_MM if fits else 1.0)), (x, foot)), look="pale"))
            if fits:
                at = (x - 0.6, self.y) if turned else (x + 0.6, self.y)
                self.items.append(Words(at=at, text=text, anchor="end" if turned else "start"))
                until = x + (0.0 if turned else wide) + _DAYS_APART_MM
        self.y += 2.0

    def group(self, sort: Sort) -> None:
        self.y += _GROUP_MM
        self.items.append(Words(at=(MARGIN_MM, self.y - 1.2), text=_GROUPS[sort], bold=True, halo=True))

    def row(self, row: BandRow) -> None:
        middle = self.y + _ROW_MM / 2
        name = wrapped(row.name, _NAME_MM - 6.0, most=2)
        self.items.append(Words(at=(MARGIN_MM, middle + SMALL_MM * 0.36), text=row.letter, bold=True))
        first = middle + SMALL_MM * (0.36 - LINE * (len(name) - 1) / 2)
        self.items += block((MARGIN_MM + 4.0, first), name)
        self.items.append(Form(d=lines((self.left, middle), (self.right, middle)), look="rail"))
        for band in row.bands:
            x0, x1 = self.x(band.first), self.right if band.last is None else self.x(band.last)
            data = [("feature", row.feature.id), ("first", self._number(band.first))]
            data += [("last", self._number(band.last))] if band.last is not None else []
            d = rect(x0, middle - _BAND_MM / 2, max(x1 - x0, 0.4), _BAND_MM)
            self.items.append(Form(d=d, look=row.letter, tip=row.name, data=tuple(data)))
        self._needs(row, middle)
        self._numbers(row, middle)
        self.y += _ROW_MM

    def _number(self, column: int) -> str:
        return str(number_of(self.numbers, self.order[column]))

    def _needs(self, row: BandRow, middle: float) -> None:
        shown = [n for band in row.bands for n in _within(row, band)]
        for band, following in zip(row.bands, row.bands[1:], strict=False):
            shown += _between(band, following, row)
        for task, look, half in ((True, "need", 1.3), (False, "lean", 0.8)):
            d = "".join(
                lines((self.x(n.column), middle - half), (self.x(n.column), middle + half))
                for n in shown
                if n.task is task
            )
            if d:
                self.items.append(Form(d=d, look=look))

    def _numbers(self, row: BandRow, middle: float) -> None:
        """The steps at which bands begin above the row, those at which they end below it."""
        begins = [b.first for b in row.bands]
        ends = [b.last for b in row.bands if b.last is not None]
        for columns, base in ((begins, middle - _BAND_MM / 2 - 0.5), (ends, middle + _BAND_MM / 2 + _NUMBER_MM * 0.8)):
            texts = [self._number(c) for c in columns]
            wide = [words_wide(t, _NUMBER_MM) for t in texts]
            at = spread([self.x(c) for c in columns], wide, 0.8, self.left - 3.0, self.wide - MARGIN_MM)
            self.items += [
                Words(at=(x, base), text=t, size_mm=_NUMBER_MM, anchor="middle") for x, t in zip(at, texts, strict=True)
            ]

    def legend(self, rows: tuple[BandRow, ...]) -> None:
        self.y += 5.0
        x = MARGIN_MM
        for letter in [k for k in LETTERS if any(r.letter == k for r in rows)]:
            if x + 13.0 + words_wide(LETTERS[letter]) > self.wide - MARGIN_MM:
                x, self.y = MARGIN_MM, self.y + SMALL_MM * 2
            self.items.append(Form(d=rect(x, self.y - _BAND_MM, 8.0, _BAND_MM), look=letter))
            self.items.append(Words(at=(x + 9.5, self.y), text=letter, bold=True))
            self.items.append(Words(at=(x + 13.0, self.y), text=LETTERS[letter]))
            x += 19.0 + words_wide(LETTERS[letter])
        for look, text in (
            ("need", "stroke: a task needs it so; on the bare rail: needs it back as it was"),
            ("lean", "short stroke: something else can only be changed while it is so"),
            ("", "number above: the step that begins a band; below: the step that ends it"),
        ):
            self.y += SMALL_MM * LINE
            if look:
                d = lines((MARGIN_MM + 1.0, self.y - 2.2), (MARGIN_MM + 1.0, self.y + 0.2))
                self.items.append(Form(d=d, look=look))
            self.items.append(Words(at=(MARGIN_MM + 3.0, self.y), text=plain(text)))


_GROUP_MM = 6.0


def _height(rows: tuple[BandRow, ...]) -> float:
    return len(rows) * _ROW_MM + len({r.sort for r in rows}) * _GROUP_MM
