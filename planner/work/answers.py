"""Questions put to others before anything that cannot be undone, and the wait for their answers."""

from __future__ import annotations

from planner.knockon import Fact
from planner.model.catalog import CheckpointRule, Work
from planner.model.words import DAY_MIN
from planner.model.work import After, Task
from planner.work.bodies import Ground
from planner.work.pace import paced
from planner.work.tasks import TaskBook

_AT_ONCE = "Planned as if the answer came at once: where it takes days say so in the job, `answer_in: 14 days`"


def ask_first(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """Add the sending of each question whose answer a called rule looks at, where the job says how long that takes."""
    for rule in (ground.catalog.rules[r] for r in called):
        if not rule.ask or not ground.job.answer_days:
            continue
        fact = called[rule.id][0]
        book.tasks[_ask_id(rule)] = Task(
            id=_ask_id(rule),
            title=rule.ask,
            work=Work.PLANNING,
            minutes=paced(ground.job, Work.PLANNING, rule.minutes),
            why=ground.reason(fact),
            effect=fact.effect,
        )


def answer_awaited(ground: Ground, rule: CheckpointRule) -> tuple[After, ...]:
    """What a check of an answer waits for: the question, and the days the job gives it."""
    days = ground.job.answer_days if rule.ask else None
    return (After(task=_ask_id(rule), lag_min=days * DAY_MIN),) if days else ()


def answer_notes(ground: Ground, rule: CheckpointRule) -> tuple[str, ...]:
    """What is said beside a check of an answer whose wait nobody has told."""
    return (_AT_ONCE,) if rule.ask and ground.job.answer_days is None else ()


def _ask_id(rule: CheckpointRule) -> str:
    return f"ask.{rule.id}"
