"""The scheduling engine against an exhaustive search, an independent checker and itself in other clothes."""

from __future__ import annotations

import random

import pytest
from rcpsp_reference import faults, finish_of, least_finish, random_project, shuffled

from planner.order.halt import Halt
from planner.order.project import Activity, Project, Schedule, Taken
from planner.order.rcpsp import schedule


def check(project: Project, found: Schedule) -> None:
    if found.starts or not project.activities:
        assert faults(project, found.starts) == []
        assert found.finish == finish_of(project, found.starts)
        assert found.bound <= found.finish
    else:
        assert found.finish == project.horizon + 1
        assert found.bound <= project.horizon + 1


def compare_with_all(seeds: range) -> dict[str, int]:
    seen = {"feasible": 0, "infeasible": 0}
    for seed in seeds:
        dice = random.Random(seed)
        project = random_project(dice, 7, dice.choice([6, 10, 14]), 4)
        found = schedule(project, limit_s=20)
        check(project, found)
        least = least_finish(project)
        seen["infeasible" if least is None else "feasible"] += 1
        assert found.finish == (project.horizon + 1 if least is None else least), seed
        assert found.bound == found.finish, seed
    return seen


def test_small_projects_equal_an_exhaustive_search() -> None:
    seen = compare_with_all(range(120))
    assert min(seen.values()) > 10


@pytest.mark.slow
def test_many_small_projects_equal_an_exhaustive_search() -> None:
    seen = compare_with_all(range(1000, 4000))
    assert min(seen.values()) > 300


def fuzz(seeds: range) -> int:
    with_starts = 0
    for seed in seeds:
        dice = random.Random(seed)
        horizon = dice.choice([20, 100, 1000, 1_000_000])
        project, _ = shuffled(random_project(dice, 30, horizon, max(horizon // 15, 1), tight=0.6), dice)
        found = schedule(project, limit_s=0.1)
        check(project, found)
        with_starts += bool(found.starts)
    return with_starts


def test_answers_to_random_projects_are_valid() -> None:
    assert fuzz(range(60)) > 20


@pytest.mark.slow
def test_answers_to_two_thousand_random_projects_are_valid() -> None:
    assert fuzz(range(10_000, 12_000)) > 700


def roomy(seed: int, most: int = 40) -> Project:
    """A project that has a schedule but no easy one."""
    dice = random.Random(seed)
    activities = []
    for k in range(most):
        before = dice.sample(range(max(0, k - 12), k), min(k, 2))
        uses = tuple(dice.choice([0, 3, 5, 7]) for _ in range(3))
        activities.append(Activity(duration=dice.randint(1, 10), uses=uses, before=dict.fromkeys(before, 0)))
    return Project(activities=tuple(activities), capacity=(10, 10, 10), horizon=500)


@pytest.mark.parametrize("workers", [1, 2])
def test_the_same_input_gives_the_same_answer(workers: int) -> None:
    project = roomy(3)
    assert schedule(project, limit_s=0.3, workers=workers) == schedule(project, limit_s=0.3, workers=workers)


def test_two_workers_for_a_time_do_the_same_as_one_for_twice_the_time() -> None:
    for seed in (4, 5):
        project = roomy(seed)
        assert schedule(project, limit_s=0.3, workers=2) == schedule(project, limit_s=0.6, workers=1)


def test_the_numbering_does_not_matter_to_the_least_finish() -> None:
    for seed in range(12):
        dice = random.Random(seed)
        project = random_project(dice, 9, 40, 6)
        found = schedule(project, limit_s=20)
        moved, _ = shuffled(project, dice)
        assert schedule(moved, limit_s=20).finish == found.finish


def scaled(project: Project, by: int) -> Project:
    """All times so many times as long, so that every start can be at a multiple."""
    return Project(
        activities=tuple(
            Activity(
                duration=a.duration * by,
                uses=a.uses,
                before={i: lag * by for i, lag in a.before.items()},
                windows=None if a.windows is None else tuple((b * by, e * by) for b, e in a.windows),
            )
            for a in project.activities
        ),
        capacity=project.capacity,
        horizon=project.horizon * by,
        taken=tuple(
            Taken(resource=t.resource, begin=t.begin * by, end=t.end * by, amount=t.amount) for t in project.taken
        ),
    )


def test_the_unit_of_time_does_not_matter() -> None:
    for seed in range(25):
        project = random_project(random.Random(seed), 7, 14, 4)
        least, found = schedule(project, limit_s=20), schedule(scaled(project, 100_000), limit_s=20)
        if least.starts:
            assert found.finish == 100_000 * least.finish, seed
        else:
            assert not found.starts, seed


def sessions(count: int, every: int, length: int, duration: int) -> tuple[tuple[int, int], ...]:
    return tuple((k * every, k * every + length - duration) for k in range(count))


def test_two_years_of_evening_sessions_in_minutes() -> None:
    # 20 tasks of 100 min, one pair of hands, 240 min every second day: two a session, so the tenth session holds
    # the last two and its second task ends 200 min into it.
    windows = sessions(360, 2880, 240, 100)
    task = Activity(duration=100, uses=(1,), windows=windows)
    project = Project(activities=(task,) * 20, capacity=(1,), horizon=2 * 365 * 1440)
    found = schedule(project, limit_s=5)
    check(project, found)
    assert found.finish == 9 * 2880 + 200
    assert found.proved


def test_a_block_taken_puts_the_work_off() -> None:
    task = Activity(duration=3, uses=(1,))
    blocked = Taken(resource=0, begin=2, end=5, amount=1)
    found = schedule(Project(activities=(task,), capacity=(1,), horizon=20, taken=(blocked,)), limit_s=1)
    assert (found.starts, found.finish, found.bound) == ((5,), 8, 8)


def test_more_taken_than_there_is_hurts_nobody_who_uses_none_of_it() -> None:
    task = Activity(duration=3, uses=(0,))
    blocked = Taken(resource=0, begin=0, end=20, amount=5)
    assert schedule(Project(activities=(task,), capacity=(1,), horizon=20, taken=(blocked,)), limit_s=1).finish == 3


def test_what_can_never_be_done_is_proved_to_be_so() -> None:
    greedy = Activity(duration=1, uses=(2,))
    late = Activity(duration=5, uses=(0,), windows=((6, 9),))
    for activity in (greedy, late):
        found = schedule(Project(activities=(activity,), capacity=(1,), horizon=10), limit_s=1)
        assert (found.starts, found.finish, found.bound) == ((), 11, 11)
        assert not found.proved


def test_nothing_to_do_takes_no_time() -> None:
    found = schedule(Project(activities=(), capacity=(1,), horizon=10), limit_s=1)
    assert (found.starts, found.finish, found.bound) == ((), 0, 0)


def test_a_hint_is_never_made_worse() -> None:
    project = roomy(6)
    good = schedule(project, limit_s=0.5)
    assert schedule(project, limit_s=0, hint=good.starts).finish <= good.finish
    worse = (0,) * len(project.activities)
    check(project, schedule(project, limit_s=0.1, hint=worse))


def test_a_halt_before_the_start_gives_a_schedule_without_search() -> None:
    halt = Halt()
    halt.ask()
    project = roomy(7)
    found = schedule(project, limit_s=1000, workers=2, halt=halt)
    check(project, found)
    assert found.starts


@pytest.mark.parametrize(
    ("activities", "words"),
    [
        ([Activity(duration=1, uses=(), before={1: 0}), Activity(duration=1, uses=(), before={0: 0})], "ring: 0, 1"),
        ([Activity(duration=1, uses=(), before={3: 0})], "not there"),
        ([Activity(duration=-1, uses=())], "below nothing"),
        ([Activity(duration=1, uses=(1,))], "uses 1 resources, there are 0"),
        ([Activity(duration=1, uses=(), windows=((5, 8), (7, 9)))], "windows"),
    ],
)
def test_a_wrong_project_is_refused_in_words(activities: list[Activity], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        schedule(Project(activities=tuple(activities), capacity=(), horizon=10), limit_s=1)


def test_the_checker_sees_each_kind_of_fault() -> None:
    first = Activity(duration=2, uses=(1,))
    second = Activity(duration=2, uses=(1,), before={0: 1}, windows=((0, 4),))
    blocked = Taken(resource=0, begin=8, end=9, amount=1)
    project = Project(activities=(first, second), capacity=(1,), horizon=12, taken=(blocked,))
    assert faults(project, (0, 3)) == []
    assert faults(project, (0, 2)) == ["1 does not wait for 0"]
    assert faults(project, (0, 5)) == ["1 starts outside its windows"]
    assert "too much of 0 at 8" in faults(project, (7, 10))
    assert "0 is not between 0 and the horizon" in faults(project, (11, 3))
