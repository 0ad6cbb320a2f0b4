"""The lines of a job's log: what happened, in the words of the person who did it.

A log is only ever added to. Every line has a number ``n`` (from 1, rising) and the wall-clock moment ``at`` it was
written; a line is undone by another one that names its number.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time
from enum import StrEnum

from planner.model.shapes import Vec
from planner.model.words import Deed


class Verdict(StrEnum):
    """What came of a checkpoint."""

    PASSED = "passed"
    FAILED = "failed"
    NOT_APPLICABLE = "not applicable"


class Fits(StrEnum):
    """What the agreed plan was found to be worth with a size that was measured."""

    UNKNOWN = "not looked at"
    HOLDS = "holds"
    CHANGED = "does not hold"
    NO_PLACE = "no place"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What every line has; its number is 0 and its moment the first of all until it is written.

    ``batch`` is the number of the first line of the command that wrote this one and others; 0 of a command that wrote
    no other, and in lines from before this was kept.
    """

    n: int = 0
    at: datetime = datetime.min  # noqa: DTZ901  # wall-clock time of one workshop
    batch: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedLine(Line):
    """From here on the plan with this digest is worked to."""

    plan: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneLine(Line):
    """A step is done. ``key`` is its step key; the rest is kept for calibration.

    ``guess_min`` were the planned minutes, with the factor ``pace`` in them; ``work`` is the kind of work.
    """

    key: str
    guess_min: int
    work: str
    pace: float = 1.0
    took_min: int | None = None
    """None: nobody looked at the clock."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SkippedLine(Line):
    """A task was found unnecessary."""

    key: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedLine(Line):
    """A checkpoint was looked at. ``key`` is the step it was made with; ``value`` the number read, where there is one.

    ``limit`` is the limit as it stood then, in words. ``redo`` are the tasks that a failure reopens besides the check.
    """

    checkpoint: str
    key: str
    verdict: Verdict
    limit: str
    text: str = ""
    value: float | None = None
    by: str = ""
    why: str = ""
    redo: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedLine(Line):
    """A trial fit failed: it and the tasks ``redo`` are to be done again."""

    key: str
    why: str
    redo: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundLine(Line):
    """Something that the plan did not know: more work, before or after other work, with parts off or in place."""

    id: str
    title: str
    minutes: int
    hands: int = 1
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    fitted: tuple[str, ...] = ()
    does: tuple[Deed, ...] = ()
    """Empty in lines from before this was asked."""
    on: str = ""
    """The part or link it was found at."""
    opens: tuple[str, ...] = ()
    spot_mm: Vec | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenLine(Line):
    """A part was damaged: it is mended or made again in ``minutes``, or bought again."""

    id: str
    part: str
    why: str
    minutes: int
    lead_days: int = 0
    price: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivedLine(Line):
    """Something bought is here."""

    buy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedLine(Line):
    """Something was ordered and is expected on day ``due``."""

    buy: str
    due: date


@dataclass(frozen=True, slots=True, kw_only=True)
class LostLine(Line):
    """No work on that day after all."""

    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraLine(Line):
    """One more session."""

    day: date
    start: time
    end: time
    hands: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeLine(Line):
    """A size was measured. ``size`` is its name as `knockon measure` tells it, ``value`` the text for the file.

    ``fits`` is what the agreed plan was found to be worth with it, ``told`` why, in words; it counts as long as the log
    has the sizes ``beside``, those that were looked at together, this one among them.
    """

    size: str
    value: str
    fits: Fits = Fits.UNKNOWN
    told: tuple[str, ...] = ()
    beside: dict[str, str] = field(default_factory=dict)
    answers: tuple[str, ...] = ()
    """Ids of open questions that are none any more with these sizes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledLine(Line):
    """An open question was settled on the vehicle: ``answer`` in the owner's words.

    ``question`` is its id; ``text`` and ``why`` are what was asked: asked otherwise later, it is open again.
    """

    question: str
    answer: str
    text: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLine(Line):
    """Where the bag of bolts, or the part itself, was put."""

    of: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoLine(Line):
    """The name of a photo's file."""

    of: str
    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteLine(Line):
    """Anything else worth keeping."""

    text: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoLine(Line):
    """Line ``cancels`` does not count; an undo may be undone."""

    cancels: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AdoptedLine(Line):
    """The vehicle's file was brought up to what was built: digests of it before and after."""

    before: str
    after: str
    why: str = ""
    """Why it was done with work still open."""


Entry = (
    AgreedLine
    | DoneLine
    | SkippedLine
    | SignedLine
    | FailedLine
    | FoundLine
    | BrokenLine
    | ArrivedLine
    | OrderedLine
    | LostLine
    | ExtraLine
    | SizeLine
    | SettledLine
    | KeptLine
    | PhotoLine
    | NoteLine
    | UndoLine
    | AdoptedLine
)

SORTS: dict[str, type[Line]] = {
    "agreed": AgreedLine,
    "done": DoneLine,
    "skipped": SkippedLine,
    "signed": SignedLine,
    "failed": FailedLine,
    "found": FoundLine,
    "broken": BrokenLine,
    "arrived": ArrivedLine,
    "ordered": OrderedLine,
    "lost": LostLine,
    "extra": ExtraLine,
    "size": SizeLine,
    "settled": SettledLine,
    "kept": KeptLine,
    "photo": PhotoLine,
    "note": NoteLine,
    "undo": UndoLine,
    "adopted": AdoptedLine,
}
"""The word a line carries under ``sort``, and what it then is."""
