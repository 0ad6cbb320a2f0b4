"""What stands between the vehicle and its first start, its first move and the road; what is doubtful till then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.book.checks import Check
from planner.book.facts import BookFacts
from planner.export.plan_words import questions_of, warnings_of
from planner.model.catalog import Blocks
from planner.model.sums import Verdict
from planner.model.work import Checkpoint
from planner.sums.told import limit_words, value_words
from planner.units.spoken import day_words

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
    """Those that no gate before it asks for already."""
    number: int | None
    before: bool
    """Whether a gate before it asks for any."""


def gates_of(facts: BookFacts, checks: tuple[Check, ...]) -> tuple[Gate, ...]:
    """The three gates in the order they are passed; each checkpoint stands at the first of them that it holds shut."""
    points = facts.answer.work.checkpoints
    steps = {s.step.ref: n for n, s in enumerate(facts.answer.plan.slots)}
    found: list[Gate] = []
    told: set[str] = set()
    for task, word, title in _GATES:
        here = tuple(c for c in checks if c.id not in told and _holds(points[c.id], task, word))
        number = facts.answer.number(steps[task]) if task in steps else None
        found.append(Gate(title=title, checks=here, number=number, before=bool(told)))
        told |= {c.id for c in here}
    return tuple(found)


def _holds(point: Checkpoint, task: str, word: Blocks) -> bool:
    return task in point.blocked or word.value in point.blocks or (word is Blocks.ROAD and not point.each_time)


def doubts_of(facts: BookFacts) -> tuple[str, ...]:
    """Everything the reader has to know before trusting the plan."""
    lines = (*warnings_of(facts.answer), *_sums(facts), *questions_of(facts.answer), *_odds(facts))
    return tuple(dict.fromkeys(line[:1].upper() + line[1:] for line in lines))


def _sums(facts: BookFacts) -> Iterator[str]:
    for verdict, words in ((Verdict.FAILS, "outside its limit"), (Verdict.CLOSE, "close to its limit")):
        for line in facts.sums:
            if line.verdict is verdict:
                value, limit = value_words(line, facts.units), limit_words(line, facts.units)
                yield f"{facts.thing(line.about)}, {facts.named(line.title)}: {words}: {value}, limit {limit}"
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
