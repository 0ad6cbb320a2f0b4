"""Each rule by which work/ makes the list of a shipped job, taken out of it: the checker says so.

A rule without a twin in verify/ shows here as a list that passes without it.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any

import pytest
from shipped import Shipped, catalog

from planner.verify import check_gates, check_steps
from planner.work import work_for

pytestmark = pytest.mark.slow

Stand = Callable[..., Any]
PEDALS, GEARBOX, COOLING, CLUTCH, BATTERY = (
    ("trials-car", "hung-pedals"),
    ("saloon", "gearbox"),
    ("light-van", "cooling"),
    ("saloon", "clutch"),
    ("light-van", "battery"),
)


def _nothing(*_: object, **__: object) -> None:
    return None


def _no(*_: object, **__: object) -> bool:
    return False


def _none(kind: type) -> Stand:
    return lambda *_, **__: kind()


def _as_given(place: int) -> Stand:
    return lambda *args, **_: args[place]


RULES: tuple[tuple[str, str, Stand, tuple[str, str]], ...] = (
    ("build", "add_holes", _nothing, PEDALS),
    ("build", "close_holes", _nothing, GEARBOX),
    ("build", "guard_holes", _nothing, GEARBOX),
    ("build", "look_bare", _nothing, PEDALS),
    ("build", "mock_up_before_cutting", _nothing, PEDALS),
    ("build", "try_with_controls", _nothing, PEDALS),
    ("build", "bleed_after_trials", _nothing, PEDALS),
    ("build", "hold_metal", _nothing, GEARBOX),
    ("build", "filled_at_bench", _nothing, PEDALS),
    ("build", "filling_waits", _as_given(0), COOLING),
    ("build", "arrivals", _none(dict), BATTERY),
    ("build", "_with_purchases", lambda _, book, __: dict(book.tasks), GEARBOX),
    ("build", "states_inside", _as_given(1), GEARBOX),
    ("build", "made_inside", _as_given(1), CLUTCH),
    ("build", "_settled", _as_given(1), CLUTCH),
    ("build", "_at_the_end", _as_given(0), CLUTCH),
    ("build", "_after_gates", _as_given(1), CLUTCH),
    ("build", "_before_start", _as_given(0), CLUTCH),
    ("build", "_said_last", _as_given(1), CLUTCH),
    ("build", "with_used_up", _as_given(3), CLUTCH),
    ("build", "with_brought_about", _as_given(0), CLUTCH),
    ("build", "with_sparks", _as_given(0), GEARBOX),
    ("build", "watch_holds", _none(dict), GEARBOX),
    ("build", "filling_gates", _none(dict), COOLING),
    ("build", "leaving_gates", _none(dict), CLUTCH),
    ("build", "waits_of_gates", _none(dict), CLUTCH),
    ("holes", "_standing", _none(list), PEDALS),
    ("holes", "_offered_up", _none(list), COOLING),
    ("holes", "_is_put_on", _no, PEDALS),
    ("left_holes", "_taking_it", _none(list), GEARBOX),
    ("own", "_tie_before", _nothing, GEARBOX),
    ("own", "_tie_back", _nothing, GEARBOX),
    ("own", "_till_back", _none(list), GEARBOX),
    ("own", "_tasks_of", _none(list), GEARBOX),
    ("own", "_bodies", _none(list), GEARBOX),
    ("own", "_comes_first", _no, GEARBOX),
    ("own", "sealed_after", _nothing, GEARBOX),
    ("own", "watch_demands", _none(list), GEARBOX),
    ("bare", "_bared", _none(tuple), PEDALS),
    ("bare", "_covers", _none(list), PEDALS),
    ("checkpoints", "_work_before", _none(tuple), CLUTCH),
    ("checkpoints", "_holding", _none(list), CLUTCH),
    ("checkpoints", "_in_place", _none(list), PEDALS),
    ("conditions", "entry_checks", _none(tuple), CLUTCH),
    ("loosely", "_set_by", _none(tuple), PEDALS),
    ("loosely", "_clamped", _as_given(0), BATTERY),
    ("loosely", "_asking", _as_given(0), BATTERY),
    ("loosely", "_task", _as_given(0), BATTERY),
    ("tasks", "old_at_its_ports", _none(list), CLUTCH),
    ("features", "old_at_its_ports", _none(list), CLUTCH),
    ("tasks", "rod_ends", _none(str), CLUTCH),
    ("tasks", "_tie_to_cuts", _nothing, PEDALS),
    ("tasks", "_tie_to_trials", _nothing, CLUTCH),
    ("tasks", "_label", _nothing, CLUTCH),
    ("tasks", "_room", _none(frozenset), CLUTCH),
    ("tasks", "_fitted", _none(list), CLUTCH),
    ("tasks", "_SET_AS_A_WHOLE", _none(frozenset)(), PEDALS),
    ("tasks", "_host", _none(list), BATTERY),
    ("tasks", "_off", _none(list), CLUTCH),
    ("tasks", "_handling", _none(tuple), CLUTCH),
    ("seats", "sat_in", _none(list), PEDALS),
    ("tasks", "covers_its_holes", _no, CLUTCH),
    ("tasks", "holes_are_made", _no, CLUTCH),
    ("tasks", "carriers", lambda _, part: [part.mounted_on] if part.mounted_on else [], GEARBOX),
    ("tasks", "cautions_for", lambda _, __, own, **___: own, CLUTCH),
    ("features", "_common_demands", _none(tuple), CLUTCH),
    ("features", "circuits_of", _none(list), CLUTCH),
    ("features", "riders", _none(list), BATTERY),
    ("features", "_links_first", _none(list), CLUTCH),
    ("features", "_fitting_demands", _none(list), CLUTCH),
    ("features", "_runs_out", _no, GEARBOX),
    ("features", "cautions_of", _none(tuple), CLUTCH),
)


def _said(project: str, job: str) -> tuple[str, ...]:
    shop = Shipped(project)
    vehicle, wanted, knockons = shop.vehicle(), shop.job(job), shop.knockons(job)
    work = work_for(vehicle, wanted, knockons, catalog())
    return (
        *check_gates(vehicle, knockons, work, catalog(), job=wanted),
        *check_steps(vehicle, knockons, work, catalog(), job=wanted),
    )


@pytest.mark.parametrize("of", [PEDALS, GEARBOX, COOLING, CLUTCH, BATTERY])
def test_with_every_rule_there_is_nothing_to_say(of: tuple[str, str]) -> None:
    assert _said(*of) == ()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule[0]}.{rule[1]}")
def test_a_rule_taken_out_is_missed(
    rule: tuple[str, str, Stand, tuple[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    room, name, stand, of = rule
    monkeypatch.setattr(import_module(f"planner.work.{room}"), name, stand)
    try:
        said = _said(*of)
    except KeyError:
        # A check without the look it is made by comes to no list at all.
        said = ("no list",)
    assert said
