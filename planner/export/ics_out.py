"""A plan as calendar events (RFC 5545): one event a work session, in local time without a zone.

Line ends are CR LF, lines are folded at 75 octets (section 3.1), backslash, semicolon, comma and line end are escaped
in texts (3.3.11). An event is known again by its UID, made of vehicle, job, day and start, so that a plan made anew
moves what is in the calendar. DTSTAMP is the day the plan was made, not a clock: same plan, same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from planner.export.plan_words import (
    DEFER,
    check_words,
    checks_of,
    details_of,
    effort_words,
    headline,
    one_line,
    open_of,
    piece_of,
    plan_name,
    slot_title,
    unplaced,
    warnings_of,
)
from planner.model.answer import Answer
from planner.model.plan import Slot

_OCTETS = 75


@dataclass(frozen=True, slots=True, kw_only=True)
class _Event:
    uid: str
    when: tuple[str, str]
    """Start and end as whole content lines."""
    summary: str
    text: tuple[str, ...]


def write(answer: Answer) -> str:
    """The whole calendar; a plan without sessions gives one event on the day it was asked for that says why."""
    events = _events(answer) or [_no_plan(answer)]
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//knockon//plan//EN", "CALSCALE:GREGORIAN"]
    for event in events:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{event.uid}",
            f"DTSTAMP:{answer.today:%Y%m%d}T000000Z",
            *event.when,
            f"SUMMARY:{escaped(event.summary)}",
            f"DESCRIPTION:{_text(event.text)}",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def escaped(text: str) -> str:
    r"""One line of text as a TEXT value.

    Examples
    --------
    >>> escaped("cut, file; paint")
    'cut\\, file\\; paint'
    """
    return re.sub(r"([\\;,])", r"\\\1", one_line(text))


def folded(line: str) -> str:
    """A content line folded so that no line has more than 75 octets and no character is cut through."""
    lines, size = [""], 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > _OCTETS:
            lines.append(" ")
            size = 1
        lines[-1] += letter
        size += octets
    return "\r\n".join(lines)


def _text(lines: tuple[str, ...]) -> str:
    return "\\n".join(escaped(line) for line in lines)


def _events(answer: Answer) -> list[_Event]:
    plan, found, used = answer.plan, [], dict[str, int]()
    last = max((s.session for s in plan.slots), default=-1)
    for index, session in enumerate(plan.sessions):
        slots = [(n, s) for n, s in enumerate(plan.slots) if s.session == index]
        if not slots:
            continue
        begin, end = datetime.combine(session.day, session.start), datetime.combine(session.day, session.end)
        uid = _uid(answer, f"{begin:%Y%m%dT%H%M}")
        used[uid] = used.get(uid, 0) + 1
        checks = sum(len(checks_of(piece_of(answer.work, s.step))) for _, s in slots)
        marked = f", {checks} to check" if checks else ""
        steps = "1 step" if len(slots) == 1 else f"{len(slots)} steps"
        found.append(
            _Event(
                uid=uid if used[uid] == 1 else f"{used[uid]}-{uid}",
                when=(f"DTSTART:{begin:%Y%m%dT%H%M%S}", f"DTEND:{end:%Y%m%dT%H%M%S}"),
                summary=f"{answer.job.name}: {steps}{marked}",
                text=tuple(_session(answer, slots, ends=index == last)),
            )
        )
    return found


def _session(answer: Answer, slots: list[tuple[int, Slot]], *, ends: bool) -> Iterator[str]:
    """Lines about one session; the last one also names the checkpoints that no session carries."""
    work = answer.work
    yield plan_name(answer)
    yield from warnings_of(answer)
    items = [piece_of(work, slot.step) for _, slot in slots]
    tools = dict.fromkeys(t for item in items for t in item.tools)
    if tools:
        yield f"Tools: {', '.join(tools)}"
    for caution in dict.fromkeys(c for item in items for c in item.cautions):
        yield f"! {caution}"
    for (number, slot), item in zip(slots, items, strict=True):
        yield f"{answer.number(number)}. {slot.start:%H:%M} {slot_title(work, slot)} ({effort_words(work, slot)})"
        yield from (f"   - {line}" for line in details_of(item, open_of(answer)))
        for check in checks_of(item):
            yield f"   [ ] CHECK {check_words(work.checkpoints[check])}"
    if ends:
        yield from (f"[ ] CHECK {check_words(point)}" for point in unplaced(answer))
        yield headline(answer)
    yield DEFER


def _no_plan(answer: Answer) -> _Event:
    day: date = answer.today
    checks = (f"[ ] CHECK {check_words(point)}" for point in answer.work.checkpoints.values())
    return _Event(
        uid=_uid(answer, f"{day:%Y%m%d}"),
        when=(f"DTSTART;VALUE=DATE:{day:%Y%m%d}", f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}"),
        summary=f"{answer.job.name}: no plan",
        text=(plan_name(answer), *warnings_of(answer), *checks, DEFER),
    )


def _uid(answer: Answer, moment: str) -> str:
    return f"{_slug(answer.job.id)}-{moment}@{_slug(answer.vehicle.name)}.knockon"


def _slug(text: str) -> str:
    """Letters, digits and hyphens; what is neither is told by its number, so that different texts stay different."""
    plain = re.sub(r"[ _]+", "-", one_line(text).lower())
    return re.sub(r"[^a-z0-9-]", lambda m: f"x{ord(m[0]):x}-", plain) or "x"
