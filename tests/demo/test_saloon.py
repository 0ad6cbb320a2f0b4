"""The third shipped vehicle: a saloon whose longer gearbox sends its neighbours rearwards, one because of the other.

What is expected here was reckoned by hand from the sizes in its files: where each part begins and ends.
"""

from __future__ import annotations

from datetime import date
from math import cos, hypot, radians, sin

import pytest
from shipped import Shipped

from planner.knockon import present_faults
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Proof
from planner.model.sums import Verdict
from planner.model.work import Demand
from planner.space import extent_mm
from planner.sums.sheet import sums_of

CLUTCH, GEARBOX = "clutch", "gearbox"
SALOON = Shipped("saloon")
saloon, knockons, answer = SALOON.vehicle, SALOON.knockons, SALOON.answer


def moves() -> dict[str, Effect]:
    return {e.subject: e for e in knockons(GEARBOX).effects if e.kind is EffectKind.MOVES}


def pushed_by(part: str, source: str) -> list[Cause]:
    return [c for c in moves()[part].causes if c.source == source]


def rearwards_mm(part: str) -> float:
    return knockons(GEARBOX).homes[part].at_mm[0] - saloon().components[part].pose.at_mm[0]


def test_the_saloon_is_described_whole_and_nothing_is_wrong_with_it() -> None:
    assert len(saloon().components) >= 60
    assert len(saloon().links) >= 45
    assert len(saloon().spaces) >= 8
    assert len(saloon().relations) >= 5
    assert SALOON.findings() == ()
    assert present_faults(saloon()) == ()


def test_its_wheels_stand_on_the_ground_and_nothing_else_does() -> None:
    low = {i: extent_mm(c.solids, c.pose)[0][2] for i, c in saloon().components.items()}
    wheels = {i for i in low if i.startswith("wheel-")}
    assert len(wheels) == 4
    assert all(low[w] == pytest.approx(-175.0, abs=0.01) for w in wheels)
    assert all(z > -175.0 + 75.0 for i, z in low.items() if i not in wheels)


def test_the_handbrake_goes_back_for_the_tunnel_and_sends_the_extinguisher_and_the_first_aid_box_away() -> None:
    """New tunnel to x 1402 and 20 mm free before the lever, whose foot begins at 1355: 67 mm.

    Its grip then reaches past x 1700, where the extinguisher has begun at 1668.
    """
    assert knockons(GEARBOX).proof is Proof.PROVED
    assert pushed_by("handbrake-lever", "new:wide-tunnel")
    assert rearwards_mm("handbrake-lever") == pytest.approx(67.0, abs=0.1)
    assert {c.kind for c in pushed_by("extinguisher", "moves:handbrake-lever")} == {CauseKind.CLASH}
    assert {c.kind for c in pushed_by("first-aid-box", "moves:extinguisher")} == {CauseKind.CLASH}
    assert {c.source for c in moves()["first-aid-box"].causes} == {"moves:extinguisher"}


def test_under_the_floor_the_crossmember_pushes_the_filter_and_the_filter_the_pump() -> None:
    """Crossmember to x 1297; filter from 1220, 84 long; pump from 1391; 10 mm between them: 87 mm, then 10 mm."""
    assert pushed_by("fuel-filter", "new:tail-crossmember")
    assert rearwards_mm("fuel-filter") == pytest.approx(87.0, abs=0.1)
    assert {c.source for c in moves()["fuel-pump"].causes} == {"moves:fuel-filter"}
    assert rearwards_mm("fuel-pump") == pytest.approx(10.0, abs=0.1)


def test_the_silencer_steps_back_by_the_overlap_and_the_gap_it_keeps() -> None:
    """Silencer from x 1290, crossmember to 1297, 20 mm to be kept."""
    assert rearwards_mm("silencer") == pytest.approx(27.0, abs=0.1)


def test_the_propeller_shaft_is_made_anew_as_much_shorter_as_the_box_is_longer() -> None:
    """Box flange from x 1150 to 1295 at z 180; axle flange at x 2440, z 135."""
    made = next(e for e in knockons(GEARBOX).effects if e.id == "made anew:propshaft")
    pulled = [c.mm for c in made.causes if c.mm is not None]
    assert -pulled[0] == pytest.approx(hypot(1290, 45) - hypot(1145, 45), abs=0.1)


def test_the_slave_goes_far_enough_to_clear_the_clutch() -> None:
    """Rod 70 mm below and 6 mm behind the pivot, 19 degrees, less 1.5 mm of play; areas as 0.7 in to 7/8 in squared."""
    turn = radians(19.0)
    stroke_mm = 6.0 - (6.0 * cos(turn) - 70.0 * sin(turn))
    done = answer(CLUTCH, 0.4).knockons
    line = {s.id: s for s in sums_of(done.after, done.links_after, saloon().figures)}["clutch-push-rod.slave"]
    assert line.value == pytest.approx((stroke_mm - 1.5) * (0.7 / 0.875) ** 2, abs=0.1)
    assert line.verdict is Verdict.FINE


def test_the_small_job_is_planned_and_the_checker_agrees() -> None:
    found = answer(CLUTCH, 0.4)
    assert found.violations == ()
    assert found.knockons.proof is Proof.PROVED
    assert {e.subject for e in found.knockons.effects if e.kind is EffectKind.MOVES} == {"fuse-box", "coil"}
    assert found.plan.slots[-1].end.date() <= date(2027, 2, 20)


@pytest.mark.slow
def test_the_whole_gearbox_job_is_planned_and_the_checker_agrees() -> None:
    found = answer(GEARBOX, 12.0)
    assert found.violations == ()
    assert found.plan.strip.proof is not Proof.NONE
    assert found.plan.slots[-1].step.ref == "road-test"
    assert found.plan.slots[-1].end.date() <= date(2027, 4, 24)
    pushed = found.work.holds["pushed"]
    assert pushed.demands == (Demand(feature="state:on-stands", on=False),)
    assert pushed.asks(date(2027, 2, 7))
    assert not pushed.asks(date(2027, 2, 14))
