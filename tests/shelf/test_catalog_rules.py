"""Checkpoint rules: nothing that can hurt goes unmeasured, and each says what it holds back, why, and by whose word."""

from __future__ import annotations

import networkx as nx
import pytest
from shipped import catalog

from planner.model.catalog import Blocks, CheckpointRule, When

CATALOG = catalog()
RULES = CATALOG.rules


def called(when: When, *names: str) -> list[CheckpointRule]:
    """Rules that a thing of these names calls for."""
    return [
        r for r in RULES.values() if any(t.when is when and (not t.of or set(t.of) & set(names)) for t in r.triggers)
    ]


@pytest.mark.parametrize("name", RULES)
def test_a_rule_warns_holds_something_back_and_says_whose_word_it_is(name: str) -> None:
    rule = RULES[name]
    assert rule.caution
    assert rule.blocks
    assert rule.source
    assert rule.minutes > 0


@pytest.mark.parametrize("system", [s.id for s in CATALOG.system_kinds.values() if s.fluid])
def test_opening_what_carries_fluid_calls_for_a_check_before_engine_or_moving(system: str) -> None:
    rules = called(When.OPENED, system)
    assert rules
    assert any({Blocks.ENGINE, Blocks.MOVING} & set(r.blocks) for r in rules)


@pytest.mark.parametrize("system", CATALOG.system_kinds)
def test_opening_anything_calls_for_a_check(system: str) -> None:
    assert called(When.OPENED, system)


def test_an_opened_brake_is_proved_in_steps() -> None:
    rules = {r.id: r for r in called(When.OPENED, "hydraulic-brake")}
    wanted = ["brake-leak", "brake-pedal-holds", "brake-reserve", "brake-each-circuit", "brake-fluid", "brake-drag"]
    for rule in wanted:
        assert {Blocks.MOVING, Blocks.ROAD} <= set(rules[rule].blocks), rule
    for proof in ("brake-proof-walking", "brake-proof-road"):
        assert rules[proof].involves == (Blocks.MOVING,)
        assert rules[proof].blocks == (Blocks.ROAD,)


def test_fuel_is_dry_before_the_engine_is_started() -> None:
    rules = {r.id: r for r in called(When.OPENED, "fuel")}
    assert {Blocks.ENGINE, Blocks.MOVING, Blocks.ROAD} <= set(rules["fuel-leak"].blocks)
    assert Blocks.ENGINE not in rules["fuel-leak"].involves
    assert "extinguisher" in rules["fuel-leak"].tools


def test_the_throttle_is_proved_before_the_engine_is_started() -> None:
    for when, name in (
        (When.OPENED, "throttle-linkage"),
        (When.DISTURBED, "throttle"),
        (When.LINK_MADE, "throttle-rod"),
    ):
        assert Blocks.ENGINE in next(r for r in called(when, name) if r.id == "throttle-closes").blocks


@pytest.mark.parametrize("kind", ["steering-column", "steering-box", "steering-shaft", "tie-rod"])
def test_disturbed_steering_is_measured_before_moving(kind: str) -> None:
    part = CATALOG.kinds.get(kind) or CATALOG.link_kinds[kind]
    rules = [r for r in called(When.DISTURBED, kind, part.group) if Blocks.MOVING in r.blocks]
    assert {"steering-free", "steering-clamps"} <= {r.id for r in rules}


def test_a_rule_never_holds_back_what_it_needs_itself() -> None:
    assert [r.id for r in RULES.values() if set(r.involves) & set(r.blocks)] == []


def test_a_check_that_moves_the_car_asks_for_nothing_lifted() -> None:
    lifted = {c.id for c in CATALOG.conditions.values() if c.id == "on-stands" or "on-stands" in c.needs}
    assert [r.id for r in RULES.values() if Blocks.MOVING in r.involves and lifted & set(r.conditions)] == []


def test_a_check_that_runs_the_engine_asks_for_nothing_cut_off() -> None:
    off = {"battery-isolated", "fuel-pipe-capped", "charging-unplugged", "engine-cold", "engine-supported"}
    assert [r.id for r in RULES.values() if Blocks.ENGINE in r.involves and off & set(r.conditions)] == []


def test_checks_made_on_entering_are_made_at_once_and_hold_back_that_condition() -> None:
    entered = [r for r in RULES.values() if any(t.when is When.ENTERED for t in r.triggers)]
    assert {r.id for r in entered} == {r.id for r in RULES.values() if Blocks.CONDITION in r.blocks}
    for rule in entered:
        assert {t.when for t in rule.triggers} == {When.ENTERED}, rule.id
        assert rule.conditions == ()


@pytest.mark.parametrize(
    "condition",
    [
        "on-stands",
        "battery-isolated",
        "charging-unplugged",
        "fuel-pipe-capped",
        "fire-watch-ready",
        "spring-held",
        "engine-supported",
    ],
)
def test_entering_a_dangerous_state_is_checked_each_time(condition: str) -> None:
    assert called(When.ENTERED, condition)
    assert CATALOG.conditions[condition].cautions


def test_under_the_vehicle_stands_are_rocked_first() -> None:
    """HSE INDG434 and HSG261: never under a vehicle on jacks alone, stands on hard level ground, wheels chocked."""
    rule = RULES["stands-rock"]
    assert "HSE" in rule.source
    text = f"{rule.measure} {rule.caution}".lower()
    assert all(word in text for word in ("hard level ground", "chocked", "jack alone", "pins"))


def test_the_fire_watch_lasts_half_an_hour() -> None:
    """29 CFR 1910.252(a)(2)(iii): at least half an hour, combustibles within 35 ft (10.7 m)."""
    assert (RULES["fire-watch"].low, RULES["fire-watch"].unit) == (30, "min")
    assert RULES["fire-watch"].triggers[0].when is When.WELDED
    assert RULES["hot-work-ready"].low == pytest.approx(35 * 0.3048, abs=0.05)


def test_hot_work_parts_battery_charging_and_fuel_and_clears_what_burns() -> None:
    assert set(CATALOG.hot_conditions) == {
        "battery-isolated",
        "charging-unplugged",
        "fuel-pipe-capped",
        "fire-watch-ready",
    }
    assert {"fuel", "brakes", "trim", "battery", "battery-cable", "earth-strap"} <= set(CATALOG.hot_clear)
    assert CATALOG.hot_reach_mm >= 300


def test_boiling_points_are_the_standards() -> None:
    """FMVSS 116, 49 CFR 571.116 S5.1.1, dry; 270 for DOT 5.1 is a web page's error."""
    limit = RULES["brake-fluid"].limit
    assert "DOT 3 205, DOT 4 230, DOT 5 and 5.1 260" in limit
    assert "270" not in limit
    assert "571.116" in RULES["brake-fluid"].source


def test_header_tank_air_covers_what_coolant_swells() -> None:
    """From 20 to 90 degC half ethylene glycol swells 4.1 to 4.5 % (two property fits), water 3.4 (IAPWS-95)."""
    low = RULES["coolant-level"].low
    assert low is not None
    assert 4.5 < low <= 10
    assert "3.4 %" in RULES["coolant-level"].source
    assert abs(100 * (998.207 / 965.310 - 1) - 3.4) < 0.05


def test_pads_wear_limit_is_the_inspections() -> None:
    """UK MOT inspection manual, brakes: under 1.5 mm is a major defect."""
    assert (RULES["brake-pads"].low, RULES["brake-pads"].unit) == (1.5, "mm")


def test_any_job_ends_with_a_walk_round() -> None:
    (rule,) = [r for r in RULES.values() if any(t.when is When.ALWAYS for t in r.triggers)]
    assert rule.blocks == (Blocks.ENGINE, Blocks.MOVING, Blocks.ROAD)
    assert "wheel nuts" in rule.measure


def test_no_check_asks_for_a_state_it_shuts_out() -> None:
    """A condition that is demanded brings those it needs: `fire-watch-ready` has the battery off too."""
    assert [r.id for r in RULES.values() if needed(r.conditions) & set(r.without)] == []
    for rule in RULES.values():
        if any(t.when is When.ENTERED for t in rule.triggers):
            assert rule.without == (), rule.id


def needed(conditions: tuple[str, ...]) -> set[str]:
    """Conditions with all they need in turn."""
    found: set[str] = set()
    waiting = list(conditions)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += CATALOG.conditions[name].needs
    return found


def earlier() -> nx.DiGraph[str]:
    """Rules with an edge to each that comes later: named in `after`, or making what the first one holds back."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(RULES)
    gates = (Blocks.ENGINE, Blocks.MOVING, Blocks.ROAD)
    for rule in RULES.values():
        graph.add_edges_from((first, rule.id) for first in rule.after)
        made = max((gates.index(b) for b in rule.involves), default=-1)
        held = (r for r in RULES.values() if set(r.blocks) & set(gates[: made + 1]))
        graph.add_edges_from((r.id, rule.id) for r in held)
    return graph


def test_checks_wait_for_one_another_in_no_ring() -> None:
    assert nx.is_directed_acyclic_graph(earlier())
    assert all(first in RULES for rule in RULES.values() for first in rule.after)


def test_no_check_shuts_out_what_a_later_one_asks_for() -> None:
    graph = earlier()
    clashes = [
        (first, later)
        for first in RULES
        for later in nx.descendants(graph, first)
        if set(RULES[first].without) & needed(RULES[later].conditions)
    ]
    assert clashes == []


def test_what_opens_a_bleed_nipple_comes_before_the_pedal_is_proved() -> None:
    opening = {r.id for r in RULES.values() if "bleed nipple" in r.measure}
    assert opening == {"brake-each-circuit", "balance-bar-free"}
    for name in ("brake-pedal-holds", "brake-fluid", "brake-leak", "brake-reserve"):
        assert set(RULES[name].after) == opening, name


def test_what_needs_current_is_read_with_the_battery_on() -> None:
    words = ("battery on", "starter turns", "dip beam", "both lamps on", "start the engine", "run 5 minutes")
    current = [r for r in RULES.values() if any(w in f"{r.measure} {r.limit}".lower() for w in words)]
    assert len(current) >= len(words)
    running = [r for r in RULES.values() if r.involves and r.id != "crack-check"]
    for rule in (*current, *running):
        assert "battery-isolated" in rule.without, rule.id


def test_what_needs_tyres_on_the_ground_or_somebody_seated_is_not_done_on_stands() -> None:
    words = ("tyres on the ground", "weight on the wheels", "toe at hub", "belted in", "against the seat", "latch the")
    words += ("as hard as in a full stop, measure", "walking pace", "slope at hand")
    for word in words:
        rules = [r for r in RULES.values() if word in r.measure.lower()]
        assert rules, word
        assert all("on-stands" in r.without for r in rules), word


def test_fuel_joints_are_looked_at_with_the_caps_off() -> None:
    rules = [r for r in RULES.values() if "every fuel joint" in r.measure or r.id == "fuel-leak"]
    assert {r.id for r in rules} == {"fuel-leak", "fuel-first-run"}
    assert all("fuel-pipe-capped" in r.without for r in rules)
    assert RULES["fuel-first-run"].hands == 2


def test_bleeding_takes_two_and_a_hot_circuit_stays_shut() -> None:
    for kind in ("hydraulic-brake", "hydraulic-clutch"):
        assert CATALOG.system_kinds[kind].close_hands == 2
        assert CATALOG.system_kinds[kind].steps
    assert "engine-cold" in CATALOG.system_kinds["coolant"].needs
    assert {"battery-isolated", "engine-cold"} <= set(CATALOG.system_kinds["fuel"].needs)


@pytest.mark.parametrize("system", [s.id for s in CATALOG.system_kinds.values() if s.fluid])
def test_fluids_carry_cautions_and_some_part_opens_them(system: str) -> None:
    assert CATALOG.system_kinds[system].cautions
    openers = [*CATALOG.kinds.values(), *CATALOG.link_kinds.values()]
    assert [k.id for k in openers if system in k.opens]


SAFETY = ("brakes", "clutch", "throttle", "steering", "fuel", "suspension", "wheels", "seats", "exhaust", "electrics")


def test_whatever_can_hurt_is_checked_once_it_was_off() -> None:
    parts = [p for p in (*CATALOG.kinds.values(), *CATALOG.link_kinds.values()) if p.group in SAFETY]
    assert len(parts) > 100
    unchecked = []
    for part in parts:
        rules = called(When.DISTURBED, part.id, part.group)
        for system in part.opens:
            rules += called(When.OPENED, system)
        unchecked += [] if any(Blocks.ROAD in r.blocks or Blocks.MOVING in r.blocks for r in rules) else [part.id]
    assert unchecked == []
