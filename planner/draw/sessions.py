"""Session bars: a row for each work session, the hours of the day from left to right, every step a bar."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.draw.lettering import num
from planner.draw.picture import (
    HEAD_MM,
    LINE,
    MARGIN_MM,
    SMALL_MM,
    Form,
    Picture,
    Words,
    drawn,
    lines,
    plain,
    rect,
    words_wide,
    wrapped,
)
from planner.draw.plan_steps import (
    FILLS,
    LOOK_OF,
    LOOKS,
    PLAN_WIDE_MM,
    kind_legend,
    kind_of,
    length_words,
    letters_of,
    number_of,
    title_of,
)
from planner.draw.session_labels import Label, Narrow, labels_of
from planner.draw.session_rows import Bar, SessionRow, minutes_of, rows_of
from planner.draw.sheet import Point
from planner.model.plan import Chain, Plan
from planner.model.work import WorkList
from planner.units.spoken import day_words, hands_words, moment_words

Items = list[Words | Form]

_LABEL_MM = 42.0
_LANE_MM, _RIBBON_MM, _TIER_MM, _LEADER_MM, _WAIT_MM = 6.4, 1.7, 3.2, 3.0, 1.8
_HOURS_EVERY = 8
_PICTURE_LOOKS = {
    **LOOKS,
    "meet": "fill:none;stroke:#D55E00;stroke-width:.8;stroke-dasharray:3 1 .8 1",
    "end": "fill:none;stroke:#000;stroke-width:1.2",
}
_GLASS = "l2.4 0l-2.4 2.4h2.4l-2.4 -2.4Z"
_FLAG = "l2.4 1.2l-2.4 1.2Z"
_POST = "h2.4v1.6h-1.6v.8h-.8Z"


def sessions_picture(
    work: WorkList,
    plan: Plan,
    chain: Chain | None = None,
    *,
    by: date | None = None,
    numbers: tuple[int, ...] = (),
    name: str = "sessions",
    wide_mm: float = PLAN_WIDE_MM,
) -> Picture:
    """Draw the sessions of a plan.

    Parameters
    ----------
    work : WorkList
    plan : Plan
    chain : Chain, optional
        What binds the finish: its steps are hatched along the foot of their bars.
    by : date, optional
        The day to meet.
    numbers : tuple of int, optional
        What each slot's step is called by; else its place in the plan.
    name : str
        Begins every id in the drawing.
    wide_mm : float
        How wide the drawing is [mm].

    Returns
    -------
    Picture
        Sessions without work are counted between the rows and not drawn. Titles of steps are left to the tips and the
        twin; where a session is too full for all its numbers, neighbours share a label. It may be cut between sessions.

    Raises
    ------
    ValueError
        The slots are no valid sequence of steps.
    """
    rows = rows_of(work, plan, chain, numbers)
    sheet = _Sheet(work, plan, numbers, rows, wide_mm)
    for n, row in enumerate(rows):
        if n % _HOURS_EVERY == 0:
            sheet.hours()
        sheet.seams.append(sheet.y)
        if n and _between(rows[n - 1], row, by):
            sheet.meet(by)
        sheet.row(row)
    if not rows:
        sheet.say("Nothing is planned.")
    elif by is not None and by >= rows[-1].session.day:
        sheet.meet(by)
    sheet.legend(binds=chain is not None)
    return Picture(
        name=name,
        title="The work, session by session",
        about="A row for each session with work in it, hours from left to right, each step a bar with its number.",
        size=(wide_mm, sheet.y + MARGIN_MM),
        items=tuple(sheet.items),
        looks=_PICTURE_LOOKS,
        fills=FILLS,
        seams=tuple(sheet.seams),
        head=sheet.head,
    )


draw_sessions = drawn(sessions_picture)
"""The same as SVG text."""


def draw_sessions_words(
    work: WorkList,
    plan: Plan,
    chain: Chain | None = None,
    *,
    by: date | None = None,
    numbers: tuple[int, ...] = (),
) -> tuple[str, ...]:
    """The same in lines: every session, every step with its times, hands and what binds it, waits and arrivals."""
    rows = rows_of(work, plan, chain, numbers)
    told = ["The work, session by session"]
    for n, row in enumerate(rows):
        if n and _between(rows[n - 1], row, by):
            told.append(_meet_words(by))
        if row.idle:
            told.append(_idle_words(row.idle))
        told.append(", ".join(_head_words(row)))
        told += [f"  {a}" for a in row.arrivals]
        told += [line for bar in row.bars for line in _bar_words(work, plan, bar, numbers)]
        told += [f"  {w.told}" for w in row.waits]
    if not rows:
        told.append("nothing is planned")
    if plan.finish is not None:
        told.append(f"finished {moment_words(plan.finish)}")
    if rows and by is not None and by >= rows[-1].session.day:
        told.append(_meet_words(by))
    return tuple(told)


def _between(before: SessionRow, after: SessionRow, by: date | None) -> bool:
    return by is not None and before.session.day <= by < after.session.day


def _meet_words(by: date | None) -> str:
    return f"to be finished by {day_words(by)}" if by is not None else ""


def _idle_words(count: int) -> str:
    return "1 session with nothing to do" if count == 1 else f"{count} sessions with nothing to do"


def _head_words(row: SessionRow) -> tuple[str, str]:
    session = row.session
    return day_words(session.day), f"{session.start:%H:%M}-{session.end:%H:%M}, {hands_words(session.hands)}"


def _bar_words(work: WorkList, plan: Plan, bar: Bar, numbers: tuple[int, ...]) -> Iterator[str]:
    slot = plan.slots[bar.slot]
    hands = f", {len(bar.lanes)} pairs of hands" if len(bar.lanes) > 1 else ""
    yield (
        f"  {number_of(numbers, bar.slot)} {letters_of(work, slot.step)} {slot.start:%H:%M}-{slot.end:%H:%M}"
        f" ({length_words(slot)}{hands}) {title_of(work, slot)}{'; binds the finish' if bar.binds else ''}"
    )
    for tie in bar.ties:
        yield f"      {plain(tie)}"


class _Sheet:
    """The drawing as it grows downwards."""

    def __init__(
        self, work: WorkList, plan: Plan, numbers: tuple[int, ...], rows: tuple[SessionRow, ...], wide_mm: float
    ) -> None:
        self.work, self.plan, self.numbers = work, plan, numbers
        self.items: Items = []
        self.seams: list[float] = []
        self.head: Point | None = None
        self.left, self.right = MARGIN_MM + _LABEL_MM, wide_mm - MARGIN_MM
        starts = [r.start_min for r in rows] + [b.start_min for r in rows for b in r.bars]
        ends = [r.end_min for r in rows] + [b.end_min for r in rows for b in r.bars]
        self.first = min(starts, default=540) // 60
        self.last = max(-(-max(ends, default=1020) // 60), self.first + 1)
        self.y = MARGIN_MM + HEAD_MM
        title = "The work, session by session"
        self.items.append(Words(at=(MARGIN_MM, self.y), text=title, size_mm=HEAD_MM, bold=True))
        self.y += 4.0

    def x(self, minute: float) -> float:
        share = (minute / 60 - self.first) / (self.last - self.first)
        return self.left + (self.right - self.left) * share

    def say(self, text: str) -> None:
        self.y += SMALL_MM * LINE
        self.items.append(Words(at=(self.left, self.y), text=text))
        self.y += 2.0

    def hours(self) -> None:
        self.head = self.head or (self.y + 4.0 - SMALL_MM, self.y + 6.0)
        self.y += 4.0
        until = -1.0
        for hour in range(self.first, self.last + 1):
            text = f"{hour}:00"
            wide = words_wide(text)
            x = self.x(60 * hour)
            if x - wide / 2 < until:
                continue
            self.items.append(Words(at=(x, self.y), text=text, anchor="middle"))
            until = x + wide / 2 + 1.0
        self.y += 2.0

    def meet(self, by: date | None) -> None:
        self.y += 1.5
        self.items.append(Form(d=lines((MARGIN_MM, self.y), (self.right, self.y)), look="meet", data=(("meet", "1"),)))
        self.y += SMALL_MM + 1.0
        self.items.append(Words(at=(self.right, self.y), text=_meet_words(by), anchor="end", bold=True))
        self.y += 1.5

    def row(self, row: SessionRow) -> None:
        if row.idle:
            self.y += SMALL_MM + 0.5
            self.items.append(Words(at=(self.left, self.y), text=_idle_words(row.idle)))
            self.y += 1.5
        lanes = max([row.session.hands, *(lane + 1 for b in row.bars for lane in b.lanes)])
        labels = self._labels(row)
        above, below = ([a for a in labels if a.above], [a for a in labels if not a.above])
        top = self.y + 1.0 + (_TIER_MM + _LEADER_MM if above else 0.0)
        foot = top + lanes * _LANE_MM
        waits_foot = foot + len(row.waits) * _WAIT_MM + (1.0 if row.waits else 0.0)
        end = waits_foot + (_TIER_MM + _LEADER_MM if below else 0.0)
        self._ground(row, top, foot)
        for label in labels:
            self._label(label, (top, foot), self.y + _TIER_MM if label.above else end - 0.6)
        for bar in row.bars:
            self._bar(bar, top)
        for label in labels:
            self._number(label, self.y + _TIER_MM if label.above else end - 0.6)
        for n, wait in enumerate(row.waits):
            self._wait(minutes_of(self.plan.slots[wait.slot].end.time()), foot + 1.0 + n * _WAIT_MM)
        self._finish(row, top - 1.5, foot + 1.5)
        head, under = _head_words(row)
        self.items.append(Words(at=(MARGIN_MM, top + 2.6), text=head, bold=True))
        self.items.append(Words(at=(MARGIN_MM, top + 2.6 + SMALL_MM * LINE), text=under))
        self.y = max(end, top + 8.0) + 1.0
        self._notes(row)
        self.items.append(Form(d=lines((MARGIN_MM, self.y), (self.right, self.y)), look="pale"))

    def _ground(self, row: SessionRow, top: float, foot: float) -> None:
        x0, x1 = self.x(row.start_min), self.x(row.end_min)
        self.items.append(Form(d=rect(x0, top, x1 - x0, foot - top), look="wash"))
        hours = [h for h in range(self.first, self.last + 1) if row.start_min <= 60 * h <= row.end_min]
        d = "".join(lines((self.x(60 * h), top - 0.8), (self.x(60 * h), foot + 0.8)) for h in hours)
        if d:
            self.items.append(Form(d=d, look="pale"))
        self.items.append(Form(d=rect(x0, top, x1 - x0, foot - top), look="thin"))

    def _texts(self, bar: Bar) -> str:
        return f"{number_of(self.numbers, bar.slot)}{letters_of(self.work, self.plan.slots[bar.slot].step)}"

    def _labels(self, row: SessionRow) -> tuple[Label, ...]:
        narrow: list[Narrow] = []
        others: list[Narrow] = []
        for bar in row.bars:
            each = Narrow(
                text=self._texts(bar),
                at_mm=self.x((bar.start_min + bar.end_min) / 2),
                span_mm=(self.x(bar.start_min), self.x(bar.end_min)),
                lanes=bar.lanes,
            )
            (others if self._fits(bar) else narrow).append(each)
        return labels_of(narrow, others, self.left, self.right)

    def _fits(self, bar: Bar) -> bool:
        return self.x(bar.end_min) - self.x(bar.start_min) >= words_wide(self._texts(bar), bold=True) + 0.8

    def _bar(self, bar: Bar, top: float) -> None:
        slot = self.plan.slots[bar.slot]
        x0 = self.x(bar.start_min)
        wide = max(self.x(bar.end_min) - x0, 0.4)
        look = LOOK_OF[kind_of(self.work, slot.step)]
        tip = f"{self._texts(bar)} {title_of(self.work, slot)}"
        data = (("step", str(number_of(self.numbers, bar.slot))), *((("binds", "1"),) if bar.binds else ()))
        for first, count in _runs(bar.lanes):
            y, high = top + first * _LANE_MM, count * _LANE_MM
            self.items.append(Form(d=rect(x0, y, wide, high), look=look, tip=tip, data=data))
            if bar.binds:
                self.items.append(Form(d=rect(x0, y + high - _RIBBON_MM, wide, _RIBBON_MM), look="binds"))
        if self._fits(bar):
            at = (x0 + wide / 2, top + bar.lanes[0] * _LANE_MM + 3.6)
            self.items.append(Words(at=at, text=self._texts(bar), anchor="middle", bold=True, halo=True))

    def _label(self, label: Label, lanes: tuple[float, float], base: float) -> None:
        """The leader, drawn below the bars: from the label to the near edge of its bar."""
        for at, lane in label.targets:
            y = lanes[0] + lane * _LANE_MM + (0.0 if label.above else _LANE_MM)
            start = (label.at_mm, base + 0.5) if label.above else (label.at_mm, base - SMALL_MM * 0.8)
            bend = (at, lanes[0] - 0.6) if label.above else (at, max(lanes[1] + 0.6, start[1] - _LEADER_MM))
            self.items.append(Form(d=lines(start, bend, (at, y)), look="thin"))

    def _number(self, label: Label, base: float) -> None:
        self.items.append(Words(at=(label.at_mm, base), text=label.text, anchor="middle", bold=True))

    def _wait(self, minute: int, y: float) -> None:
        x = self.x(minute)
        self.items.append(Form(d=f"M{num(x)} {num(y - 0.6)}{_GLASS}", look="solid", data=(("wait", "1"),)))
        if x + 5.0 < self.right:
            self.items.append(Form(d=lines((x + 3.4, y + 0.6), (self.right, y + 0.6)), look="dots"))

    def _finish(self, row: SessionRow, top: float, foot: float) -> None:
        finish = self.plan.finish
        if finish is None or finish.date() != row.session.day:
            return
        if not row.start_min <= minutes_of(finish.time()) <= row.end_min:
            return
        x = self.x(minutes_of(finish.time()))
        self.items.append(Form(d=lines((x, top), (x, foot)), look="end", data=(("finish", "1"),)))

    def _notes(self, row: SessionRow) -> None:
        told = [(_FLAG, text) for text in row.arrivals] + [(_GLASS, wait.told) for wait in row.waits]
        finish = self.plan.finish
        if finish is not None and any(self.plan.slots[b.slot].end == finish for b in row.bars):
            told.append((_POST, f"finished {moment_words(finish)}"))
        for mark, text in told:
            for n, line in enumerate(wrapped(text, self.right - self.left - 5.0)):
                self.y += SMALL_MM * LINE
                if n == 0:
                    self.items.append(Form(d=f"M{num(self.left)} {num(self.y - 2.1)}{mark}", look="solid"))
                self.items.append(Words(at=(self.left + 4.0, self.y), text=line))
        self.y += 2.0 if told else 0.5

    def legend(self, *, binds: bool) -> None:
        self.y += 6.0
        items, self.y = kind_legend((MARGIN_MM, self.y), self.right - MARGIN_MM, binds=binds)
        self.items += items
        self.y += 2.0
        x = MARGIN_MM
        for mark, words in (
            (_GLASS, "left alone from here (cure, soak)"),
            (_FLAG, "has come, if ordered on the first day"),
            (_POST, "the end"),
        ):
            self.items.append(Form(d=f"M{num(x)} {num(self.y - 2.1)}{mark}", look="solid"))
            self.items.append(Words(at=(x + 4.0, self.y), text=words))
            x += 10.0 + words_wide(words)


def _runs(lanes: tuple[int, ...]) -> list[Point]:
    """First lane and count of each run of lanes that lie side by side."""
    found: list[list[int]] = []
    for lane in sorted(lanes):
        if found and found[-1][0] + found[-1][1] == lane:
            found[-1][1] += 1
        else:
            found.append([lane, 1])
    return [(first, count) for first, count in found]
