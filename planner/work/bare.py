"""Welds and cut edges: each looked at by itself, bare, before paint, a doubler or a part covers it."""

from __future__ import annotations

from dataclasses import replace

from planner.knockon import Fact
from planner.model.catalog import CheckpointRule, When, Work
from planner.model.job import OwnTask
from planner.model.work import After, Demand, Task
from planner.work.bodies import Ground
from planner.work.pace import paced
from planner.work.tasks import TaskBook, cut_of

PAINTED = (
    "once it passes, prime and paint the bare metal in the same go, the far side too, dry before a part covers it and "
    "long before another spark; what cannot be reached is waxed"
)
_PAINT_MIN = 15
"""To brush primer and paint on what was mended: starting guess."""
_PAINT = ("primer", "paint", "brush")


def look_bare(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """Add the look at each thing that a rule wants seen bare; its paint waits for it, and what would cover it.

    Of a hole the step of its template by which its welds are looked at is that look; its edge is looked at before
    anything is welded over it.
    """
    for rule in (r for i in called if (r := ground.catalog.rules[i]).bare):
        for subject, fact in _subjects(called[rule.id]).items():
            _look(ground, book, rule, subject, fact)


def bare_point(rule: str, subject: str) -> str:
    """The checkpoint of one thing that is looked at bare."""
    return f"{rule}.{subject}"


def bare_points(rule: str, facts: tuple[Fact, ...]) -> dict[str, str]:
    """Each thing that a rule wants seen bare, with its checkpoint."""
    return {s: bare_point(rule, s) for s in _subjects(facts)}


def _subjects(facts: tuple[Fact, ...]) -> dict[str, Fact]:
    return {f.subject: f for f in reversed(facts)}


def _look(ground: Ground, book: TaskBook, rule: CheckpointRule, subject: str, fact: Fact) -> None:
    steps = [book.tasks[t] for t in book.of_subject.get(subject, [])]
    edge = fact.when is When.CUT and cut_of(ground, subject) is not None
    covers = _covers(steps, edge=edge)
    ahead = [t for t in (_before(steps, covers) if edge else steps) if t.id not in covers]
    point = bare_point(rule.id, subject)
    minutes = paced(ground.job, Work.TESTING, rule.minutes)
    seen = next((t for t in ahead if t.work is Work.TESTING), None) if cut_of(ground, subject) and not edge else None
    if seen is not None:
        minutes = max(seen.minutes, minutes)
        signed = replace(seen, checkpoint=point, minutes=minutes, cautions=(*seen.cautions, rule.caution))
        book.tasks[seen.id] = signed
        book.looks[rule.id, subject] = seen.id
        return
    own = next((t for t in ground.job.tasks if t.id == subject), None)
    called = own.title if own is not None else ground.name(subject) if cut_of(ground, subject) is None else subject
    mended = own is not None and own.mending is not None
    task = Task(
        id=f"check.{point}",
        title=f"Check: {rule.title}: {called}",
        work=Work.TESTING,
        minutes=minutes + (paced(ground.job, Work.FINISHING, _PAINT_MIN) if mended else 0),
        hands=rule.hands,
        demands=_bared(ground, subject, own, steps),
        after=tuple(After(task=t.id) for t in ahead),
        tools=(*rule.tools, *_PAINT) if mended else rule.tools,
        cautions=(rule.caution,),
        notes=(PAINTED,) if mended else (),
        why=ground.reason(fact),
        effect=fact.effect,
        checkpoint=point,
    )
    book.tasks[task.id] = task
    book.looks[rule.id, subject] = task.id
    for cover in covers:
        book.wait(cover, [task.id])


def _covers(steps: list[Task], *, edge: bool) -> list[str]:
    """What covers what is looked at: paint after the last weld; over the edge of a hole the first weld as well."""
    welds = [n for n, t in enumerate(steps) if t.work is Work.WELDING]
    joined = -1 if edge or not welds else welds[-1]
    paints = [t.id for t in steps[joined + 1 :] if t.work is Work.FINISHING]
    return [*(steps[n].id for n in welds[:1]), *paints] if edge else paints


def _before(steps: list[Task], covers: list[str]) -> list[Task]:
    """The steps up to the first that covers."""
    first = next((n for n, t in enumerate(steps) if t.id in covers), len(steps))
    return steps[:first]


def _bared(ground: Ground, subject: str, own: OwnTask | None, steps: list[Task]) -> tuple[Demand, ...]:
    """A part is in hand; a hole has nothing over it; a spot on the vehicle is as free as while it was mended."""
    if cut_of(ground, subject) is not None:
        return tuple(Demand(feature=b, on=False) for b in sorted(ground.knockons.bare[subject]) if b in ground.handled)
    if own is None:
        body = ground.final(subject)
        return () if body is None else (Demand(feature=body, on=False),)
    return tuple(d for t in steps for d in t.demands if not d.on and d.feature in ground.handled)
