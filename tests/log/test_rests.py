"""What rests on a line of the log, against a replay of the same log with the line and without it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random

import pytest
from random_logs import random_work
from test_fold import agreed_of

from planner.log.fold import fold
from planner.log.ready import piece_of_key
from planner.log.rests import made_for, resting_on
from planner.model.log import ArrivedLine, DoneLine, Entry, LostLine
from planner.model.standing import Agreed
from planner.model.steps import step_of_key
from planner.model.words import Work
from planner.model.work import After, Buy, Task, WorkList


def in_any_order(rng: Random, work: WorkList) -> list[DoneLine]:
    """Every task once and each part off and on by turns, in any order that has a part's own turns in a row."""
    turns = {f: rng.randint(0, 4) for f in work.features}
    deck = [*work.tasks, *(f for f, times in turns.items() for _ in range(times))]
    rng.shuffle(deck)
    times: dict[str, int] = {}
    keys = []
    for ref in deck:
        if ref in work.features:
            times[ref] = times.get(ref, 0) + 1
            keys.append(f"{ref}:{'off' if times[ref] % 2 else 'on'}#{(times[ref] + 1) // 2}")
        else:
            keys.append(ref)
    return [DoneLine(n=n, key=k, guess_min=5, work="cutting") for n, k in enumerate(keys, start=1)]


def lacking(agreed: Agreed, lines: list[DoneLine], key: str) -> set[str]:
    """What a step lacks of tasks done and of states, when just these lines are there, read off one by one."""
    done: set[str] = set()
    states = {f.id: f.start for f in agreed.work.features.values()}
    for line in lines:
        step = step_of_key(line.key)
        if step.on is None:
            done.add(step.ref)
        else:
            states[step.ref] = step.on
    piece = piece_of_key(agreed, key)
    assert piece is not None
    waits = {a.task for a in piece.after} if isinstance(piece, Task) else set(piece.after)
    return (waits - done) | {d.feature for d in piece.demands if states[d.feature] is not d.on}


@pytest.mark.parametrize("seed", range(40))
def test_a_step_rests_on_a_line_when_it_lacks_something_without_it(seed: int) -> None:
    """A state that a later turn brought about again is no need of the first: without it there is no such turn."""
    rng = Random(seed)
    work = random_work(rng)
    agreed = agreed_of(work)
    lines = in_any_order(rng, work)
    standing = fold(lines, None)
    for taken in lines:
        step = step_of_key(taken.key)
        expected = []
        for line in lines[taken.n :]:
            before = lines[: line.n - 1]
            turned_since = any(step_of_key(e.key).ref == step.ref for e in before[taken.n :]) and step.on is not None
            without = [e for e in before if e is not taken]
            if not turned_since and lacking(agreed, without, line.key) - lacking(agreed, before, line.key):
                expected.append(line.key)
        assert list(resting_on(agreed, standing, taken)) == expected, (seed, taken.key)


def test_a_parcel_is_needed_by_what_is_made_of_it_and_a_day_lost_by_nothing() -> None:
    work = random_work(Random(1))
    first, *_ = work.tasks
    tasks = {i: replace(t, purchases=("fluid",)) if i == first else t for i, t in work.tasks.items()}
    fluid = Buy(id="fluid", what="fluid", price=1.0, lead_days=2, for_part="")
    agreed = agreed_of(replace(work, tasks=tasks, buys={"fluid": fluid}))
    parcel = ArrivedLine(n=1, buy="fluid")
    lost = LostLine(n=2, day=date(2027, 1, 9))
    lines: list[Entry] = [parcel, lost, *(replace(e, n=e.n + 2) for e in in_any_order(Random(1), work))]
    standing = fold(lines, None)
    assert resting_on(agreed, standing, parcel) == (first,)
    assert resting_on(agreed, standing, lost) == ()


def test_what_made_a_thing_is_its_own_making_work_before_and_after_the_trial() -> None:
    """By the trade: marked, cut, tried, welded. Labels and the other part's work made nothing of it."""
    sorts = {
        "tank.1": Work.PLANNING,
        "tank.2": Work.MARKING,
        "tank.3": Work.CUTTING,
        "tank.4": Work.TRIAL_FIT,
        "tank.5": Work.WELDING,
        "shelf.1": Work.CUTTING,
        "try-cap": Work.TRIAL_FIT,
    }
    tasks = {i: Task(id=i, title=i, work=w, minutes=5, effect="new:x") for i, w in sorts.items()}
    tasks["try-cap"] = replace(tasks["try-cap"], effect="", after=(After(task="tank.5"),))
    tasks["tank.5"] = replace(tasks["tank.5"], after=(After(task="tank.3"), After(task="shelf.1")))
    work = WorkList(features={}, tasks=tasks, checkpoints={}, buys={})
    lines = [DoneLine(n=n, key=k, guess_min=5, work="cutting") for n, k in enumerate(reversed(tasks), start=1)]
    agreed = agreed_of(work)
    assert made_for(agreed, fold(lines, agreed.basis), "tank.4") == ("tank.2", "tank.3", "tank.5")
    # A trial of the owner's own is of what it comes after, through any number of steps.
    assert made_for(agreed, fold(lines, agreed.basis), "try-cap") == ("tank.3", "tank.5", "shelf.1")
    without = [e for e in lines if e.key != "tank.3"]
    assert made_for(agreed, fold(without, agreed.basis), "tank.4") == ("tank.2", "tank.5")
