"""A plan as CSV (RFC 4180): one row a slot, and one for each checkpoint that no slot carries.

Spreadsheets take a cell that begins with = + - or @ for a formula; such a cell gets an apostrophe before it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from planner.export.plan_words import (
    check_words,
    checks_of,
    details_of,
    one_line,
    open_of,
    piece_of,
    slot_minutes,
    unplaced,
)
from planner.model.answer import Answer

COLUMNS = (
    "number",
    "session",
    "day",
    "start",
    "end",
    "minutes",
    "hands",
    "does",
    "ref",
    "title",
    "part",
    "parts",
    "checkpoints",
    "cautions",
    "tools",
    "details",
    "why",
)


def write(answer: Answer) -> str:
    """The rows with a header, lines ended by CR LF."""
    out = io.StringIO(newline="")
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for number in range(len(answer.plan.slots)):
        rows.writerow([_cell(each) for each in _row(answer, number)])
    for point in unplaced(answer):
        blank: list[str | int] = [""] * len(COLUMNS)
        blank[COLUMNS.index("does")] = "checkpoint"
        blank[COLUMNS.index("ref")] = point.id
        blank[COLUMNS.index("title")] = point.title
        blank[COLUMNS.index("checkpoints")] = check_words(point)
        rows.writerow([_cell(each) for each in blank])
    return out.getvalue()


def _row(answer: Answer, number: int) -> list[str | int]:
    slot = answer.plan.slots[number]
    item = piece_of(answer.work, slot.step)
    return [
        answer.number(number),
        slot.session + 1,
        slot.start.date().isoformat(),
        f"{slot.start:%H:%M}",
        f"{slot.end:%H:%M}",
        slot_minutes(slot),
        item.hands,
        "task" if slot.step.on is None else ("on" if slot.step.on else "off"),
        slot.step.ref,
        item.title,
        slot.part,
        slot.parts,
        _listed(check_words(answer.work.checkpoints[c]) for c in checks_of(item)),
        _listed(item.cautions),
        _listed(item.tools),
        _listed(details_of(item, open_of(answer))),
        answer.plan.why[number],
    ]


def _listed(texts: Iterable[str]) -> str:
    return "; ".join(one_line(t) for t in texts)


def _cell(value: str | int) -> str:
    """A cell that nothing executes, on one line."""
    text = one_line(str(value))
    return f"'{text}" if text.startswith(("=", "+", "-", "@")) else text
