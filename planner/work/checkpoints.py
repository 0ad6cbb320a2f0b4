"""Checkpoints the job calls for, as tasks and as what is to be signed."""

from __future__ import annotations

from dataclasses import replace

from planner.knockon import Fact, calls_for
from planner.model.catalog import Blocks, CheckpointRule, When, Work
from planner.model.words import GATES
from planner.model.work import After, Checkpoint, Demand, Task
from planner.work.bodies import Ground
from planner.work.circuits import circuit_id, closes, members_after, opened_circuits, state_id
from planner.work.conditions import entry_checks
from planner.work.gates import gates_blocked, gates_passed
from planner.work.pace import paced
from planner.work.tasks import TaskBook, cautions_for


def called_rules(ground: Ground) -> dict[str, tuple[Fact, ...]]:
    """Rules made once as tasks, each with the facts that call for it."""
    called = {r.id: calls_for(r, ground.facts) for r in ground.catalog.rules.values()}
    return {i: f for i, f in called.items() if f}


def checkpoint_tasks(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, Task]:
    """One task for each called rule, after the work it looks at; a rule made with a hot step needs none of its own."""
    return {
        task_id(rule): _task(ground, ground.catalog.rules[rule], facts, _work_before(ground, facts, book))
        for rule, facts in called.items()
        if not _hot_tasks(ground.catalog.rules[rule], facts, book)
    }


def _hot_tasks(rule: CheckpointRule, facts: tuple[Fact, ...], book: TaskBook) -> list[str]:
    """The welding steps that are signed with a rule: it is made with them, at once."""
    return [t for f in facts for t in book.hot.get(f.subject, []) if book.tasks[t].checkpoint == rule.id]


def tasks_of(rule: str, ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> list[str]:
    """The tasks in which a rule is checked."""
    return _hot_tasks(ground.catalog.rules[rule], called[rule], book) or [task_id(rule)]


def sign_hot_steps(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """Give each welding step the check that nothing but welding calls for; a second such rule keeps its own task."""
    for rule_id, facts in called.items():
        rule = ground.catalog.rules[rule_id]
        if any(t.when is not When.WELDED for t in rule.triggers):
            continue
        for task in (t for f in facts for t in book.hot.get(f.subject, [])):
            known = book.tasks[task]
            if known.checkpoint is None:
                book.tasks[task] = replace(
                    known,
                    checkpoint=rule_id,
                    minutes=known.minutes + paced(ground.job, Work.TESTING, rule.minutes),
                    cautions=(*known.cautions, rule.caution),
                )


def _work_before(ground: Ground, facts: tuple[Fact, ...], book: TaskBook) -> tuple[str, ...]:
    """Tasks a check comes after: all those on what it looks at, for a hole those before its paint, else every one.

    What was opened is looked at with all that belongs to it.
    """
    if any(not f.subject for f in facts):
        return tuple(book.tasks)
    opened = [m for f in facts if f.when is When.OPENED for m in members_after(ground, f.subject)]
    subjects = dict.fromkeys([*(f.subject for f in facts), *opened])
    found = (t for s in subjects for t in book.of_subject.get(s, []) if t not in book.finishes.get(s, []))
    return tuple(dict.fromkeys(found))


def task_id(rule: str) -> str:
    """Id of the task in which a rule is checked."""
    return f"check.{rule}"


def _task(ground: Ground, rule: CheckpointRule, facts: tuple[Fact, ...], before: tuple[str, ...]) -> Task:
    circuits = {f.subject for f in facts if f.when is When.OPENED}
    demands = [Demand(feature=state_id(c), on=True) for c in rule.conditions]
    demands += [Demand(feature=state_id(c), on=False, last=True) for c in rule.without]
    demands += [d for fact in facts for d in _holding(ground, rule, fact)]
    effects = {e.id: e for e in ground.knockons.effects}
    why = effects[facts[0].effect].text if facts[0].effect in effects else "any change to the vehicle"
    return Task(
        id=task_id(rule.id),
        title=f"Check: {rule.title}",
        work=Work.TESTING,
        minutes=paced(ground.job, Work.TESTING, rule.minutes * max(1, len(circuits))),
        hands=rule.hands,
        demands=tuple(dict.fromkeys(demands)),
        after=tuple(After(task=t) for t in before),
        tools=rule.tools,
        cautions=(*cautions_for(ground, Work.TESTING, (), hot=False), rule.caution),
        why=why,
        effect=facts[0].effect,
        checkpoint=rule.id,
    )


def _holding(ground: Ground, rule: CheckpointRule, fact: Fact) -> list[Demand]:
    """What must be so, and stay so, for the check to count."""
    if fact.when is When.OPENED:
        return [] if Blocks.FILLING in rule.blocks else _whole_again(ground, fact.subject)
    try:
        body = ground.final(fact.subject)
    except KeyError:
        return []
    if body is not None:
        return [Demand(feature=body, on=True, last=True)]
    # What goes for good is looked at when it is gone: before, there is nothing to see.
    return [Demand(feature=fact.subject, on=False, last=True)] if fact.subject in ground.handled else []


def _whole_again(ground: Ground, system: str) -> list[Demand]:
    """A circuit closed for the last time; one that is never closed, or without work, has all its members back."""
    members = members_after(ground, system)
    if system in opened_circuits(ground) and closes(ground, system):
        return [Demand(feature=circuit_id(system), on=True, last=True)]
    bodies = [ground.final(m) for m in members]
    return [Demand(feature=b, on=True, last=True) for b in bodies if b is not None]


def checkpoints_for(
    ground: Ground, called: dict[str, tuple[Fact, ...]], conditions: list[str]
) -> dict[str, Checkpoint]:
    """Every checkpoint: those made once, and those made each time a condition is entered."""
    found: dict[str, Checkpoint] = {}
    for rule_id, facts in called.items():
        rule = ground.catalog.rules[rule_id]
        subjects = list(dict.fromkeys(f.subject for f in facts if f.subject))
        found[rule_id] = _checkpoint(ground, rule, subjects, gates_blocked(rule), each_time=False)
    for condition in conditions:
        for rule_id in entry_checks(ground, condition):
            rule = ground.catalog.rules[rule_id]
            found.setdefault(rule_id, _checkpoint(ground, rule, [condition], (), each_time=True))
    return found


def _checkpoint(
    ground: Ground, rule: CheckpointRule, subjects: list[str], blocked: tuple[str, ...], *, each_time: bool
) -> Checkpoint:
    names = [_subject_name(ground, s) for s in subjects]
    return Checkpoint(
        id=rule.id,
        rule=rule.id,
        subject=", ".join(subjects),
        title=rule.title,
        measure=rule.measure,
        limit=rule.limit,
        unit=rule.unit,
        low=rule.low,
        high=rule.high,
        blocks=tuple(b.value for b in rule.blocks),
        blocked=blocked,
        caution=rule.caution,
        source=rule.source,
        why=", ".join(names) if names else "any change to the vehicle",
        each_time=each_time,
    )


def _subject_name(ground: Ground, subject: str) -> str:
    if subject in ground.catalog.conditions:
        return ground.catalog.conditions[subject].name
    try:
        return ground.name(subject)
    except KeyError:
        return subject


def passing_checks(called: dict[str, tuple[Fact, ...]], ground: Ground) -> dict[str, tuple[str, ...]]:
    """Checkpoint task -> gates it has to pass to be made, and other checks it comes after."""
    rules = ground.catalog.rules
    return {
        task_id(r): (
            *(g for g in GATES if g in gates_passed(rules[r])),
            *(task_id(other) for other in rules[r].after if other in called),
        )
        for r in called
    }


def filling_gates(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, tuple[str, ...]]:
    """Circuit -> tasks before it is filled: all on its members, and the checks that block filling.

    A check of a group that has circuits of its own holds back only those.
    """
    found: dict[str, tuple[str, ...]] = {}
    wet = {kind.group for kind in ground.catalog.system_kinds.values()}
    for system in opened_circuits(ground):
        group = ground.catalog.system_kinds[ground.vehicle.systems[system].kind].group
        checks = [
            t
            for r in called
            for rule in (ground.catalog.rules[r],)
            if Blocks.FILLING in rule.blocks and (rule.group == group or rule.group not in wet)
            for t in tasks_of(r, ground, called, book)
        ]
        work = [t for member in members_after(ground, system) for t in book.of_subject.get(member, [])]
        found[system] = tuple(dict.fromkeys((*work, *checks)))
    return found


def leaving_gates(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, tuple[str, ...]]:
    """Condition -> checks to be passed before it is left."""
    rules = [ground.catalog.rules[r] for r in called]
    return {
        condition: tuple(
            t for r in rules if condition in r.before_leaving for t in tasks_of(r.id, ground, called, book)
        )
        for condition in ground.catalog.conditions
    }


def waits_of_gates(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, tuple[str, ...]]:
    """Gate -> every check that can be made before it, whether or not it blocks just that gate."""
    return {
        gate: tuple(
            t
            for rule in called
            if gate not in gates_passed(ground.catalog.rules[rule])
            for t in tasks_of(rule, ground, called, book)
        )
        for gate in GATES
    }
