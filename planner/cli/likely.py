"""Whether what was measured can be so: a size far from all that was known, a gap that is less than is to be kept."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING

import typer

from planner.cli.ending import Exit, Stop
from planner.units import MM_PER_INCH, UnitError, format_length
from planner.units.number import DOUBT, NUMBER, read_number

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.sizes import TapeSize
    from planner.model.standing import Question
    from planner.shelf import Draft

FAR_DOUBTS, FAR_MM = 10.0, 50.0
"""A size that is out by more than so many of its doubts and by more than so much is asked about (starting guesses)."""
_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, '"': MM_PER_INCH}
_TOLD = re.compile(
    rf"(?<![\w.,/])(?P<sign>-\s?)?(?P<number>{NUMBER})(?P<doubt>{DOUBT.pattern}{NUMBER})?\s*(?P<unit>mm|cm|m|inch|in|\")(?!\w)",
    re.IGNORECASE,
)
_BARE = re.compile(rf"\s*(?P<sign>-\s?)?(?P<number>{NUMBER})(?P<doubt>{DOUBT.pattern}{NUMBER})?\s*")
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_AGAINST = re.compile(
    r"\b(?:touch\w*|overlap\w*|into|inside|foul\w*|hit\w*|deep|press\w*|rub\w*|not?|less|under|short)\b"
)
"""Words by which a gap is none, or less than its number says."""
_YES = re.compile(r"(?:yes|y)\b", re.IGNORECASE)


def see_likely(book: LogBook, draft: Draft, name: str, value: str, known: tuple[TapeSize, str]) -> None:
    """Ask about a size that is far from what the files and the log have, or that has its side of the centre wrong.

    Parameters
    ----------
    known : TapeSize and units
        The size as the files have it, or as the job makes it, and the owner's units.

    Raises
    ------
    Stop
        It is not so, or there is nobody to ask.
    """
    from planner.cli.measured import holding

    was, units = known
    mm = holding(draft, {name: value}).size(name).mm
    last = book.standing.sizes.get(name)
    others = [was.mm]
    if last is not None:
        others.append(holding(draft, {name: last}).size(name).mm)
    if not all(_is_far(mm, other, was.doubt_mm) for other in others):
        return
    off = abs(mm - was.mm)
    where = "the file says" if draft.altered(name) is None else "the job makes it"
    told = f"{name}: that is {format_length(off, units)} from what {where}, {format_length(was.mm, units)}"
    side = "; left of the centre and forward of zero are minus" if name.partition(".at.")[1] else ""
    if sys.stdin.isatty() and sys.stdout.isatty():
        if typer.confirm(f"{told}{side}. Is it so?", default=False):
            return
        raise Stop(Exit.STOPPED, "nothing was written", f'measure once more: knockon record size {name} "VALUE"')
    again = f'knockon record size {name} "{value}" --sure --in {book.project} --job {book.job}'
    raise Stop(Exit.USAGE, f"{told}{side}: is it so?", f"if it is: {again}")


def _is_far(mm: float, known_mm: float, doubt_mm: float) -> bool:
    """Whether a size is far from a known one, or as far from the centre on its other side."""
    if abs(mm - known_mm) > max(FAR_MM, FAR_DOUBTS * doubt_mm):
        return True
    return mm * known_mm < 0.0 and abs(mm + known_mm) <= doubt_mm < min(abs(mm), abs(known_mm))


def see_enough(question: Question, answer: str, units: str) -> None:
    """Hold the answer to a gap to how much is to be kept.

    Raises
    ------
    Stop
        It is less, or it has no number and nobody says that it is enough.
    """
    if question.keep_mm is None:
        return
    least = gap_told_mm(answer, units)
    keep = format_length(question.keep_mm, units)
    open_ = "the question stays open and nothing was written"
    if least is not None and least < question.keep_mm:
        raise Stop(
            Exit.FAULTS, f"{format_length(least, units)} is less than the {keep} to be kept: {open_}", _room(question)
        )
    if (least is not None and not _AGAINST.search(answer.lower())) or _YES.match(answer):
        return
    asked = f"{question.text}, {keep} to be kept"
    if sys.stdin.isatty() and sys.stdout.isatty():
        if typer.confirm(f"{asked}. Is `{answer}` enough?", default=False):
            return
        raise Stop(Exit.FAULTS, open_, _room(question))
    how = f'the gap that was measured as a number, such as "12 mm"; or "yes, {answer}" if at least {keep} is free'
    raise Stop(Exit.USAGE, f"{asked}: is {answer!r} enough?", how)


def _room(question: Question) -> str:
    part, _, other = question.id.partition("~")
    return (
        "make room: another place in the job for one of the two, or the sizes that were measured "
        f'(record size {part}.at.x "VALUE" and the like), then `knockon replan`; '
        f"where less is enough for good, write `near: {{{other}: MM}}` beside {part}, then `knockon replan --agree`"
    )


def gap_told_mm(answer: str, units: str) -> float | None:
    """The least gap in an answer in words [mm], at the worst of its doubt; None where it has none.

    Examples
    --------
    >>> gap_told_mm("drum off, 8 mm free", "mm"), gap_told_mm("12 +/- 1 mm, 1 cm below", "mm")
    (8.0, 10.0)
    >>> gap_told_mm("1/2 in", "mm"), gap_told_mm("-3 mm", "mm"), gap_told_mm("7", "mm"), gap_told_mm("room", "mm")
    (12.7, -3.0, 7.0, None)
    """
    text = _COMMA.sub(".", answer)
    bare = _BARE.fullmatch(text)
    found = [bare] if bare is not None else list(_TOLD.finditer(text))
    try:
        return min((_worst_mm(m, units) for m in found), default=None)
    except UnitError:
        return None


def _worst_mm(match: re.Match[str], units: str) -> float:
    unit = match.groupdict().get("unit") or ("in" if units == "inch" else "mm")
    doubt = DOUBT.sub("", match["doubt"] or "0")
    size = read_number(match["number"]) * (-1 if match["sign"] else 1) - read_number(doubt)
    return size * _MM["in" if unit.lower() == "inch" else unit.lower()]
