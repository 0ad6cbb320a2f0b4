"""PERT on a published exercise of three paths side by side (advertising firm; coursehero.com, file p2vl9tn).

Means and deviations of the paths are from the source; the chance that all are done by 24 was worked out apart, as the
product of the three. The longest path alone would say 0.9686: near-critical paths count.
"""

from __future__ import annotations

import pytest

from planner.order.pert import ThreePoint, chance_all_by, paths_of

TABLE = {
    "A": ("", 5, 6, 7),
    "B": ("", 8, 8, 11),
    "C": ("A", 6, 8, 11),
    "D": ("", 9, 12, 15),
    "E": ("C", 5, 6, 9),
    "F": ("D", 5, 6, 7),
    "G": ("F", 2, 3, 7),
    "H": ("B", 4, 4, 5),
    "I": ("H", 5, 7, 8),
}
PATHS = {
    "".join(p.names): p
    for p in paths_of(
        {n: ThreePoint(least=a, likely=m, most=b) for n, (_, a, m, b) in TABLE.items()},
        {n: list(row[0]) for n, row in TABLE.items()},
    )
}
# Path: mean, deviation, chance by 24.
EXPECTED = {"ACE": (20.5, 1.118, 0.9991), "DFG": (21.5, 1.344, 0.9686), "BHI": (19.5, 0.726, 1.0)}


def test_the_three_paths_the_longest_first() -> None:
    assert list(PATHS) == ["DFG", "ACE", "BHI"]


@pytest.mark.parametrize("name", EXPECTED)
def test_mean_deviation_and_chance(name: str) -> None:
    mean, deviation, chance = EXPECTED[name]
    assert PATHS[name].mean == pytest.approx(mean)
    assert PATHS[name].deviation == pytest.approx(deviation, abs=0.0005)
    assert PATHS[name].chance_by(24) == pytest.approx(chance, abs=5e-5)


def test_chance_that_all_are_done() -> None:
    assert chance_all_by(PATHS.values(), 24) == pytest.approx(0.9677, abs=5e-5)
    assert chance_all_by(PATHS.values(), 24) < PATHS["DFG"].chance_by(24)
