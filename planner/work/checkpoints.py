"""Checkpoints the job calls for, as tasks and as what is to be signed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from planner.knockon import ANY_CHANGE, Fact, calls_for
from planner.model.catalog import Blocks, CheckpointRule, When, Work
from planner.model.words import GATES, ROAD_TEST
from planner.model.work import After, Checkpoint, Demand, Task
from planner.work.answers import answer_awaited, answer_notes, ask_first
from planner.work.bare import bare_points
from planner.work.bodies import Ground
from planner.work.circuits import (
    circuit_id,
    closes,
    filled_members,
    members_after,
    opened_circuits,
    state_id,
    system_kind,
)
from planner.work.conditions import entry_checks
from planner.work.gates import gates_blocked, gates_passed
from planner.work.joints import joints_of
from planner.work.pace import paced
from planner.work.tasks import TaskBook

_HOT = frozenset({When.WELDED, When.SPARKS})


def called_rules(ground: Ground) -> dict[str, tuple[Fact, ...]]:
    """Rules made once as tasks, each with the facts that call for it."""
    called = {r.id: calls_for(r, ground.facts) for r in ground.catalog.rules.values() if _applies(ground, r)}
    return {i: f for i, f in called.items() if f}


def _applies(ground: Ground, rule: CheckpointRule) -> bool:
    """Whether the vehicle has what a rule looks at: a part of its kinds, more than one circuit to tell apart."""
    there = {name for part in ground.knockons.after.values() for name in (part.kind, part.group)}
    kinds = {name for t in rule.triggers if t.when is When.OPENED for name in t.of}
    circuits = [s for s in ground.vehicle.systems if system_kind(ground, s).id in kinds and members_after(ground, s)]
    return (not rule.where or bool(there & {*rule.where})) and (not rule.several or len(circuits) > 1)


def checkpoint_tasks(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, Task]:
    """One task for each called rule, after the work it looks at; a rule made with a hot step needs none of its own."""
    return {
        task_id(rule): _task(ground, ground.catalog.rules[rule], facts, _work_before(ground, rule, facts, book))
        for rule, facts in called.items()
        if not (ground.catalog.rules[rule].bare or _hot_tasks(ground.catalog.rules[rule], facts, book))
    }


def hold_metal(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """Let whatever cannot be undone wait for the checks that hold it back, and ask first whose answer they look at."""
    ask_first(ground, called, book)
    checks = [task_id(r) for r in called if Blocks.METAL in ground.catalog.rules[r].blocks]
    steps = (t for found in (*book.holing.values(), *book.hot.values(), book.altering) for t in found)
    for step in dict.fromkeys(steps) if checks else ():
        book.wait(step, checks)


def _hot_tasks(rule: CheckpointRule, facts: tuple[Fact, ...], book: TaskBook) -> list[str]:
    """The welding steps that are signed with a rule: it is made with them, at once."""
    return [t for f in facts for t in book.hot.get(f.subject, []) if book.tasks[t].checkpoint == rule.id]


def tasks_of(rule: str, ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> list[str]:
    """The tasks in which a rule is checked."""
    if ground.catalog.rules[rule].bare:
        return [book.looks[rule, subject] for subject in bare_points(rule, called[rule])]
    return _hot_tasks(ground.catalog.rules[rule], called[rule], book) or [task_id(rule)]


def sign_hot_steps(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """Give each hot step the check that nothing but heat calls for; a second such rule keeps its own task."""
    for rule_id, facts in called.items():
        rule = ground.catalog.rules[rule_id]
        if any(t.when not in _HOT for t in rule.triggers):
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


def _work_before(ground: Ground, rule: str, facts: tuple[Fact, ...], book: TaskBook) -> tuple[str, ...]:
    """Tasks a check comes after: all those on what it looks at, for a hole those before its paint, else every one.

    What was opened is looked at with all that belongs to it.
    """
    if Blocks.METAL in ground.catalog.rules[rule].blocks:
        return ()
    if any(not f.subject for f in facts):
        return tuple(book.tasks)
    opened = [m for f in facts if f.when is When.OPENED for m in members_after(ground, f.subject)]
    subjects = dict.fromkeys([*(f.subject for f in facts), *opened])
    found = (t for s in subjects for t in book.of_subject.get(s, []) if t not in book.finishes.get(s, []))
    mended = (t for s in (*subjects, task_id(rule)) for t in book.mended.get(s, []))
    return tuple(dict.fromkeys((*found, *mended)))


def task_id(rule: str) -> str:
    """Id of the task in which a rule is checked."""
    return f"check.{rule}"


def _task(ground: Ground, rule: CheckpointRule, facts: tuple[Fact, ...], before: tuple[str, ...]) -> Task:
    circuits = {f.subject for f in facts if f.when is When.OPENED}
    demands = [Demand(feature=state_id(c), on=True) for c in rule.conditions]
    demands += [Demand(feature=state_id(c), on=False, last=True) for c in rule.without]
    on_paper = Blocks.METAL in rule.blocks
    demands += [d for fact in facts for d in _holding(ground, rule, fact) if not on_paper]
    whole = (s for s in ground.vehicle.systems if system_kind(ground, s).id in rule.whole)
    demands += [d for system in whole for d in _whole_again(ground, system)]
    demands += _in_place(ground, facts)
    return Task(
        id=task_id(rule.id),
        title=f"Check: {rule.title}",
        work=Work.TESTING,
        minutes=paced(ground.job, Work.TESTING, rule.minutes * max(1, len(circuits))),
        hands=rule.hands,
        demands=tuple(dict.fromkeys(demands)),
        after=(*(After(task=t) for t in before), *answer_awaited(ground, rule)),
        tools=rule.tools,
        cautions=(*running_cautions(ground, rule), rule.caution),
        why=ground.reason(facts[0]),
        effect=facts[0].effect,
        checkpoint=rule.id,
        notes=answer_notes(ground, rule),
        apart=rule.apart or (bool(gates_passed(rule)) and not rule.closing),
    )


def running_cautions(ground: Ground, rule: CheckpointRule) -> tuple[str, ...]:
    """The standing caution of tests, where something runs or moves in one."""
    told = ground.catalog.cautions.get(Work.TESTING.value)
    return (told,) if told is not None and rule.involves else ()


def _holding(ground: Ground, rule: CheckpointRule, fact: Fact) -> list[Demand]:
    """What must be so, and stay so, for the check to count."""
    if fact.when is When.BROUGHT_ABOUT:
        return [Demand(feature=state_id(fact.subject), on=False, last=True)]
    if fact.when is When.OPENED:
        return [] if Blocks.FILLING in rule.blocks else _whole_again(ground, fact.subject)
    subject = _mended_by(ground, fact.subject) if fact.when is When.MENDED else fact.subject
    try:
        body = ground.final(subject)
    except KeyError:
        return []
    if body is not None:
        return [Demand(feature=body, on=True, last=True)]
    joints = [j.id for j in joints_of(ground) if j.link.id == subject]
    if joints:
        return [Demand(feature=j, on=True, last=True) for j in joints]
    # What goes for good is looked at when it is gone: before, there is nothing to see.
    return [Demand(feature=subject, on=False, last=True)] if subject in ground.handled else []


def _in_place(ground: Ground, facts: tuple[Fact, ...]) -> list[Demand]:
    """What is left open is looked for with all else of the circuits in place."""
    kinds = {w for f in facts if f.when is When.LEFT_OPEN for w in f.words}
    systems = [s for s in opened_circuits(ground) if system_kind(ground, s).id in kinds]
    bodies = [ground.final(m) for s in systems for m in filled_members(ground, s)]
    return [Demand(feature=b, on=True) for b in bodies if b is not None]


def _mended_by(ground: Ground, task: str) -> str:
    """The part or link that a mending is done to."""
    return next((t.mending.on for t in ground.job.tasks if t.id == task and t.mending is not None), "")


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
        if rule.bare:
            for subject, point in bare_points(rule_id, facts).items():
                seen = _checkpoint(ground, rule, [subject], gates_blocked(rule), each_time=False)
                found[point] = replace(seen, id=point, title=f"{rule.title}: {seen.why}")
            continue
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
        limit=rule.whole_limit,
        unit=rule.unit,
        low=rule.low,
        high=rule.high,
        blocks=tuple(b.value for b in rule.blocks),
        blocked=blocked,
        caution=rule.caution,
        source=rule.source,
        why=", ".join(names) if names else ANY_CHANGE,
        each_time=each_time,
        filled_again=rule.filled_again,
        asks=bool(rule.ask),
        also=rule.also,
    )


def _subject_name(ground: Ground, subject: str) -> str:
    if subject in ground.catalog.conditions:
        return ground.catalog.conditions[subject].name
    try:
        return ground.name(subject)
    except KeyError:
        return next((t.title for t in ground.job.tasks if t.id == subject), subject)


def passing_checks(called: dict[str, tuple[Fact, ...]], ground: Ground, book: TaskBook) -> dict[str, tuple[str, ...]]:
    """Checkpoint task -> gates it has to pass to be made, and other checks it comes after.

    One of the whole vehicle looks at what the others have left: it comes after all that can be made before it.
    """
    rules = ground.catalog.rules
    found = {
        r: (
            *(g for g in GATES if g in gates_passed(rules[r])),
            *(task_id(other) for other in rules[r].after if other in called),
        )
        for r in called
    }
    for whole in (r for r, facts in called.items() if any(not f.subject for f in facts)):
        later = _after_it(whole, rules)
        ahead = (r for r in called if r not in later and not gates_passed(rules[r]))
        found[whole] += tuple(t for r in ahead for t in tasks_of(r, ground, called, book))
    for closing in (r for r in called if rules[r].closing):
        later = _after_it(closing, rules)
        ahead = (r for r in called if r not in later and ROAD_TEST not in gates_passed(rules[r]))
        found[closing] += tuple(t for r in ahead for t in tasks_of(r, ground, called, book))
    return {task_id(r): tuple(dict.fromkeys(first)) for r, first in found.items()}


def _after_it(rule: str, rules: Mapping[str, CheckpointRule]) -> set[str]:
    """A rule, and those that come after it by their own word, through any number of others."""
    found = {rule}
    while more := {r.id for r in rules.values() if found & set(r.after)} - found:
        found |= more
    return found


def made_inside(ground: Ground, checks: Mapping[str, Task], features: Iterable[str]) -> dict[str, Task]:
    """The checks, each in the conditions it is best made in, of those that the job brings about anyway."""
    known = set(features)
    found = dict(checks)
    for i, task in checks.items():
        rule = ground.catalog.rules.get(task.checkpoint or "")
        states = [state_id(c) for c in (() if rule is None else rule.inside)]
        more = (Demand(feature=s, on=True) for s in states if s in known)
        found[i] = replace(task, demands=tuple(dict.fromkeys((*task.demands, *more))))
    return found


def filling_gates(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> dict[str, tuple[str, ...]]:
    """Circuit -> tasks before it is filled: all on its members, and the checks that block filling.

    A check of a group that has circuits of its own holds back only those.
    """
    found: dict[str, tuple[str, ...]] = {}
    for system in opened_circuits(ground):
        checks = [
            t
            for r, facts in called.items()
            if _holds_filling(ground, r, facts, system)
            for t in tasks_of(r, ground, called, book)
        ]
        members = filled_members(ground, system)
        work = [t for member in members for t in (*book.of_subject.get(member, []), *book.mended.get(member, []))]
        found[system] = tuple(dict.fromkeys((*work, *checks)))
    return found


def _holds_filling(ground: Ground, rule: str, facts: tuple[Fact, ...], system: str) -> bool:
    """Whether a circuit is filled only after a check; what is left open holds back the circuits that lead there."""
    known, kind = ground.catalog.rules[rule], system_kind(ground, system)
    if Blocks.FILLING not in known.blocks:
        return False
    if any(f.when is When.LEFT_OPEN for f in facts):
        return any(kind.id in f.words for f in facts)
    wet = {k.group for k in ground.catalog.system_kinds.values()}
    return known.group == kind.group or known.group not in wet


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
