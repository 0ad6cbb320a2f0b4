"""Critical path: what the textbook tables do not show."""

from __future__ import annotations

import random

import pytest

from planner.order import Window, critical_path


def test_a_ring_is_named() -> None:
    with pytest.raises(ValueError, match=r"ring: a -> b -> c -> a"):
        critical_path({"a": 1, "b": 1, "c": 1, "d": 1}, {"b": ["a"], "c": ["b"], "a": ["c"], "d": ["a"]})


def test_an_activity_that_waits_for_itself() -> None:
    with pytest.raises(ValueError, match=r"ring: a -> a"):
        critical_path({"a": 1}, {"a": ["a"]})


def test_unknown_activity_and_bad_duration() -> None:
    with pytest.raises(ValueError, match="`x` has no duration"):
        critical_path({"a": 1}, {"a": ["x"]})
    with pytest.raises(ValueError, match="`a` has a duration below nothing: -1"):
        critical_path({"a": -1}, {})


def test_nothing_and_nothing_before() -> None:
    assert critical_path({}, {}) == {}
    only = Window(earliest_start=0, earliest_finish=3, latest_start=2, latest_finish=5, float_=2)
    assert critical_path({"long": 5, "short": 3}, {})["short"] == only


def test_longest_chain_by_listing_all_chains() -> None:
    dice = random.Random(5)
    for _ in range(60):
        names = [f"a{i}" for i in range(dice.randint(1, 7))]
        durations = {n: dice.randint(0, 9) for n in names}
        after = {n: [m for m in names[:i] if dice.random() < 0.4] for i, n in enumerate(names)}
        into = {n: [m for m in names if n in after[m]] for n in names}

        def longest(name: str, ways: dict[str, list[str]], durations: dict[str, int] = durations) -> int:
            return durations[name] + max((longest(m, ways) for m in ways[name]), default=0)

        windows = critical_path(durations, after)
        end = max(longest(n, after) for n in names)
        for n in names:
            assert windows[n].earliest_finish == longest(n, after)
            assert windows[n].latest_start == end - longest(n, into)
            assert windows[n].float_ == windows[n].latest_finish - windows[n].earliest_finish
