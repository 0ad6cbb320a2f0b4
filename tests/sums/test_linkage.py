"""Levers joined by rods and cables, against a vector loop closed numerically, virtual work and hand-worked cases."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from planner.model.shapes import Vec
from planner.sums.lever import LeverError
from planner.sums.linkage import Chain, Hinge, Stage, followed, least_meeting_deg, turn_for, turns_back

Y: Vec = (0.0, 1.0, 0.0)


def vec(values: np.ndarray) -> Vec:
    x, y, z = values.tolist()
    return x, y, z


def random_hinge(draw: random.Random) -> Hinge:
    way = np.array([draw.gauss(0, 1) for _ in range(3)])
    return Hinge(
        about_mm=vec(np.array([draw.uniform(-200, 200) for _ in range(3)])), axis=vec(way / np.linalg.norm(way))
    )


def near(hinge: Hinge, draw: random.Random, least: float, most: float) -> Vec:
    """A place with an arm from a hinge."""
    axis = np.array(hinge.axis)
    side = np.cross(axis, [draw.gauss(0, 1) for _ in range(3)])
    side *= draw.uniform(least, most) / np.linalg.norm(side)
    return vec(np.array(hinge.about_mm) + side + axis * draw.uniform(-60, 60))


def random_chain(draw: random.Random, stages: int) -> Chain:
    first = random_hinge(draw)
    before, made = first, []
    for _ in range(stages):
        hinge = random_hinge(draw)
        outer = None
        if draw.random() < 0.4:
            outer = (near(before, draw, 100, 300), near(hinge, draw, 100, 300))
        made.append(
            Stage(start_mm=near(before, draw, 30, 90), end_mm=near(hinge, draw, 30, 90), hinge=hinge, outer_mm=outer)
        )
        before = hinge
    return Chain(hinge=first, push_mm=near(first, draw, 100, 250), stages=tuple(made))


def at(point: Vec, hinge: Hinge, turn_rad: float) -> np.ndarray:
    """Turned by scipy's rotation vector, not by the tool's own formula."""
    about = np.array(hinge.about_mm)
    return about + Rotation.from_rotvec(np.array(hinge.axis) * turn_rad).apply(np.array(point) - about)


def loop_closed(chain: Chain, turn_deg: float) -> float:
    """Turn of the last lever [rad] by closing each loop with Brent's method, carried along in small steps."""
    turns = [0.0] * len(chain.stages)
    for share in np.linspace(0, 1, 41)[1:]:
        hinge, turn = chain.hinge, math.radians(turn_deg) * share
        for n, stage in enumerate(chain.stages):
            assert stage.hinge is not None
            start = at(stage.start_mm, hinge, turn)

            def error(phi: float, stage: Stage = stage, start: np.ndarray = start) -> float:
                assert stage.hinge is not None
                end = at(stage.end_mm, stage.hinge, phi)
                if stage.outer_mm is None:
                    return float(np.linalg.norm(end - start)) - math.dist(stage.start_mm, stage.end_mm)
                one, other = (np.array(o) for o in stage.outer_mm)
                now = np.linalg.norm(start - one) + np.linalg.norm(end - other)
                return float(now) - math.dist(stage.start_mm, one) - math.dist(stage.end_mm, other)

            step = 0.002
            while error(turns[n] - step) * error(turns[n] + step) > 0:
                step *= 1.6
                assert step < 1.0
            turns[n] = brentq(error, turns[n] - step, turns[n] + step, xtol=1e-15, rtol=1e-15)
            hinge, turn = stage.hinge, turns[n]
    return turns[-1]


def usable(chain: Chain, turn_deg: float) -> bool:
    try:
        return least_meeting_deg(chain, turn_deg) > 12.0
    except LeverError:
        return False


def checked(count: int, seed: int) -> None:
    draw, done = random.Random(seed), 0
    while done < count:
        chain, turn = random_chain(draw, draw.choice((1, 2))), draw.uniform(-25, 25)
        if not usable(chain, turn):
            continue
        done += 1
        last = followed(chain, turn)[-1]
        assert math.radians(last.turn_deg) == pytest.approx(loop_closed(chain, turn), abs=1e-9)
        # Virtual work: the turn's rate is its slope, by central differences of the closed loop's own answer.
        tiny = 1e-4
        slope = (followed(chain, turn + tiny)[-1].turn_deg - followed(chain, turn - tiny)[-1].turn_deg) / (2 * tiny)
        assert last.rate == pytest.approx(slope, rel=1e-5, abs=1e-7)


def test_against_the_vector_loop_closed_numerically() -> None:
    checked(60, 11)


@pytest.mark.slow
def test_a_thousand_against_the_vector_loop_closed_numerically() -> None:
    checked(1000, 12)


def four_bar(crank: float, coupler: float, rocker: float, ground: float, crank_deg: float) -> Chain:
    """A plane four-bar from its lengths, the crank drawn at an angle from the line of the pivots, open form."""
    b = crank * math.cos(math.radians(crank_deg)), crank * math.sin(math.radians(crank_deg))
    gap = math.dist(b, (ground, 0.0))
    lean = math.atan2(-b[1], ground - b[0])
    rise = math.acos((coupler**2 + gap**2 - rocker**2) / (2 * coupler * gap))
    c = b[0] + coupler * math.cos(lean + rise), b[1] + coupler * math.sin(lean + rise)
    # x and z of the vehicle; a right-handed turn about -y is counted from x to z.
    axis: Vec = (0.0, -1.0, 0.0)
    stage = Stage(
        start_mm=(b[0], 0.0, b[1]), end_mm=(c[0], 0.0, c[1]), hinge=Hinge(about_mm=(ground, 0.0, 0.0), axis=axis)
    )
    return Chain(hinge=Hinge(about_mm=(0.0, 0.0, 0.0), axis=axis), push_mm=(b[0], 0.0, b[1]), stages=(stage,))


@pytest.mark.parametrize("to_deg", [45.0, 60.0, 90.0])
def test_freudensteins_equation(to_deg: float) -> None:
    """K1 cos(t4) - K2 cos(t2) + K3 = cos(t2 - t4), K1 = d/a, K2 = d/c, K3 = (a2 - b2 + c2 + d2)/(2ac)."""
    a, b, c, d = 40.0, 120.0, 80.0, 100.0
    chain = four_bar(a, b, c, d, 40)
    end = chain.stages[0].end_mm
    t2 = math.radians(to_deg)
    t4 = math.atan2(end[2], end[0] - d) + math.radians(followed(chain, to_deg - 40)[0].turn_deg)
    k3 = (a**2 - b**2 + c**2 + d**2) / (2 * a * c)
    assert d / a * math.cos(t4) - d / c * math.cos(t2) + k3 == pytest.approx(math.cos(t2 - t4), abs=1e-12)


def test_a_parallelogram_turns_alike_and_one_to_two_halves() -> None:
    """Equal parallel levers turn alike; with arms of 40 and 80 mm square to the rod the rate is a half, by hand."""
    axis, far = Y, (300.0, 0.0, 0.0)
    same = Chain(
        hinge=Hinge(about_mm=(0, 0, 0), axis=axis),
        push_mm=(0, 0, 100),
        stages=(Stage(start_mm=(0, 0, 50), end_mm=(300, 0, 50), hinge=Hinge(about_mm=far, axis=axis)),),
    )
    assert followed(same, 33.0)[0].turn_deg == pytest.approx(33.0, abs=1e-12)
    double = Chain(
        hinge=Hinge(about_mm=(0, 0, 0), axis=axis),
        push_mm=(0, 0, 100),
        stages=(Stage(start_mm=(0, 0, 40), end_mm=(300, 0, 40), hinge=Hinge(about_mm=(300, 0, -40), axis=axis)),),
    )
    assert followed(double, 0.0)[0].rate == pytest.approx(0.5)
    assert followed(double, 0.0)[0].meets_deg == pytest.approx(90.0)


def test_a_cable_drawn_by_a_lever() -> None:
    """An outer 400 mm straight off the lever's end, arm 50 mm turned 30 deg: 25 mm and a little for the slant."""
    chain = Chain(
        hinge=Hinge(about_mm=(0, 0, 0), axis=Y),
        push_mm=(0, 0, 300),
        stages=(Stage(start_mm=(0, 0, 50), end_mm=(0, 0, 0), hinge=None, outer_mm=((-400, 0, 50), (-900, 0, 50))),),
    )
    x, z = 50 * math.sin(math.radians(30)), 50 * math.cos(math.radians(30))
    assert followed(chain, 30.0)[0].pull_mm == pytest.approx(math.hypot(x + 400, z - 50) - 400, abs=1e-12)
    assert followed(chain, 30.0)[0].pull_mm == pytest.approx(25.05, abs=0.01)
    assert followed(chain, 0.0)[0].pull_rate_mm == pytest.approx(50.0)


def test_dead_centres_and_rods_that_do_not_reach_are_said() -> None:
    chain = four_bar(40, 120, 80, 100, 40)
    with pytest.raises(LeverError, match="does not reach"):
        followed(four_bar(80, 90, 40, 100, 40), 90.0)
    assert turns_back(chain, 360.0)
    assert not turns_back(chain, 60.0)
    at_rest = Chain(
        hinge=Hinge(about_mm=(0, 0, 0), axis=Y),
        push_mm=(0, 0, 90),
        stages=(Stage(start_mm=(0, 0, 50), end_mm=(300, 0, 50), hinge=Hinge(about_mm=(360, 0, 50), axis=Y)),),
    )
    with pytest.raises(LeverError, match="dead centre"):
        followed(at_rest, 1.0)


def test_the_turn_that_opens_it() -> None:
    chain = four_bar(40, 120, 80, 100, 40)
    wanted = followed(chain, 31.0)[0].turn_deg
    assert turn_for(chain, 60.0, abs(wanted)) == pytest.approx(31.0, abs=1e-9)
    with pytest.raises(LeverError, match="does not give"):
        turn_for(chain, 10.0, 170.0)
