"""Small random work lists with tests and gates, and logs of people who work through them and do not always do well."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from random import Random
from typing import Any

from planner.model.catalog import Work
from planner.model.log import (
    DoneLine,
    Entry,
    FailedLine,
    NoteLine,
    SettledLine,
    SignedLine,
    SkippedLine,
    UndoLine,
    Verdict,
)
from planner.model.work import After, Checkpoint, Demand, Feature, Task, Toggle, WorkList

BEGIN = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001  # wall-clock time of one workshop
GATES = ("first-move", "road-test")


def random_work(rng: Random) -> WorkList:
    """Parts that come off and go back, tasks in a row, checks that rest on parts, and the two last gates."""
    names = [f"p{i}" for i in range(rng.randint(1, 4))]
    features = {name: asking(rng, feature(name), names) for name in names}
    tasks: dict[str, Task] = {}
    points: dict[str, Checkpoint] = {}
    for i in range(rng.randint(1, 4)):
        tasks[f"t{i}"] = task(rng, f"t{i}", list(tasks), list(features), test=False)
    for i in range(rng.randint(1, 4)):
        points[f"c{i}"] = point(f"c{i}", rng)
        made = task(rng, f"check.c{i}", list(tasks), list(features), test=True)
        tasks[made.id] = replace(made, checkpoint=f"c{i}")
    whole = tuple(Demand(feature=f, on=True) for f in features)
    moving = [t.id for t in tasks.values() if t.checkpoint is None or "moving" in points[t.checkpoint].blocks]
    tasks["first-move"] = gate("first-move", moving, whole)
    tasks["road-test"] = gate("road-test", [*tasks], tuple(replace(d, last=True) for d in whole))
    return WorkList(features=features, tasks=tasks, checkpoints=points, buys={})


def feature(name: str) -> Feature:
    """A part that is fitted at the start and at the end."""

    def toggle(*, on: bool) -> Toggle:
        title = f"{'Fit' if on else 'Take off'} {name}"
        return Toggle(feature=name, on=on, title=title, work=Work.PLANNING, minutes=10, hands=1)

    return Feature(
        id=name,
        name=f"{name} fitted",
        start=True,
        goal=True,
        turn_on=toggle(on=True),
        turn_off=toggle(on=False),
        subject=name,
    )


def asking(rng: Random, known: Feature, parts: list[str]) -> Feature:
    """The same part, whose coming off and going back may want other parts on or off, by one way or another."""
    others = [p for p in parts if p != known.id]

    def wishes() -> tuple[Demand, ...]:
        asked = rng.sample(others, min(len(others), rng.choice([0, 0, 1])))
        return tuple(Demand(feature=p, on=rng.random() < 0.5) for p in asked)

    on, off = (replace(t, demands=wishes(), ways=rng.choice([(), (wishes(), wishes())])) for t in known.toggles)
    return replace(known, turn_on=on, turn_off=off)


def task(rng: Random, name: str, earlier: list[str], parts: list[str], *, test: bool) -> Task:
    """A task after some earlier ones, done with some parts on or off; a test rests for good on those it wants on."""
    asked = rng.sample(parts, rng.randint(0, min(2, len(parts))))
    return Task(
        id=name,
        title=name,
        work=Work.TESTING if test else Work.PLANNING,
        minutes=20,
        demands=tuple(Demand(feature=p, on=test or rng.random() < 0.5, last=test) for p in asked),
        after=tuple(After(task=t) for t in rng.sample(earlier, rng.randint(0, min(2, len(earlier))))),
    )


def gate(name: str, after: list[str], demands: tuple[Demand, ...]) -> Task:
    """A last gate."""
    return Task(
        id=name,
        title=name,
        work=Work.TESTING,
        minutes=10,
        demands=demands,
        after=tuple(After(task=t) for t in after),
    )


def point(name: str, rng: Random) -> Checkpoint:
    """A checkpoint with a number or without."""
    low: Any = rng.choice([None, 5.0])
    return Checkpoint(
        id=name,
        rule=name,
        subject="",
        title=name,
        measure="look",
        limit="at least 5",
        unit="mm",
        low=low,
        high=None,
        blocks=("moving", "road") if rng.random() < 0.6 else ("road",),
        blocked=(),
        caution="",
        source="",
        why="",
    )


def random_log(rng: Random, work: WorkList, length: int) -> tuple[Entry, ...]:
    """Somebody works through it: mostly the right thing, now and then a part off again, a failure, a line undone."""
    lines: list[Entry] = []
    counted: dict[tuple[str, bool], int] = {}
    order = list(work.tasks)
    trouble = rng.choice([1.0, 0.4, 0.1])
    for n in range(1, length + 1):
        at = BEGIN + timedelta(minutes=10 * n)
        lines.append(replace(one_line(rng, work, order, lines, counted, trouble), n=n, at=at))
    return tuple(lines)


def one_line(
    rng: Random,
    work: WorkList,
    order: list[str],
    lines: list[Entry],
    counted: dict[tuple[str, bool], int],
    trouble: float,
) -> Entry:
    """Any line, tasks in their order most of the time: the more so the less ``trouble`` there is (1 is most)."""
    dice = rng.random() / trouble
    if dice < 0.08 and lines:
        return UndoLine(cancels=rng.choice(lines).n)
    if dice < 0.22:
        return change(rng, work, counted)
    name = order[sum(isinstance(e, DoneLine | SignedLine) for e in lines) % len(order)]
    if rng.random() < 0.2 * trouble:
        name = rng.choice(order)
    return word_on(rng, work.tasks[name], order, dice)


def word_on(rng: Random, known: Task, order: list[str], dice: float) -> Entry:
    """A line about one task: that it failed, is needless, is done, or what its check came to."""
    if dice < 0.27:
        return FailedLine(key=known.id, why="short", redo=tuple(rng.sample(order, rng.randint(0, 1))))
    if dice < 0.33:
        if dice < 0.30 and known.checkpoint is None:
            return SkippedLine(key=known.id, why="not there")
        return aside(dice)
    if known.checkpoint is None:
        return DoneLine(key=known.id, guess_min=20, work=known.work.value)
    verdict = rng.choices(list(Verdict), [8, 1, 1])[0]
    redo = tuple(rng.sample(order, rng.randint(0, 1))) if verdict is Verdict.FAILED else ()
    return SignedLine(
        checkpoint=known.checkpoint, key=known.id, verdict=verdict, limit="at least 5", text="6", by="AB", redo=redo
    )


def aside(dice: float) -> Entry:
    """A line that takes no step back and does none: a note, an answer."""
    if dice < 0.31:
        return NoteLine(text="rust")
    return SettledLine(question="p0~p1", answer="12 mm", text="the gap is to be measured", why="5 mm, 10 to be kept")


def change(rng: Random, work: WorkList, counted: dict[tuple[str, bool], int]) -> DoneLine:
    """A part comes off or goes back, whichever is its turn."""
    name = rng.choice(list(work.features))
    on = counted.get((name, True), 0) < counted.get((name, False), 0)
    counted[name, on] = counted.get((name, on), 0) + 1
    key = f"{name}:{'on' if on else 'off'}#{counted[name, on]}"
    return DoneLine(key=key, guess_min=10, work=Work.PLANNING.value)
