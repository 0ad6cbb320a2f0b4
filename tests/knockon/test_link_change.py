"""What becomes of a link when its ends go somewhere else."""

from __future__ import annotations

import math

import pytest
from garage import link

from planner.knockon.link_change import Fate, allowed, change_of, fate_cost, money_cost
from planner.model.shapes import Vec
from planner.model.vehicle import Freedom

HERE: tuple[Vec, Vec] = ((0.0, 0.0, 0.0), (300.0, 0.0, 0.0))


def ends(second: Vec, first: Vec = (0.0, 0.0, 0.0)) -> tuple[Vec, Vec]:
    return (first, second)


@pytest.mark.parametrize(
    ("second", "fate"),
    [
        ((300.4, 0.0, 0.0), Fate.NOTHING),
        ((300.6, 0.0, 0.0), Fate.ADJUST),
        ((325.0, 0.0, 0.0), Fate.ADJUST),
        ((325.1, 0.0, 0.0), Fate.REMAKE),
        ((100.0, 0.0, 0.0), Fate.ADJUST),
    ],
)
def test_hose_lasts_while_slack_and_adjuster_allow(second: Vec, fate: Fate) -> None:
    hose = link("hose", "a", "b", slack_mm=20.0, adjust_mm=5.0)
    change = change_of(hose, HERE, ends(second))
    assert change.fate is fate
    assert change.longer_mm == pytest.approx(second[0] - 300)
    assert change.shift_mm == pytest.approx(abs(second[0] - 300))


@pytest.mark.parametrize(
    ("second", "fate"),
    [
        ((300.4, 0.0, 0.0), Fate.NOTHING),
        ((305.0, 0.0, 0.0), Fate.ADJUST),
        ((295.0, 0.0, 0.0), Fate.ADJUST),
        ((305.2, 0.0, 0.0), Fate.REMAKE),
        ((294.8, 0.0, 0.0), Fate.REMAKE),
        ((0.0, 300.0, 0.0), Fate.ADJUST),
    ],
)
def test_rod_lasts_while_its_adjuster_allows_either_way(second: Vec, fate: Fate) -> None:
    """Slack is no help to a stiff one; swung about its end it is as long as before."""
    rod = link("rod", "a", "b", slack_mm=100.0, adjust_mm=5.0, rigid=True)
    assert change_of(rod, HERE, ends(second)).fate is fate


def test_bent_pipe_cannot_follow_a_moved_end() -> None:
    pipe = link("pipe", "a", "b", rigid=True, adjust_mm=50.0, via_mm=((150.0, 100.0, 0.0),))
    assert change_of(pipe, HERE, HERE).fate is Fate.NOTHING
    assert change_of(pipe, HERE, ends((301.0, 0.0, 0.0))).fate is Fate.REMAKE


def test_hose_is_measured_through_its_clips() -> None:
    """Past a clip at (0, 400): from (300, 0) to (300, 400) the run goes from 400 + 500 to 400 + 300."""
    hose = link("hose", "a", "b", via_mm=((0.0, 400.0, 0.0),))
    change = change_of(hose, HERE, ends((300.0, 400.0, 0.0)))
    assert change.longer_mm == pytest.approx(-200.0)
    assert change.shift_mm == pytest.approx(400.0)
    assert change.fate is Fate.ADJUST


def test_both_ends_count() -> None:
    hose = link("hose", "a", "b", slack_mm=20.0)
    change = change_of(hose, HERE, ends((303.0, 4.0, 0.0), first=(-30.0, 0.0, 0.0)))
    assert change.shift_mm == pytest.approx(30.0)
    assert change.longer_mm == pytest.approx(math.hypot(333.0, 4.0) - 300.0)
    assert change.fate is Fate.REMAKE


def test_prices() -> None:
    hose = link("hose", "a", "b", hands=2, price=3.0)
    assert fate_cost(hose, Fate.NOTHING, 18.0) == 0
    assert fate_cost(hose, Fate.ADJUST, 18.0) == 1000 * 7 * 2
    assert fate_cost(hose, Fate.REMAKE, 18.0) == 1000 * (5 + 40 + 6) * 2 + 10_000
    assert money_cost(1.0, 7.0) == math.ceil(60_000 / 7)
    assert money_cost(1.0, 0.0) == 0


def test_who_may_be_made_anew() -> None:
    may = {f: allowed(link("k", "a", "b", freedom=f), Fate.REMAKE) for f in Freedom}
    assert may == {Freedom.STAYS: False, Freedom.COMES_OFF: False, Freedom.MOVES: True, Freedom.MAY_GO: True}
    assert all(allowed(link("k", "a", "b", freedom=f), Fate.ADJUST) for f in Freedom)
