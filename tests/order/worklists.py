"""Builders of small work lists and of random ones."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace

from planner.model.catalog import Work
from planner.model.work import After, Checkpoint, Demand, Feature, Task, Toggle, WorkList


def need(text: str) -> Demand:
    """Read "seat", "not seat", "seat!" (last)."""
    last = text.endswith("!")
    text = text.rstrip("!")
    return Demand(feature=text.removeprefix("not "), on=not text.startswith("not "), last=last)


def toggle(
    feature: str,
    on: bool,
    minutes: int = 10,
    *,
    hands: int = 1,
    demands: Iterable[str] = (),
    ways: Iterable[Iterable[str]] = (),
    after: Iterable[str] = (),
    purchases: Iterable[str] = (),
    dislike: int | None = 0,
) -> Toggle:
    return Toggle(
        feature=feature,
        on=on,
        title=f"{'Fit' if on else 'Take off'} the {feature}",
        work=Work.FITTING if on else Work.REMOVING,
        minutes=minutes,
        hands=hands,
        demands=tuple(need(d) for d in demands),
        ways=tuple(tuple(need(d) for d in way) for way in ways),
        after=tuple(after),
        purchases=tuple(purchases),
        dislike_min=dislike,
    )


def feature(
    id_: str,
    *,
    start: bool = True,
    goal: bool | None = True,
    on: Toggle | None = None,
    off: Toggle | None = None,
    on_min: int = 10,
    off_min: int = 10,
    missing: str = "",
) -> Feature:
    return Feature(
        id=id_,
        name=id_.replace("-", " "),
        start=start,
        goal=goal,
        turn_on=None if missing in {"on", "both"} else on or toggle(id_, True, on_min),
        turn_off=None if missing in {"off", "both"} else off or toggle(id_, False, off_min),
    )


def task(
    id_: str,
    minutes: int = 10,
    *,
    hands: int = 1,
    demands: Iterable[str] = (),
    after: Iterable[str | tuple[str, int]] = (),
    purchases: Iterable[str] = (),
    checkpoint: str | None = None,
    why: str = "",
) -> Task:
    lags = [(a, 0) if isinstance(a, str) else a for a in after]
    return Task(
        id=id_,
        title=id_.replace("-", " "),
        work=Work.CUTTING,
        minutes=minutes,
        hands=hands,
        demands=tuple(need(d) for d in demands),
        after=tuple(After(task=t, lag_min=lag) for t, lag in lags),
        purchases=tuple(purchases),
        checkpoint=checkpoint,
        why=why,
    )


def checkpoint(id_: str, blocked: Iterable[str]) -> Checkpoint:
    return Checkpoint(
        id=id_,
        rule=id_,
        subject="",
        title=id_,
        measure="",
        limit="",
        unit="",
        low=None,
        high=None,
        blocks=(),
        blocked=tuple(blocked),
        caution="",
        source="invented",
        why="",
    )


def work_list(
    features: Iterable[Feature], tasks: Iterable[Task], checkpoints: Iterable[Checkpoint] = (), buys: Iterable = ()
) -> WorkList:
    return WorkList(
        features={f.id: f for f in features},
        tasks={t.id: t for t in tasks},
        checkpoints={c.id: c for c in checkpoints},
        buys={b.id: b for b in buys},
    )


def random_work(seed: int, *, most_features: int = 5, most_tasks: int = 6) -> WorkList:
    """Small work list of everything at once: alternatives, waits, last demands, goals or none, missing toggles."""
    dice = random.Random(seed)
    names = [f"p{i}" for i in range(dice.randint(1, most_features))]
    tasks = [f"t{i}" for i in range(dice.randint(1, most_tasks))]
    last_share = dice.choice([0.0, 0.05, 0.2])
    want_share = dice.choice([0.15, 0.35])

    def wants(own: str | None, share: float) -> list[str]:
        found = []
        for name in names:
            if name != own and dice.random() < share:
                mark = "!" if dice.random() < last_share else ""
                found.append(("" if dice.random() < 0.5 else "not ") + name + mark)
        return found

    def some_toggle(name: str, on: bool) -> Toggle:
        ways = [w for w in (wants(name, 0.4) for _ in range(dice.choice([0, 0, 2, 3]))) if w]
        after = [t for t in tasks if dice.random() < 0.06]
        minutes = dice.choice([0, 1, 2, 3, 5, 8, 13])
        return toggle(
            name, on, minutes, hands=dice.choice([1, 1, 2]), demands=wants(name, want_share / 2), ways=ways, after=after
        )

    features = []
    for name in names:
        start = dice.random() < 0.6
        goal = dice.choice([start, start, start, not start, None])
        missing = dice.choice([""] * 9 + ["on", "off"])
        made = feature(name, start=start, goal=goal, on=some_toggle(name, True), off=some_toggle(name, False))
        features.append(
            Feature(
                id=name,
                name=name,
                start=start,
                goal=goal,
                turn_on=None if missing == "on" else made.turn_on,
                turn_off=None if missing == "off" else made.turn_off,
            )
        )
    made_tasks = [
        task(t, demands=wants(None, want_share), after=[a for a in tasks[:i] if dice.random() < 0.25])
        for i, t in enumerate(tasks)
    ]
    dice.shuffle(made_tasks)
    return work_list(features, made_tasks)


def with_wishes(work: WorkList, seed: int) -> WorkList:
    """Put a price, or a ban, on some toggles."""
    dice = random.Random(f"wishes {seed}")
    often = dice.choice([0.1, 0.4])

    def wished(toggle: Toggle | None) -> Toggle | None:
        dislike = dice.choice([3, 10, 40, None]) if dice.random() < often else 0
        return replace(toggle, dislike_min=dislike) if toggle is not None else None

    features = {p: replace(f, turn_on=wished(f.turn_on), turn_off=wished(f.turn_off)) for p, f in work.features.items()}
    return replace(work, features=features)
