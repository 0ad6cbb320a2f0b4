"""The second shipped vehicle: a van whose wide radiator pushes the battery, and the battery what stood beside it.

What is expected here was read off the van's drawing and sizes by hand: who stands where, and who would overlap whom.
"""

from __future__ import annotations

from datetime import date

import pytest
from shipped import Shipped

from planner.knockon import present_faults
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Proof
from planner.model.sums import Verdict
from planner.model.work import Demand, Spread
from planner.space import extent_mm
from planner.sums.sheet import sums_of

BATTERY, COOLING = "battery", "cooling"
VAN = Shipped("light-van")
van, knockons, answer = VAN.vehicle, VAN.knockons, VAN.answer


def effects(name: str, kind: EffectKind) -> dict[str, Effect]:
    return {e.subject: e for e in knockons(name).effects if e.kind is kind}


def pushed_by(name: str, part: str, source: str) -> list[Cause]:
    return [c for c in effects(name, EffectKind.MOVES)[part].causes if c.source == source]


def test_the_van_is_described_whole_and_nothing_is_wrong_with_it() -> None:
    assert len(van().components) >= 60
    assert len(van().links) >= 40
    assert len(van().spaces) >= 8
    assert sum(s.against is not None for s in van().spaces.values()) >= 8
    assert VAN.findings() == ()
    assert present_faults(van()) == ()


def test_nothing_hangs_in_the_air_below_the_axles_or_outside_the_body() -> None:
    """Wheels stand on the floor the heights are counted from; nothing reaches under it."""
    low = {i: extent_mm(c.solids, c.pose)[0][2] for i, c in van().components.items()}
    assert all(low[w] == pytest.approx(0.0, abs=0.01) for w in low if w.startswith("wheel-") and "arch" not in w)
    assert all(z > 0.0 for i, z in low.items() if not i.startswith("wheel-"))
    loose = [i for i, c in van().components.items() if c.mounted_on is None]
    assert set(loose) <= {"rail-left", "rail-right", "front-axle", "rear-axle", "engine"}


def test_the_battery_steps_aside_for_the_radiator_by_what_the_drawing_says() -> None:
    """Radiator to y 305 and 15 mm of free air beside it; the battery begins at y 293: 27 mm."""
    moves = effects(COOLING, EffectKind.MOVES)
    assert knockons(COOLING).proof is Proof.PROVED
    aside_mm = knockons(COOLING).homes["battery"].at_mm[1] - van().components["battery"].pose.at_mm[1]
    assert aside_mm == pytest.approx(27.0, abs=0.01)
    assert {c.source for c in moves["battery"].causes} == {"new:wide-radiator"}


def test_what_stood_beside_the_battery_moves_because_the_battery_moved() -> None:
    """Bottle begins 11 mm beside the battery: 27 mm overlap it by 16. Filter and sparks: 50 mm are to be kept."""
    clash = [c for c in pushed_by(COOLING, "washer-bottle", "moves:battery") if c.kind is CauseKind.CLASH]
    assert [c.mm for c in clash] == [pytest.approx(16.0, abs=0.1)]
    near = pushed_by(COOLING, "fuel-filter", "moves:battery")
    assert {c.kind for c in near} == {CauseKind.KEEP_CLEAR}
    assert "spark" in near[0].text
    assert {"fuel-hose-filter", "fuel-hose-pump"} <= set(effects(COOLING, EffectKind.REMADE))


def test_the_fuse_box_makes_room_for_the_header_tank_and_pushes_the_relay() -> None:
    assert pushed_by(COOLING, "fuse-box", "new:header-tank")
    clash = [c for c in pushed_by(COOLING, "starter-relay", "moves:fuse-box") if c.kind is CauseKind.CLASH]
    assert clash
    assert set(effects(COOLING, EffectKind.MOVES)) >= {"horn", "battery", "washer-bottle", "fuse-box", "fuel-filter"}
    assert "brake-cylinder" not in {e.subject for e in knockons(COOLING).effects}


def test_the_small_job_is_planned_and_the_checker_agrees() -> None:
    found = answer(BATTERY, 1.0)
    assert found.violations == ()
    assert found.knockons.proof is Proof.PROVED
    assert found.plan.slots
    assert {e.subject for e in found.knockons.effects if e.kind is EffectKind.MOVES} == {"battery", "fuse-box", "jack"}
    assert found.plan.slots[-1].end.date() <= date(2027, 3, 6)


def test_the_header_tank_holds_enough_and_stands_above_everything() -> None:
    """Underside at 894 mm, radiator to 800 mm: 94. The mix weighs 1.07 kg/l cold and 1.02 hot (value from memory).

    So 8.4 l swell by about 0.41 l, and twice that is wanted.
    """
    done = knockons(COOLING)
    lines = {s.id: s for s in sums_of(done.after, done.links_after, van().figures)}
    assert lines["header-tank.over-radiator"].value == pytest.approx(94.0)
    assert lines["header-tank.holds"].low == pytest.approx(2 * 8.4 * (1.07 / 1.02 - 1.0), abs=0.1)
    assert lines["header-tank.holds"].verdict is Verdict.FINE


@pytest.mark.slow
def test_the_whole_cooling_job_is_planned_and_the_checker_agrees() -> None:
    found = answer(COOLING, 12.0)
    assert found.violations == ()
    assert found.plan.strip.proof is Proof.PROVED
    assert found.plan.slots[-1].step.ref == "road-test"
    assert found.plan.slots[-1].end.date() <= date(2027, 5, 8)
    assert found.work.tasks["flush"].spread == Spread(low_min=40, high_min=150)
    rolls = found.work.holds["rolls"]
    assert rolls.demands == (Demand(feature="state:on-stands", on=False),)
    assert rolls.asks(date(2027, 3, 19))
    assert not rolls.asks(date(2027, 3, 20))
