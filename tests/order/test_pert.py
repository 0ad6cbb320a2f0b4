"""Three-point estimates: what the textbook tables do not show."""

from __future__ import annotations

import pytest

from planner.order.pert import ThreePoint, chance_all_by, path_of, paths_of


def test_durations_must_rise() -> None:
    with pytest.raises(ValueError, match="durations must rise: 3, 2, 4"):
        ThreePoint(least=3, likely=2, most=4)


def test_a_sure_duration_has_no_doubt() -> None:
    path = path_of({"a": ThreePoint(least=2, likely=2, most=2)}, ["a"])
    assert (path.mean, path.variance) == (2, 0)
    assert (path.chance_by(1.9), path.chance_by(2)) == (0, 1)


def test_all_paths_of_a_diamond() -> None:
    points = {n: ThreePoint(least=m, likely=m, most=m) for n, m in {"a": 1, "b": 5, "c": 2, "d": 1}.items()}
    found = paths_of(points, {"b": ["a"], "c": ["a"], "d": ["b", "c"]})
    assert [(p.names, p.mean) for p in found] == [(("a", "b", "d"), 7), (("a", "c", "d"), 4)]


def test_rings_are_told() -> None:
    points = {n: ThreePoint(least=1, likely=1, most=1) for n in "abc"}
    with pytest.raises(ValueError, match="in a ring"):
        paths_of(points, {"a": ["b"], "b": ["a"], "c": ["b"]})
    with pytest.raises(ValueError, match="in a ring: a -> b -> a"):
        paths_of(points, {"a": ["b", "c"], "b": ["a"]})
    assert paths_of({}, {}) == ()


def test_no_path_no_doubt() -> None:
    assert chance_all_by([], 1) == 1
