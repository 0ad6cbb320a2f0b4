"""The fold of a log against a plain reading of the same lines, and the road gate on random logs."""

from __future__ import annotations

from datetime import date
from random import Random

import pytest
from plain_reading import PlainReading
from random_logs import random_log, random_work

from planner.log.entries import entry_of, line_of
from planner.log.fold import fold
from planner.log.road import road_of
from planner.model.effects import Proof
from planner.model.log import Entry
from planner.model.plan import Plan, Strip
from planner.model.standing import Agreed, Basis
from planner.model.work import WorkList


def agreed_of(work: WorkList) -> Agreed:
    """An agreed plan of every task, in no session."""
    plan = Plan(
        strip=Strip(proof=Proof.PROVED, steps=(), cost=0, bound=0),
        sessions=(),
        slots=(),
        why=(),
        order_by={},
        arrives={},
        finish=None,
        work_min=0,
    )
    return Agreed(
        made=date(2026, 5, 1),
        project="test",
        job="job",
        option=None,
        inputs={},
        pace={},
        homes={},
        work=work,
        plan=plan,
        keys=tuple(work.tasks),
        named={t: i for i, t in enumerate(work.tasks, start=1)},
    )


def compare(seed: int) -> bool:
    """Compare fold and plain reading of one random log; gives whether the road is free."""
    rng = Random(seed)
    work = random_work(rng)
    entries = random_log(rng, work, rng.randint(0, 6 * len(work.tasks)))
    standing = fold(entries, Basis(work=work, keys=tuple(work.tasks)))
    plain = PlainReading(entries, work)
    assert {t for t in work.tasks if plain.stands(t)} == standing.finished, seed
    for feature in work.features.values():
        assert standing.states.get(feature.id, feature.start) is plain.state(feature.id), seed
    road = road_of(agreed_of(work), standing)
    free = not road.road
    assert free is plain.road(), seed
    if free:
        assert not road.moving, seed
        assert not road.testing, seed
    return free


def test_any_log_folds_to_what_a_plain_reading_says() -> None:
    free = sum(compare(seed) for seed in range(600))
    # Neither answer may be so rare that the test says nothing about it.
    assert 30 < free < 570


@pytest.mark.slow
def test_the_road_gate_on_ten_thousand_random_logs() -> None:
    free = sum(compare(seed) for seed in range(1_000, 11_000))
    assert 500 < free < 9_500


def test_every_line_comes_back_from_plain_data() -> None:
    for seed in range(60):
        rng = Random(seed)
        for entry in random_log(rng, random_work(rng), 30):
            data = {"v": 1, "n": entry.n, "at": entry.at.isoformat(), **line_of(entry)}
            back: Entry = entry_of(data)
            assert back == entry
