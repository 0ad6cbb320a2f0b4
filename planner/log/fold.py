"""Where a job stands: its log, line after line.

A log never says what has become invalid, so the fold finds it out: a test counts only for what was left alone
after it, a failure reopens what it names, and whatever is reopened takes with it every test made after it. A check
that does not apply stays so until what it hangs on itself is changed or done again: nothing was proved by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from planner.log.entries import counting
from planner.log.unended import unended_in
from planner.model.log import (
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
    OrderedLine,
    SignedLine,
    SizeLine,
    SkippedLine,
    Verdict,
)
from planner.model.plan import Step
from planner.model.standing import Basis, Reopened, Standing
from planner.model.steps import ended_by, known_as, mending_id, step_of_key
from planner.model.words import Work
from planner.model.work import Demand, Task, Toggle, WorkList


def fold(entries: Sequence[Entry], basis: Basis | None = None, now: datetime | None = None) -> Standing:
    """Take in all lines of a log.

    Parameters
    ----------
    entries : sequence of Entry
        In the order they were written, undone lines and undoing ones among them.
    basis : Basis, optional
        The work and the plan last agreed. Without it nothing is taken back but what a line names.
    now : datetime, optional
        The moment that is asked for: by then a state that ends with its session may be on too long.

    Returns
    -------
    Standing
    """
    book = _Book(None if basis is None else basis.work, () if basis is None else basis.keys)
    lines = counting(entries)
    begun = max((i for i, e in enumerate(lines) if isinstance(e, AgreedLine)), default=-1)
    for i, line in enumerate(lines):
        book.take(line)
        if i == begun and basis is not None:
            book.plan_again(basis.again, line.n)
    return Standing(
        agreed=last_agreed(lines),
        done=book.done,
        finished=frozenset(book.finished()),
        skipped=book.skipped,
        states=book.states,
        toggles=book.toggles,
        changed=book.changed,
        signed=book.signed,
        reopened=book.reopened,
        mending=book.mending,
        failures=book.failures,
        found=tuple(e for e in lines if isinstance(e, FoundLine)),
        broken=tuple(e for e in lines if isinstance(e, BrokenLine)),
        arrived=frozenset(e.buy for e in lines if isinstance(e, ArrivedLine)),
        ordered={e.buy: e for e in lines if isinstance(e, OrderedLine)},
        lost=frozenset(e.day for e in lines if isinstance(e, LostLine)),
        extra=tuple(_more_time(lines)),
        unended={} if basis is None else unended_in(basis.work, book.states, book.changed, now),
        sizes={e.size: e.value for e in lines if isinstance(e, SizeLine)},
        kept={e.of: e.where for e in lines if isinstance(e, KeptLine)},
        entries=lines,
        since=lines[begun + 1 :],
    )


def _more_time(lines: Sequence[Entry]) -> Iterator[ExtraLine]:
    """Sessions won, without those of a day that was lost later: of a day the last word counts."""
    given_up = {e.day: i for i, e in enumerate(lines) if isinstance(e, LostLine)}
    yield from (e for i, e in enumerate(lines) if isinstance(e, ExtraLine) and i > given_up.get(e.day, -1))


def last_agreed(entries: Sequence[Entry]) -> str | None:
    """Digest of the plan that is worked to; None when none was agreed."""
    agreed = [e.plan for e in counting(entries) if isinstance(e, AgreedLine)]
    return agreed[-1] if agreed else None


@dataclass
class _Book:
    """What has been taken in so far."""

    work: WorkList | None
    keys: Sequence[str]
    done: dict[str, DoneLine] = field(default_factory=dict)
    skipped: dict[str, SkippedLine] = field(default_factory=dict)
    states: dict[str, bool] = field(default_factory=dict)
    toggles: dict[tuple[str, bool], int] = field(default_factory=dict)
    changed: dict[str, datetime] = field(default_factory=dict)
    signed: dict[str, SignedLine] = field(default_factory=dict)
    reopened: dict[str, Reopened] = field(default_factory=dict)
    mending: dict[str, FailedLine | SignedLine] = field(default_factory=dict)
    failures: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Look up once which tasks rest on what."""
        tasks = self.work.tasks if self.work is not None else {}
        self._tasks: dict[str, Task] = tasks
        self._wants: dict[str, set[str]] = {}
        self._later: dict[str, set[str]] = {}
        for task in tasks.values():
            for demand in task.demands:
                if demand.last:
                    self._wants.setdefault(demand.feature, set()).add(task.id)
            for entry in task.after:
                self._later.setdefault(entry.task, set()).add(task.id)
        self._parts: dict[str, set[str]] = {}
        for key in self.keys:
            self._parts.setdefault(step_of_key(key).ref, set()).add(key)

    def take(self, line: Entry) -> None:
        """Take in one line."""
        match line:
            case DoneLine():
                self._step(line)
            case SkippedLine():
                self.skipped[step_of_key(line.key).ref] = line
            case SignedLine():
                self._sign(line)
            case FailedLine():
                self._fail(step_of_key(line.key).ref, line)
            case _:
                pass

    def plan_again(self, tests: Sequence[str], n: int) -> None:
        """Take back tests that the plan agreed in line ``n`` makes again."""
        for task in tests:
            if self._stands(task):
                self._reopen(task, "what it rests on is changed again", n)

    def finished(self) -> Iterator[str]:
        """Tasks that are done, all parts of them, or needless."""
        yield from self.skipped
        tasks = {step.ref for step in map(step_of_key, self.done) if step.on is None}
        for task in tasks:
            if task in self.done or self._parts.get(task, set()) <= self.done.keys():
                yield task

    def _step(self, line: DoneLine) -> None:
        step = step_of_key(line.key)
        if line.key in self.done:
            return
        self._shake(step, line.n)
        self.done[line.key] = line
        if step.on is None:
            if ended_by(step.ref):
                self.states[ended_by(step.ref)] = False
            self.reopened.pop(step.ref, None)
            self._spoil(step.ref)
            self._outdate(step.ref, line.n)
            self._right(step.ref)
            return
        ref, on = step.ref if self.work is None else known_as(step.ref, self.work.features), step.on
        self.states[ref] = on
        self.toggles[ref, on] = self.toggles.get((ref, on), 0) + 1
        self.changed[ref] = line.at
        for task in sorted(self._wants.get(ref, ())):
            if self._stands(task):
                self._reopen(task, f"{self._name(ref)} was changed after it", line.n)
        for check in self._checks(ref, on=on):
            self.signed.pop(check, None)

    def _shake(self, step: Step, n: int) -> None:
        """Work done in a state the log does not know of: who did it may have brought it about unsaid.

        A pipe that is fitted while its circuit is told to be closed cannot have been: what was proved of the circuit
        is proved no longer.
        """
        for feature in self._unheld(step):
            for task in sorted(self._wants.get(feature, ())):
                if self._stands(task):
                    self._reopen(task, f"{self._name(feature)} must have been changed after it", n)

    def _unheld(self, step: Step) -> Iterator[str]:
        """Features that a step demands in a state they are not in: of all its ways where none is open."""
        piece = None if self.work is None else self.work.find(step)
        if piece is None or (isinstance(piece, Task) and piece.is_test):
            return
        ways = piece.ways if isinstance(piece, Toggle) else ()
        closed = ways if not any(all(map(self._holds, way)) for way in ways) else ()
        asked = [*piece.demands, *(d for way in closed for d in way)]
        yield from dict.fromkeys(d.feature for d in asked if not self._holds(d))

    def _holds(self, demand: Demand) -> bool:
        known = self.work.features.get(demand.feature) if self.work is not None else None
        return known is None or self.states.get(demand.feature, known.start) is demand.on

    def _outdate(self, task: str, n: int) -> None:
        """Work done after a test that rests on it: the test was made too early, and does not count."""
        title = self._tasks[task].title if task in self._tasks else task
        for later in self._built_on(task):
            self._take_back_tests(task, later, f"`{title}` was done after it", n)

    def _built_on(self, task: str) -> list[str]:
        """What comes next after a task and may hang on it."""
        answer = self.work is not None and self.work.is_on_paper(task)
        return [] if answer else sorted(self._later.get(task, ()))

    def _spoil(self, task: str) -> None:
        """A check that was signed and is made again counts only by its new word."""
        check = self._tasks[task].checkpoint if task in self._tasks else None
        if check is not None:
            self.signed.pop(check, None)

    def _sign(self, line: SignedLine) -> None:
        step = step_of_key(line.key)
        if line.verdict is Verdict.FAILED:
            self._fail(step.ref if step.on is None else "", line)
            self.signed[line.checkpoint] = line
            return
        is_new = line.key not in self.done
        self.signed[line.checkpoint] = line
        if step.on is None and step.ref:
            made = DoneLine(n=line.n, at=line.at, key=line.key, guess_min=0, work=Work.TESTING.value)
            self.done.setdefault(line.key, made)
            self.reopened.pop(step.ref, None)
            self._right(step.ref)
            if is_new:
                self._outdate(step.ref, line.n)

    def _fail(self, task: str, line: FailedLine | SignedLine) -> None:
        if task:
            self._reopen(task, f"it failed: {line.why}" if line.why else "it failed", line.n)
            self.failures[task] = self.failures.get(task, 0) + 1
            self.mending[task] = line
        name = self._tasks[task].title if task in self._tasks else task or line.key
        for other in line.redo:
            self._reopen(other, f"`{name}` failed", line.n)

    def _right(self, task: str) -> None:
        """A failure is over when what failed is passed; the step that put it right, if there was one, stays told."""
        mend = mending_id(task, self.failures.get(task, 0))
        if task in self.mending and not any(step_of_key(k).ref == mend for k in self.done):
            del self.mending[task]

    def _reopen(self, task: str, why: str, n: int) -> None:
        """Take back a task, and every test made after it."""
        self._take_back(task, why, n)
        title = self._tasks[task].title if task in self._tasks else task
        for later in self._built_on(task):
            self._take_back_tests(task, later, f"`{title}` is done again", n)

    def _take_back_tests(self, begun: str, task: str, why: str, n: int) -> None:
        """Take back a task if it is a test that was made, and every test made after it.

        ``begun`` is what is done again, or was done too late: a check that does not apply hangs on that alone.
        """
        waiting = [(task, why)]
        seen = set()
        while waiting:
            known, told = waiting.pop(0)
            if known in seen:
                continue
            seen.add(known)
            if self._stands(known) and not self._stays_waived(known, begun):
                self._take_back(known, told, n)
                title = self._tasks[known].title
                told = f"`{title}` is done again"
            waiting += [(later, told) for later in sorted(self._later.get(known, ()))]

    def _take_back(self, task: str, why: str, n: int) -> None:
        for key in [k for k in self.done if step_of_key(k).on is None and step_of_key(k).ref == task]:
            del self.done[key]
        self.skipped.pop(task, None)
        self.reopened[task] = Reopened(task=task, why=why, n=n)
        self._spoil(task)

    def _stands(self, task: str) -> bool:
        """Whether a task is a test that was made: what may be taken back by what comes after it."""
        known = self._tasks.get(task)
        if known is None or not known.is_test:
            return False
        return task in self.skipped or any(step_of_key(k).ref == task and step_of_key(k).on is None for k in self.done)

    def _stays_waived(self, task: str, begun: str) -> bool:
        """Whether a task is a check that does not apply, whatever becomes of another one."""
        signed = self.signed.get(self._tasks[task].checkpoint or "")
        waived = signed is not None and signed.verdict is Verdict.NOT_APPLICABLE
        again = self._tasks.get(begun)
        return waived and again is not None and not self._tasks[task].hangs_on(again)

    def _checks(self, feature: str, *, on: bool) -> tuple[str, ...]:
        toggle = None if self.work is None else self.work.find(Step(ref=feature, on=on))
        return toggle.checks if isinstance(toggle, Toggle) else ()

    def _name(self, feature: str) -> str:
        known = self.work.features.get(feature) if self.work is not None else None
        return known.name if known is not None else feature
