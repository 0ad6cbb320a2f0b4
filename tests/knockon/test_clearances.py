"""The catalog's gaps: which rule holds for a pair, that the larger of rule and keep-clear counts, who is let off."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import catalog, job, link, mover, part, space, vehicle, wall

from planner.knockon import find_knockons, present_faults, tight_spots
from planner.knockon.clearances import KeepBook
from planner.model.catalog import Catalog, ClearanceRule
from planner.model.effects import CauseKind, EffectKind, Proof
from planner.model.job import Add, AddLink
from planner.model.shapes import Slide
from planner.model.vehicle import Component, Link, Vehicle

CUBE = (100.0, 100.0, 100.0)
GUESS = "starting guess"


def rule(name: str, one: str, other: str, keep_mm: float, source: str = GUESS) -> ClearanceRule:
    return ClearanceRule(id=name, one=(one,), other=(other,), keep_mm=keep_mm, why="it melts", source=source)


def shelf(*rules: ClearanceRule) -> Catalog:
    """The garage's catalog in which every gadget is hot and every rod moves, with these rules."""
    base = catalog()
    kinds = {**base.kinds, "gadget": replace(base.kinds["gadget"], hot=True)}
    links = {**base.link_kinds, "rod": replace(base.link_kinds["rod"], moving=True)}
    return replace(base, kinds=kinds, link_kinds=links, clearances={r.id: r for r in rules})


HOT = rule("heat", "hose", "hot", 60.0)
ONE = part("one", (60, 0, 500), CUBE)
STOVE = part("stove", (60, 130, 500), CUBE, kind="gadget")
"""30 mm right of ``one``."""


def test_the_larger_of_rule_and_keep_clear_counts() -> None:
    book = KeepBook(shelf(rule("thing-heat", "thing", "hot", 40.0)))
    assert book.keep(ONE, STOVE).mm == 40.0
    assert book.keep(STOVE, ONE).mm == 40.0
    roomy = replace(ONE, keep_clear_mm=55.0)
    assert (book.keep(roomy, STOVE).mm, book.keep(roomy, STOVE).rule) == (55.0, None)
    assert book.keep(ONE, part("two", (60, 0, 0), CUBE)).mm == 0.0


def test_the_strictest_rule_holds_and_names_itself() -> None:
    book = KeepBook(
        shelf(rule("a", "thing", "hot", 40.0), rule("b", "any", "gadget", 70.0), rule("c", "body", "any", 5))
    )
    keep = book.keep(ONE, STOVE)
    assert (keep.mm, keep.rule.id if keep.rule else "") == (70.0, "b")
    assert keep.because == ": it melts (starting guess)"


def test_properties_are_read_from_the_kind_and_the_motion() -> None:
    book = KeepBook(shelf(rule("moving", "moving", "thing", 25.0)))
    sliding = replace(STOVE, kind="panel", motion=Slide(along=(0, 1, 0), from_mm=0, to_mm=5))
    assert book.keep(ONE, sliding).mm == 25.0
    assert book.keep(ONE, link("r", "one", "stove", kind="rod")).mm == 25.0
    assert book.keep(ONE, replace(sliding, motion=None)).mm == 0.0


def test_the_owners_word_on_a_pair_goes_before_both() -> None:
    book = KeepBook(shelf(rule("thing-heat", "thing", "hot", 40.0)))
    shielded = replace(ONE, keep_clear_mm=20.0, near_mm={"stove": 12.0})
    assert (book.keep(shielded, STOVE).mm, book.keep(STOVE, shielded).mm) == (12.0, 12.0)


@pytest.mark.parametrize(
    "source", ["common practice, no published source (apart at all)", "UN Regulation 67, 17.4.5 (x)"]
)
def test_what_a_rule_rests_on_is_told(source: str) -> None:
    keep = KeepBook(shelf(rule("a", "thing", "hot", 40.0, source))).keep(ONE, STOVE)
    assert keep.because.endswith("(common practice)" if source[0] == "c" else "(UN Regulation 67, 17.4.5)")


def hosed(*, near: dict[str, float] | None = None, passes: tuple[str, ...] = ()) -> Vehicle:
    """A hose 8 mm across, 46 mm below the stove, from ``left`` to ``right``."""
    ends = [part("left", (60, -300, 400), (100, 40, 40)), part("right", (60, 400, 400), (100, 40, 40))]
    hose = link("fuel-hose", "left", "right", near_mm=near or {}, passes=passes)
    return vehicle([wall(), *ends, STOVE], links=[hose])


def test_a_link_too_near_a_hot_part_is_told_but_is_no_fault() -> None:
    """The stove's underside is at 450, the hose's top at 404: 46 mm, 60 are wanted."""
    [spot] = tight_spots(hosed(), shelf(HOT))
    assert (spot.part, spot.other) == ("fuel-hose", "stove")
    assert spot.gap_mm == pytest.approx(46.0, abs=0.01)
    assert "46 mm" in spot.text
    assert "60 mm is advised: it melts (starting guess)" in spot.text
    assert present_faults(hosed()) == ()


@pytest.mark.parametrize("v", [hosed(near={"stove": 40.0}), hosed(passes=("stove",))])
def test_what_is_shielded_or_clipped_there_is_not_told(v: Vehicle) -> None:
    assert tight_spots(v, shelf(HOT)) == ()


def test_no_rule_no_note() -> None:
    assert tight_spots(hosed(), shelf(rule("heat", "hose", "hot", 46.0))) == ()


def test_the_ends_of_a_link_may_be_hot() -> None:
    stove_end = link("fuel-hose", "one", "stove")
    assert tight_spots(vehicle([wall(), ONE, STOVE], links=[stove_end]), shelf(HOT)) == ()


def test_two_links_too_near_each_other_are_told() -> None:
    ends = [
        part(n, (60, y, z), (100, 40, 40))
        for n, y, z in (("a", -300, 400), ("b", 300, 400), ("c", -300, 300), ("d", 300, 300))
    ]
    links = [link("hose", "a", "b"), link("rod", "c", "d", kind="rod")]
    [spot] = tight_spots(vehicle([wall(), *ends], links=links), shelf(rule("chafe", "hose", "moving", 100.0)))
    assert {spot.part, spot.other} == {"hose", "rod"}
    assert spot.gap_mm == pytest.approx(92.0, abs=0.01)


def told(v: Vehicle, shelf_: Catalog, *changes: Add | AddLink) -> dict[str, str]:
    found = find_knockons(v, job(*changes), shelf_)
    assert found.proof is Proof.PROVED, found.trouble
    return {e.id: e.causes[0].text for e in found.effects}


NEW_STOVE = Add(component=replace(STOVE, id="new-stove", name="new stove"))


def test_a_part_gives_way_to_heat_it_would_not_touch() -> None:
    """The new stove is 30 mm from a mover: with 40 wanted it moves, by at least 10 mm, and says why."""
    v = vehicle([wall(), mover("one", (60, 0, 500), CUBE)], spaces=[space("left", (60, -300, 500), (100, 500, 100))])
    hot = shelf(rule("thing-heat", "thing", "hot", 40.0))
    effects = told(v, hot, NEW_STOVE)
    assert "comes within 30 mm" in effects["moves:one"]
    assert "40 mm is to be kept: it melts (starting guess)" in effects["moves:one"]
    found = find_knockons(v, job(NEW_STOVE), hot)
    assert found.homes["one"].at_mm[1] <= -10.0 + 0.05
    assert "moves:one" not in told(v, catalog(), NEW_STOVE)


def test_what_was_nearer_at_the_start_is_let_pass() -> None:
    """Stove and mover are there already, 30 mm apart: a job elsewhere moves neither."""
    v = vehicle([wall(), mover("one", (60, 0, 500), CUBE), STOVE])
    away = Add(component=part("away", (60, 700, 500), CUBE, kind="panel"))
    assert "moves:one" not in told(v, shelf(rule("thing-heat", "thing", "hot", 40.0)), away)


def test_a_hose_is_made_anew_when_heat_comes_near_its_run() -> None:
    v = replace(hosed(), components={i: c for i, c in hosed().components.items() if i != "stove"})
    effects = told(v, shelf(HOT), NEW_STOVE)
    assert "comes within 46 mm of its run, 60 mm is to be kept: it melts" in effects["made anew:fuel-hose"]
    assert "made anew:fuel-hose" not in told(v, catalog(), NEW_STOVE)


def new_rod() -> tuple[tuple[Component, ...], Link]:
    ends = (part("c", (60, -300, 300), (100, 40, 40)), part("d", (60, 300, 300), (100, 40, 40)))
    return ends, link("rod", "c", "d", kind="rod")


def test_a_new_link_too_near_another_is_to_be_run_anew() -> None:
    ends, rod = new_rod()
    v = hosed()
    v = replace(v, components={**v.components, **{p.id: p for p in ends}})
    near = shelf(rule("chafe", "hose", "moving", 100.0))
    effects = told(v, near, AddLink(link=rod))
    assert "92 mm from it, 100 mm is to be kept" in effects[f"{EffectKind.MEASURED}:rod"]
    assert f"{EffectKind.MEASURED}:rod" not in told(v, shelf(), AddLink(link=rod))


def test_the_conflict_is_a_keep_clear_one() -> None:
    v = vehicle([wall(), mover("one", (60, 0, 500), CUBE)], spaces=[space("left", (60, -300, 500), (100, 500, 100))])
    found = find_knockons(v, job(NEW_STOVE), shelf(rule("thing-heat", "thing", "hot", 40.0)))
    [effect] = [e for e in found.effects if e.id == "moves:one"]
    assert effect.causes[0].kind is CauseKind.KEEP_CLEAR
    assert effect.causes[0].mm == pytest.approx(10.0, abs=0.01)
