"""The next-best answers against every sound combination, ranked by plain enumeration."""

from __future__ import annotations

import math

import pytest
from brute_ranking import Ranking
from garage import catalog, job, link, mover, part, space, vehicle, wall
from random_vehicles import choice_case

from planner.knockon import find_knockons
from planner.knockon.arrangement import Arrangement, fates_of
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.homes import HomeSearch
from planner.model.effects import Proof
from planner.model.job import Add, Job
from planner.model.vehicle import Vehicle

DEFAULT, ALL = 60, 260
MOST = 15_000
OTHERS = 3


def on_the_grid(v: Vehicle, j: Job) -> tuple[HomeSearch, list[Arrangement]]:
    """The answer and its next-best ones among the homes on the grid, as far as these go."""
    asked = asked_by(v, j)
    search = HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth)
    found = [search.over_grid(60.0)]
    cuts: list[dict[str, str]] = []
    while found[-1].proof is not Proof.NONE and len(found) <= OTHERS and fates_of(found[-1], search.base):
        cuts.append(fates_of(found[-1], search.base))
        search.budget.start(60.0)
        found.append(search.best_listed(tuple(cuts)))
        if search.offers.in_contact():
            return search, found[:-1]
    return search, [a for a in found if a.proof is not Proof.NONE]


def ranking_agrees(seed: int) -> int:
    """How many answers of a case were compared."""
    v, j = choice_case(seed)
    brute = Ranking(v, j, catalog())
    if math.prod(len(brute.choices(i)) or 1 for i in brute.order) > MOST:
        return 0
    search, found = on_the_grid(v, j)
    if not found:
        return 0
    ranked = brute.ranked()
    for n, (answer, (cost, _)) in enumerate(zip(found, ranked, strict=False)):
        assert answer.cost == cost, f"case {seed}, answer {n}"
        assert answer.proof is Proof.PROVED
        fates = frozenset(fates_of(answer, search.base).items())
        assert brute.least[fates] == cost, f"case {seed}, answer {n}: {fates} costs {brute.least[fates]}"
    assert len(found) == min(len(ranked), OTHERS + 1) or search.offers.in_contact(), f"case {seed}"
    return len(found) if len(found) > 1 else 0


def test_next_best_are_those_of_all_combinations() -> None:
    compared = [ranking_agrees(seed) for seed in range(DEFAULT)]
    assert sum(n > 0 for n in compared) >= 15
    assert sum(n > OTHERS for n in compared) >= 4


@pytest.mark.slow
def test_next_best_are_those_of_all_combinations_of_a_hundred() -> None:
    compared = [ranking_agrees(seed) for seed in range(DEFAULT, ALL)]
    assert sum(n > 0 for n in compared) >= 75


def two_shelves() -> tuple[Vehicle, Job]:
    """Either of two parts must go; one takes its hose along, the other does not."""
    low = mover("low", (60, 0, 400), (100.0, 100.0, 100.0), off_min=5, on_min=5)
    tap = part("tap", (60, 300, 400), (40.0, 40.0, 40.0))
    hose = link("hose", "low", "tap", slack_mm=300.0, passes=("new",))
    near = space("near", (60, 0, 600), (100.0, 100.0, 100.0))
    far = space("far", (60, -800, 400), (100.0, 100.0, 100.0))
    v = vehicle([wall(), low, tap], spaces=[near, far], links=[hose])
    return v, job(Add(component=part("new", (60, 0, 400), (80.0, 80.0, 80.0))))


def test_other_space_with_its_own_links() -> None:
    v, j = two_shelves()
    told = find_knockons(v, j, catalog(), others=3)
    [other] = told.others
    assert other.more == other.cost - told.cost > 0
    assert other.fates == {"low": "home far"}
    assert other.links == ("hose",)
    assert other.proof is Proof.PROVED
    assert other.homes["low"].at_mm == (60, -800, 400)
    [words] = other.moves
    assert "into far" in words


def test_none_unless_asked_for() -> None:
    assert find_knockons(*two_shelves(), catalog()).others == ()


def test_nothing_displaced_has_no_other_answer() -> None:
    v, _ = two_shelves()
    j = job(Add(component=part("new", (60, 700, 400), (80.0, 80.0, 80.0))))
    assert find_knockons(v, j, catalog(), others=3).others == ()
