"""Where a job stands: the plan that was agreed, and what the log says has become of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from planner.model.bygone import Bygone
from planner.model.log import (
    AgreedLine,
    BrokenLine,
    DoneLine,
    Entry,
    ExtraLine,
    FailedLine,
    FoundLine,
    OrderedLine,
    SignedLine,
    SkippedLine,
    Verdict,
)
from planner.model.plan import Plan
from planner.model.runs import RunsBefore
from planner.model.shapes import Pose
from planner.model.work import WorkList


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What a log has to be read against: the whole work list says which tests rest on what.

    ``keys`` are the step keys of the plan last agreed: they say how many parts a split task has. ``again`` are tests
    that were made and that this plan makes again, because it changes what they rest on.
    """

    work: WorkList
    keys: tuple[str, ...] = ()
    again: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something to be measured or settled on the vehicle before metal is cut.

    ``why`` are the reasons with their numbers; ``about`` the parts, links and holes whose work waits for an answer.
    """

    id: str
    text: str
    why: str = ""
    about: tuple[str, ...] = ()
    keep_mm: float | None = None
    """Of a gap: how much is to be kept; None of a question that is about something else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """A plan that was agreed, complete enough to work from without any other file.

    ``work`` is the whole work list, done work included; ``plan`` what of it was still to do. ``keys`` gives the step
    key of each slot, ``named`` the number a person calls a step by, of all steps of the job so far: it never changes.
    ``inputs`` are the digests of the files it was made from, ``pace`` the factors on minutes it was made with.
    """

    made: date
    project: str
    """Name of the vehicle."""
    job: str
    option: str | None
    inputs: dict[str, str]
    pace: dict[str, float]
    homes: dict[str, Pose]
    work: WorkList
    plan: Plan
    keys: tuple[str, ...]
    named: dict[str, int]
    again: tuple[str, ...] = ()
    places: dict[str, Pose] = field(default_factory=dict)
    """Where the job puts the parts it adds or moves; plans agreed to by earlier versions do not say."""
    questions: tuple[str, ...] = ()
    """What was to be settled on the vehicle, in words alone: only plans of earlier versions have it."""
    asked: tuple[Question, ...] = ()
    """What was still to be settled on the vehicle when it was agreed."""
    sizes: dict[str, str] | None = None
    """Sizes of the log that it was made with; None in plans of earlier versions."""
    made_by: str = ""
    """Which program made it, by its digest; plans of earlier versions do not say."""
    bygone: tuple[Bygone, ...] = ()
    """What was done and was no step of the program any more that made it."""
    runs: RunsBefore = field(default_factory=RunsBefore)
    """The runs that were found; plans agreed to by earlier versions do not say."""

    @property
    def basis(self) -> Basis:
        """What the log is read against."""
        return Basis(work=self.work, keys=self.keys, again=self.again)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reopened:
    """A task that was done and has to be done again, with the reason in words."""

    task: str
    why: str
    n: int
    """The line that reopened it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a log comes to, line after line, undone lines left out.

    A feature that is not in ``states`` is as it was at the start. ``toggles`` counts the changes of each feature in
    each direction. A task is in ``done`` or ``skipped`` only as long as nothing has reopened it.
    """

    agreed: str | None = None
    """Digest of the plan that is worked to; None: none was agreed."""
    done: dict[str, DoneLine] = field(default_factory=dict)
    """By step key; of a split task each part by itself."""
    finished: frozenset[str] = frozenset()
    """Tasks that are done, all parts of them, or needless."""
    skipped: dict[str, SkippedLine] = field(default_factory=dict)
    """By task."""
    states: dict[str, bool] = field(default_factory=dict)
    toggles: dict[tuple[str, bool], int] = field(default_factory=dict)
    changed: dict[str, datetime] = field(default_factory=dict)
    """When each feature was last changed."""
    signed: dict[str, SignedLine] = field(default_factory=dict)
    """By checkpoint: the last word on it, as long as nothing has reopened it."""
    reopened: dict[str, Reopened] = field(default_factory=dict)
    """By task, as long as it has not been done again."""
    mending: dict[str, FailedLine | SignedLine] = field(default_factory=dict)
    """By task: the last failure, which has to be put right before the task is tried again. It stays when a step of its
    own has done that, and is gone when the task was passed without one."""
    failures: dict[str, int] = field(default_factory=dict)
    """By task: how often it failed."""
    found: tuple[FoundLine, ...] = ()
    broken: tuple[BrokenLine, ...] = ()
    arrived: frozenset[str] = frozenset()
    ordered: dict[str, OrderedLine] = field(default_factory=dict)
    lost: frozenset[date] = frozenset()
    """Days on which the job's own time was given up; what of ``extra`` is on them was said later, and counts."""
    extra: tuple[ExtraLine, ...] = ()
    unended: dict[str, datetime] = field(default_factory=dict)
    """States that should have ended with their session, on an earlier day than is asked for, and since when they are
    on: nobody may rely on them, and what they were there to watch is looked at first."""
    sizes: dict[str, str] = field(default_factory=dict)
    kept: dict[str, str] = field(default_factory=dict)
    entries: tuple[Entry, ...] = ()
    """All lines that count, in their order."""
    since: tuple[Entry, ...] = ()
    """Those after the plan was agreed."""

    def is_passed(self, check: str) -> bool:
        """Whether a checkpoint is signed and the last word on it is no failure."""
        line = self.signed.get(check)
        return line is not None and line.verdict is not Verdict.FAILED

    @property
    def begun_by(self) -> int:
        """Number of the line that agreed the plan worked to; 0 where none did."""
        return max((e.n for e in self.entries if isinstance(e, AgreedLine)), default=0)

    def is_waived(self, check: str | None) -> bool:
        """Whether the last word on a checkpoint is that it does not apply."""
        line = self.signed.get(check or "")
        return line is not None and line.verdict is Verdict.NOT_APPLICABLE
