"""Lever kinematics against independent methods: the vector loop solved by Newton steps, virtual work by differences.

Neither uses the closed form: the loop |Q - P| = l with Q on the axis is solved for the piston's place, forces come from
moments about the pivot.
"""

import math
import random

import pytest

from planner.sums.lever import (
    Lever,
    LeverError,
    angle_at,
    dead_centres_deg,
    forces_at,
    state_at,
    states,
    summary,
    turned,
)

PEDAL = Lever(
    pivot_mm=(905, 650),
    clevis_mm=(911, 572),
    pad_mm=(961, 271),
    mouth_mm=(801, 572),
    push_deg=180,
    rod_mm=110,
    travel_deg=-16,
)
"""A hung pedal of our own: clevis 78 under the pivot, cylinder level in front of it."""


def loop_stroke(lever: Lever, angle_deg: float) -> float:
    """Piston's place by Newton steps on |M + s u - P|^2 + e^2 = l^2, from ahead of the clevis."""
    a = math.radians(angle_deg)
    x, z = lever.clevis_mm[0] - lever.pivot_mm[0], lever.clevis_mm[1] - lever.pivot_mm[1]
    p = (
        lever.pivot_mm[0] + x * math.cos(a) - z * math.sin(a),
        lever.pivot_mm[1] + x * math.sin(a) + z * math.cos(a),
    )
    u = (math.cos(math.radians(lever.push_deg)), math.sin(math.radians(lever.push_deg)))
    s = (p[0] - lever.mouth_mm[0]) * u[0] + (p[1] - lever.mouth_mm[1]) * u[1] + lever.rod_mm
    for _ in range(200):
        q = (lever.mouth_mm[0] + s * u[0] - p[0], lever.mouth_mm[1] + s * u[1] - p[1])
        miss = q[0] ** 2 + q[1] ** 2 + lever.beside_mm**2 - lever.rod_mm**2
        slope = 2 * (q[0] * u[0] + q[1] * u[1])
        s -= miss / slope
    return s


def some_lever(dice: random.Random) -> Lever | None:
    """A random layout that works through its travel, None when the rod does not reach or a dead centre is near."""
    push = dice.uniform(0, 360)
    pivot = (dice.uniform(-500, 500), dice.uniform(-500, 500))
    clevis_at, arm = dice.uniform(0, 360), dice.uniform(30, 150)
    clevis = (pivot[0] + arm * math.cos(math.radians(clevis_at)), pivot[1] + arm * math.sin(math.radians(clevis_at)))
    pad = turned((pivot[0] + dice.uniform(100, 450), pivot[1]), pivot, dice.uniform(0, 360))
    mouth = (clevis[0] + dice.uniform(-40, 40), clevis[1] + dice.uniform(-40, 40))
    lever = Lever(
        pivot_mm=pivot,
        clevis_mm=clevis,
        pad_mm=pad,
        mouth_mm=mouth,
        push_deg=push,
        rod_mm=dice.uniform(60, 200),
        travel_deg=dice.choice([-1, 1]) * dice.uniform(5, 30),
        beside_mm=dice.choice([0.0, 0.0, dice.uniform(-15, 15)]),
    )
    try:
        through = states(lever, 31)
    except LeverError:
        return None
    return lever if all(abs(s.ratio) < 100 and s.rod_deg < 60 for s in through) else None


def levers(count: int) -> list[Lever]:
    dice, found = random.Random(20), []
    while len(found) < count:
        lever = some_lever(dice)
        if lever is not None:
            found.append(lever)
    return found


LEVERS = levers(1000)


def test_stroke_and_lean_of_a_thousand_layouts_against_the_loop() -> None:
    for lever in LEVERS:
        for share in (0.0, 0.37, 1.0):
            angle = share * lever.travel_deg
            here = state_at(lever, angle)
            assert here.stroke_mm == pytest.approx(loop_stroke(lever, angle) - loop_stroke(lever, 0), abs=1e-9)
            run = math.dist(here.clevis_mm, here.seat_mm)
            assert math.hypot(run, lever.beside_mm) == pytest.approx(lever.rod_mm, abs=1e-9)
            u = (math.cos(math.radians(lever.push_deg)), math.sin(math.radians(lever.push_deg)))
            along = (here.seat_mm[0] - here.clevis_mm[0]) * u[0] + (here.seat_mm[1] - here.clevis_mm[1]) * u[1]
            assert math.cos(math.radians(here.rod_deg)) == pytest.approx(along / lever.rod_mm, abs=1e-9)


def test_force_by_moments_about_the_pivot() -> None:
    """Foot and rod balance about the pivot: the rod's force from that, its share along the axis is the piston's."""
    for lever in LEVERS:
        angle = 0.6 * lever.travel_deg
        here, found = state_at(lever, angle), forces_at(lever, angle, 100.0)
        run = [(q - p) / lever.rod_mm for p, q in zip(here.clevis_mm, here.seat_mm, strict=True)]
        arm = [p - o for p, o in zip(here.clevis_mm, lever.pivot_mm, strict=True)]
        about = arm[0] * run[1] - arm[1] * run[0]
        rod = math.copysign(100.0, lever.travel_deg) * lever.pad_arm_mm / about
        assert found.rod_n == pytest.approx(rod, rel=1e-9)
        u = (math.cos(math.radians(lever.push_deg)), math.sin(math.radians(lever.push_deg)))
        assert found.piston_n == pytest.approx(rod * (run[0] * u[0] + run[1] * u[1]), rel=1e-9)
        assert found.side_n**2 + found.piston_n**2 == pytest.approx(found.rod_n**2, rel=1e-9)


def test_the_ratio_is_the_slope_of_the_stroke() -> None:
    for lever in LEVERS[:200]:
        angle, step = 0.5 * lever.travel_deg, math.copysign(1e-3, lever.travel_deg)
        rise = loop_stroke(lever, angle + step) - loop_stroke(lever, angle - step)
        foot = lever.pad_arm_mm * 2 * abs(math.radians(step))
        assert state_at(lever, angle).ratio == pytest.approx(foot / rise, rel=1e-6)


def test_the_steepest_lean_is_found_between_the_ends_too() -> None:
    for lever in LEVERS[:60]:
        dense = max(state_at(lever, lever.travel_deg * n / 400).rod_deg for n in range(401))
        assert summary(lever).rod_most_deg == pytest.approx(dense, abs=2e-3)
        assert summary(lever).rod_most_deg >= dense - 1e-9


def test_the_angle_of_a_stroke_gives_that_stroke() -> None:
    for lever in (x for x in LEVERS[:200] if summary(x).stroke_mm > 1):
        wanted = 0.5 * max(s.stroke_mm for s in states(lever))
        assert state_at(lever, angle_at(lever, wanted)).stroke_mm == pytest.approx(wanted, abs=1e-9)


def test_a_hung_pedal_by_hand() -> None:
    """Clevis straight under the pivot but 6 mm behind, rod level: ratio is about pad arm over clevis arm."""
    found = summary(PEDAL)
    assert state_at(PEDAL, 0).ratio == pytest.approx(math.dist((905, 650), (961, 271)) / 78, rel=0.001)
    assert 20 < found.stroke_mm < 23
    assert found.warnings == ()


def test_a_dead_centre_in_the_travel_is_told() -> None:
    lever = Lever(
        pivot_mm=(0, 0),
        clevis_mm=(-50, 30),
        pad_mm=(0, -200),
        mouth_mm=(-300, 0),
        push_deg=180,
        rod_mm=150,
        travel_deg=60,
    )
    assert len(dead_centres_deg(lever)) == 1
    assert any("dead centre" in w for w in summary(lever).warnings)
    with pytest.raises(LeverError, match="mm are wanted"):
        angle_at(lever, 40)


def test_a_rod_that_does_not_reach_says_by_how_much() -> None:
    with pytest.raises(LeverError, match="short of the cylinder"):
        state_at(Lever(**{**{f: getattr(PEDAL, f) for f in PEDAL.__slots__}, "mouth_mm": (801, 400)}), 0)


def test_a_pull_where_a_push_is_wanted_is_told() -> None:
    wrong = Lever(**{**{f: getattr(PEDAL, f) for f in PEDAL.__slots__}, "travel_deg": 16.0})
    assert any("draws the piston back" in w for w in summary(wrong).warnings)
