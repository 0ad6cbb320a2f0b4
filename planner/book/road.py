"""What stands between the vehicle and its first start, its first move and the road; what is doubtful till then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.book.checks import Check
from planner.book.facts import BookFacts
from planner.export.plan_words import day_words, questions_of, warnings_of
from planner.model.catalog import Blocks
from planner.model.sums import Verdict
from planner.model.work import Checkpoint

_GATES = (
    ("first-start", Blocks.ENGINE, "Before the engine is started"),
    ("first-move", Blocks.MOVING, "Before it moves under its own power, even in the yard"),
    ("road-test", Blocks.ROAD, "Before it goes on the road"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One gate: the checkpoints that hold it shut, and the step that goes through it."""

    title: str
    checks: tuple[Check, ...]
    number: int | None


def gates_of(facts: BookFacts, checks: tuple[Check, ...]) -> tuple[Gate, ...]:
    """The three gates in the order they are passed; each open checkpoint of the job stands at every one it blocks."""
    points = facts.answer.work.checkpoints
    steps = {s.step.ref: n for n, s in enumerate(facts.answer.plan.slots)}
    return tuple(
        Gate(
            title=title,
            checks=tuple(c for c in checks if _holds(points[c.id], task, word)),
            number=facts.answer.number(steps[task]) if task in steps else None,
        )
        for task, word, title in _GATES
    )


def _holds(point: Checkpoint, task: str, word: Blocks) -> bool:
    return task in point.blocked or word.value in point.blocks or (word is Blocks.ROAD and not point.each_time)


def doubts_of(facts: BookFacts) -> tuple[str, ...]:
    """Everything the reader has to know before trusting the plan."""
    return tuple(dict.fromkeys((*warnings_of(facts.answer), *questions_of(facts.answer), *_sums(facts), *_odds(facts))))


def _sums(facts: BookFacts) -> Iterator[str]:
    for verdict, words in ((Verdict.FAILS, "outside its limit"), (Verdict.CLOSE, "close to its limit")):
        for line in facts.sums:
            if line.verdict is verdict:
                yield f"{facts.name_of(line.about)}, {line.title}: {words}"
    waiting = sum(line.verdict is Verdict.UNKNOWN for line in facts.sums)
    if waiting:
        yield f"{waiting} {'sum' if waiting == 1 else 'sums'} could not be worked out for want of figures"


def _odds(facts: BookFacts) -> Iterator[str]:
    odds = facts.answer.odds
    if odds is None:
        yield "How likely the dates are was not asked for: minutes are guesses, and trial fits may fail."
        return
    for share, day in (("half", odds.p50), ("8 in 10", odds.p80), ("19 in 20", odds.p95)):
        done = f"done by {day_words(day)}" if day is not None else "not done within the sessions told"
        yield f"{share} of {odds.runs} simulated jobs are {done}"
    yield from odds.notes
