"""Lines of a log in words."""

from __future__ import annotations

from collections.abc import Iterator

from planner.log.ready import piece_of_key
from planner.model.log import (
    AdoptedLine,
    AgreedLine,
    ArrivedLine,
    BrokenLine,
    DoneLine,
    Entry,
    ExtraLine,
    FailedLine,
    FoundLine,
    KeptLine,
    LostLine,
    NoteLine,
    OrderedLine,
    PhotoLine,
    SettledLine,
    SignedLine,
    SizeLine,
    SkippedLine,
    UndoLine,
    Verdict,
)
from planner.model.standing import Agreed
from planner.model.steps import step_of_key
from planner.model.words import Deed
from planner.units.spoken import day_words, hands_words

BUY = "buy:"
"""What the plan puts before the name of a part that is bought; nobody has to type it."""
SURPRISES = (FailedLine, FoundLine, BrokenLine, LostLine, ExtraLine, SizeLine, SkippedLine)


def line_words(line: Entry, agreed: Agreed | None) -> str:  # noqa: PLR0911  # one word a sort
    """One line of a log as a person would say it, without its moment."""
    match line:
        case DoneLine():
            took = f", took {line.took_min} min (planned {line.guess_min})" if line.took_min is not None else ""
            return f"done: {step_words(line.key, agreed)}{took}"
        case SkippedLine():
            return f"needless: {step_words(line.key, agreed)} ({line.why})"
        case SignedLine():
            return _signed(line, agreed)
        case FailedLine():
            return f"did not fit: {step_words(line.key, agreed)} ({line.why})"
        case FoundLine():
            return f"found: {line.title} ({', '.join((f'{line.minutes} min', *_of_mending(line)))})"
        case BrokenLine():
            return f"damaged: {line.part} ({line.why})"
        case SettledLine():
            return f"settled: {line.text}: {line.answer}"
        case LostLine():
            return f"no work on {day_words(line.day)}"
        case ExtraLine():
            return _extra(line, agreed)
        case _:
            return _small(line)


def _extra(line: ExtraLine, agreed: Agreed | None) -> str:
    """A session told since: more time, unless the plan works then already, with as many hands or more."""
    sessions = () if agreed is None else agreed.plan.sessions
    same = [s for s in sessions if s.day == line.day and s.start <= line.start and line.end <= s.end]
    most = max((s.hands for s in same), default=0)
    word = "more time" if most < line.hands else "session" if most == line.hands else "fewer hands"
    told = f", {hands_words(line.hands)}" if line.hands > 1 or same else ""
    instead = f" instead of {most}" if word == "fewer hands" else ""
    return f"{word}: {day_words(line.day)} {line.start:%H:%M} to {line.end:%H:%M}{told}{instead}"


def proof_words(check: str, agreed: Agreed, signed: SignedLine | None) -> str:
    """What to do about a check that a state rests on and that is not passed: before anything else."""
    title = agreed.work.checkpoints[check].title
    if signed is None:
        return f"sign before anything else: CHECK {title}, knockon record check {check} READING --by INITIALS"
    return (
        f"STOP: {_signed(signed, agreed)}. Find out why, put it right, then try again: "
        f"knockon record check {check} READING"
    )


_DEEDS = {
    Deed.WELD: "welds or heats",
    Deed.GRIND: "grinds",
    Deed.CUT: "cuts or drills",
    Deed.UNDER: "under the vehicle",
    Deed.UNSAID: "nobody said what it does",
}


def _of_mending(line: FoundLine) -> Iterator[str]:
    yield from (_DEEDS[deed] for deed in line.does if deed in _DEEDS)
    yield from (f"opens {system}" for system in line.opens)
    if line.on:
        yield f"at {line.on}"


def _small(line: Entry) -> str:  # noqa: PLR0911  # one word a sort
    match line:
        case AgreedLine():
            return f"plan agreed ({line.plan})"
        case ArrivedLine():
            return f"arrived: {line.buy.removeprefix(BUY)}"
        case OrderedLine():
            return f"ordered: {line.buy.removeprefix(BUY)}, expected {day_words(line.due)}"
        case SizeLine():
            return f"measured: {line.size} is {line.value}"
        case KeptLine():
            return f"put away: {line.of}, {line.where}"
        case PhotoLine():
            return f"photo of {line.of}: {line.file}"
        case NoteLine():
            return f"note: {line.text}" if not line.of else f"note on {line.of}: {line.text}"
        case UndoLine():
            return f"line {line.cancels} does not count"
        case AdoptedLine():
            return "adopted: the vehicle's file describes it as built" + (f" ({line.why})" if line.why else "")
        case _:
            raise TypeError(type(line).__name__)


def _signed(line: SignedLine, agreed: Agreed | None) -> str:
    point = agreed.work.checkpoints.get(line.checkpoint) if agreed is not None else None
    name = point.title if point is not None else line.checkpoint
    by = f", {line.by}" if line.by else ""
    if line.verdict is Verdict.NOT_APPLICABLE:
        return f"CHECK {name}: not applicable ({line.why}){by}"
    read = f" {line.text}" if line.text else ""
    why = f" ({line.why})" if line.why else ""
    return f"CHECK {name}:{read} {line.verdict.value}{why}, limit {line.limit}{by}"


def step_words(key: str, agreed: Agreed | None) -> str:
    """A step by its number and title."""
    if agreed is None:
        return key
    piece = piece_of_key(agreed, key)
    number = agreed.named.get(key)
    gone = {b.ref: b.title for b in agreed.bygone} if piece is None else {}
    title = gone.get(step_of_key(key).ref, key) if piece is None else piece.title
    return title if number is None else f"{number} {title}"
