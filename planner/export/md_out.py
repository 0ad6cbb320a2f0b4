"""A plan as Markdown (CommonMark with tables): boxes to tick, the buying list, the checkpoints, the cautions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import date

from planner.export.plan_words import (
    BLOCKS,
    DEFER,
    SOUND,
    check_words,
    checks_of,
    details_of,
    effort_words,
    headline,
    lead_hint,
    lead_words,
    one_line,
    open_of,
    order_words,
    piece_of,
    plan_name,
    questions_of,
    slot_title,
    total_words,
    warnings_of,
)
from planner.model.answer import Answer
from planner.model.plan import Slot
from planner.units.spoken import day_words, hands_words

_MARKS = re.compile(r"([\\`*_{}\[\]#|~^$])")
_OPENING = re.compile(r"^(\d+)([.)])|^([-+=:])")
_HTML = {"&": "&amp;", "<": "&lt;", ">": "&gt;"}


def write(answer: Answer) -> str:
    """The whole plan, to be read as it is or shown as a page."""
    return "\n".join(_lines(answer)) + "\n"


def escaped(text: str) -> str:
    r"""Text that is shown as it is: no mark-up, no HTML, no control character, on one line.

    Examples
    --------
    >>> escaped("# <b>*fit*</b> a|b"), escaped("1. seat"), escaped("- seat")
    ('\\# &lt;b&gt;\\*fit\\*&lt;/b&gt; a\\|b', '1\\. seat', '\\- seat')
    """
    shown = _MARKS.sub(r"\\\1", re.sub(r"[&<>]", lambda m: _HTML[m[0]], one_line(text)))
    return _OPENING.sub(lambda m: f"{m[1]}\\{m[2]}" if m[1] else f"\\{m[3]}", shown)


def _lines(answer: Answer) -> Iterator[str]:
    plan = answer.plan
    yield f"# {escaped(plan_name(answer))}"
    yield from ("", f"> {escaped(DEFER)}")
    for line in warnings_of(answer):
        yield from ("", f"**{escaped(line)}**")
    if plan.slots:
        yield from ("", escaped(headline(answer)))
        if not answer.violations:
            yield from ("", escaped(SOUND))
    yield from _bullets("Open questions, to be settled before metal is cut", questions_of(answer))
    told: set[str] = set()
    for index, session in enumerate(plan.sessions):
        slots = [(n, s) for n, s in enumerate(plan.slots) if s.session == index]
        if slots:
            times = f"{session.start:%H:%M} to {session.end:%H:%M}"
            yield from ("", f"## {day_words(session.day)}, {times}, {hands_words(session.hands)}")
            yield from _session(answer, slots, told)
    yield from _buys(answer)
    yield from _checkpoints(answer)
    yield from _dates(answer)


def _bullets(head: str, texts: Iterable[str]) -> Iterator[str]:
    lines = [f"- {escaped(t)}" for t in texts]
    if lines:
        yield from ("", f"## {head}", "", *lines)


def _session(answer: Answer, slots: list[tuple[int, Slot]], told: set[str]) -> Iterator[str]:
    """Tools, the cautions that come up for the first time, and the steps with their checks."""
    work = answer.work
    items = [piece_of(work, slot.step) for _, slot in slots]
    tools = dict.fromkeys(t for item in items for t in item.tools)
    if tools:
        yield from ("", f"Tools: {escaped(', '.join(tools))}")
    cautions = [c for c in dict.fromkeys(c for item in items for c in item.cautions) if c not in told]
    told.update(cautions)
    if cautions:
        yield from ("", *(f"- **Caution:** {escaped(c)}" for c in cautions))
        # Two lists with a blank line between them would be read as one.
        yield from ("", "Steps:")
    yield ""
    for (number, slot), item in zip(slots, items, strict=True):
        title = escaped(slot_title(work, slot))
        effort = effort_words(work, slot)
        yield f"- [ ] **{answer.number(number)}** {slot.start:%H:%M} ({effort}) {title}"
        if answer.plan.why[number]:
            yield f"  - *{escaped(answer.plan.why[number])}*"
        for line in details_of(item, open_of(answer)):
            yield f"  - {escaped(line)}"
        for check in checks_of(item):
            yield f"  - [ ] **CHECK** {escaped(check_words(work.checkpoints[check]))}"


def _buys(answer: Answer) -> Iterator[str]:
    work, plan, job = answer.work, answer.plan, answer.job
    if not work.bought:
        return
    rows = []
    for buy in sorted(work.bought, key=lambda b: (plan.order_by.get(b.id, date.max), b.id)):
        price = f"{buy.price:.2f} {job.currency}" if buy.price else ""
        last = order_words(answer, buy).removeprefix("by ")
        rows.append(("[ ]", buy.what, price, lead_words(buy), last, buy.for_part))
    yield from ("", "## To buy", "")
    yield from _table(("", "What", "Price", "Comes in", "Order by", "For"), rows)
    yield from ("", escaped(f"Together {total_words(work.bought, job.currency)}."))
    hint = lead_hint(work.bought)
    if hint:
        yield from ("", escaped(hint))


def _checkpoints(answer: Answer) -> Iterator[str]:
    points = answer.work.checkpoints.values()
    if not points:
        return
    yield from ("", "## Checkpoints: each measured, written down, signed", "")
    rows = [
        ("[ ]", c.title, c.measure, c.limit, "; ".join(BLOCKS.get(b, b) for b in c.blocks), c.caution, "", "")
        for c in points
    ]
    head = ("", "Checkpoint", "Measure", "Limit", "Until it is passed", "Caution", "Value found", "Signed, day")
    yield from _table(head, rows)


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    yield f"| {' | '.join(head)} |"
    yield f"|{' --- |' * len(head)}"
    for first, *rest in rows:
        yield f"| {first} | {' | '.join(escaped(cell) for cell in rest)} |"


def _dates(answer: Answer) -> Iterator[str]:
    """What the finish hangs on and how likely it is, where that was asked for."""
    plan, work, chain, odds = answer.plan, answer.work, answer.chain, answer.odds
    if chain is not None and chain.ties:
        titles = [
            f"step {answer.number(t.slot)}, {slot_title(work, plan.slots[t.slot])}: {one_line(t.text)}"
            for t in chain.ties[::-1]
        ]
        yield from _bullets("What the finish hangs on, the last first", titles)
    if odds is None:
        return
    words = []
    for share, day in (("half", odds.p50), ("8 in 10", odds.p80), ("19 in 20", odds.p95)):
        done = f"done by {day_words(day)}" if day is not None else "not done within the sessions told"
        words.append(f"{share} of {odds.runs} simulated jobs are {done}")
    if odds.by is not None and answer.job.finish_by is not None:
        words.append(f"by {day_words(answer.job.finish_by)}, the day to meet: {odds.by:.0%}")
    yield from _bullets("How likely the dates are", [*words, *odds.notes])
