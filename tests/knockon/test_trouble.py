"""When there is no answer: the smallest set of parts that cannot be placed together is named, and why."""

from __future__ import annotations

import pytest
from garage import box, catalog, job, link, mover, part, space, vehicle, wall

from planner.knockon import find_knockons
from planner.model.effects import EffectKind, Knockons, Proof
from planner.model.job import Add, Change, Cut
from planner.model.vehicle import Component, Freedom, Keeps, Link, Relation, Space, Vehicle

CUBE = (100.0, 100.0, 100.0)
BAR = Add(component=part("bar", (130, 0, 500), (60, 900, 40)))
"""Pushes everything that stands at z = 500 between y = -450 and 450."""


def named(told: Knockons) -> set[str]:
    return {line.partition(":")[0] for line in told.trouble}


def ask(v: Vehicle, *changes: Change) -> Knockons:
    return find_knockons(v, job(*changes), catalog())


def rivals(*names: str) -> list[Component]:
    """Of these a and b have one home to share; c has one of its own."""
    places = {"a": -200.0, "b": 0.0, "c": 200.0}
    return [mover(n, (60, places[n], 500), CUBE, off_min=5) for n in names]


def crowded(*names: str) -> Vehicle:
    shared = space("shared", (60, 0, 800), CUBE, takes=("a", "b"))
    own = space("own", (60, 300, 800), CUBE, takes=("c",))
    return vehicle([wall(), *rivals(*names)], spaces=[shared, own])


def test_two_rivals_for_one_home() -> None:
    told = ask(crowded("a", "b", "c"), BAR)
    assert told.proof is Proof.NONE
    assert named(told) == {"a", "b"}
    assert told.homes == told.after == {}
    assert [e.kind for e in told.effects] == [EffectKind.NEW]


@pytest.mark.parametrize("left", [("a", "c"), ("b", "c")])
def test_without_either_of_them_there_is_an_answer(left: tuple[str, ...]) -> None:
    told = ask(crowded(*left), BAR)
    assert told.proof is Proof.PROVED
    assert set(told.homes) == set(left)


def test_three_for_two_homes() -> None:
    parts = rivals("a", "b", "c")
    homes = [space(f"s{n}", (60, 150 * n, 800), CUBE) for n in range(2)]
    told = ask(vehicle([wall(), *parts], spaces=homes), BAR)
    assert named(told) == {"a", "b", "c"}
    for n in range(3):
        fewer = [p for i, p in enumerate(parts) if i != n]
        assert ask(vehicle([wall(), *fewer], spaces=homes), BAR).proof is Proof.PROVED


def alone(p: Component, *more: Component, spaces: tuple[Space, ...] = (), links: tuple[Link, ...] = ()) -> Vehicle:
    return vehicle([wall(), p, *more], spaces=spaces, links=links)


def test_part_that_may_not_be_moved() -> None:
    told = ask(alone(part("fixed", (60, 0, 500), CUBE, freedom=Freedom.STAYS)), BAR)
    text = " ".join(told.trouble)
    assert "fixed" in text
    assert "10 mm" in text
    assert "`stays`" in text


def test_part_over_a_hole_that_may_not_be_moved() -> None:
    told = ask(
        alone(part("plate", (60, 0, 500), CUBE)), Cut(id="slot", host="wall", hole=box((20, 40, 40), (0, 0, 500)))
    )
    [line] = told.trouble
    assert line.startswith("plate: plate is mounted where wall is cut")
    assert "`comes off`" in line


def test_two_parts_of_the_job_in_one_place() -> None:
    told = ask(alone(part("far", (60, 900, 500), CUBE)), BAR, Add(component=part("lamp", (130, 0, 500), CUBE)))
    assert told.proof is Proof.NONE
    assert named(told) == {"bar", "lamp"}
    assert all("the job itself puts it there" in line for line in told.trouble)


def test_relation_that_no_home_keeps() -> None:
    rule = Relation(id="high", part="a", keeps=Keeps.OFF_GROUND, of=None, by_mm=700.0)
    low = space("low", (60, 0, 100), CUBE)
    v = vehicle([wall(), *rivals("a")], spaces=[low], relations=[rule])
    told = ask(v, BAR)
    assert named(told) == {"a"}
    assert "none of the 1 homes" in told.trouble[0] or "the one home" in told.trouble[0]
    high = space("high", (60, 0, 800), CUBE)
    assert ask(vehicle([wall(), *rivals("a")], spaces=[low, high], relations=[rule]), BAR).homes["a"].at_mm[2] == 800


def test_link_that_stays_ties_a_part_down() -> None:
    """Alone it could go to its home; the pipe that may not be made anew keeps it."""
    tap = part("tap", (60, 600, 800), CUBE)
    home = space("home", (60, 0, 800), CUBE)
    for freedom, proof in ((Freedom.STAYS, Proof.NONE), (Freedom.MOVES, Proof.PROVED)):
        pipe = link("pipe", "a", "tap", rigid=True, freedom=freedom, passes=("bar",))
        told = ask(alone(*rivals("a"), tap, spaces=(home,), links=(pipe,)), BAR)
        assert told.proof is proof
        assert (named(told) == {"a"}) is (proof is Proof.NONE)
