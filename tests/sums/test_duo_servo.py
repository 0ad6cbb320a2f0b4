"""Duo-servo drums against the pressure integrated numerically and both shoes balanced by a root finder."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from sums.bench_car import FIGURES, FRONT, LINKS, PARTS

from planner.model.figures import DuoFigures, Figure
from planner.sums.duo_servo import DuoDrum, duo_torque, offset_mm
from planner.sums.sheet import sums_of

DRUM = DuoDrum(radius_mm=127.0, lining_deg=100.0, cylinder_mm=98.0, link_mm=95.0, anchor_mm=105.0)


def drum_on_shoe(drum: DuoDrum, friction: float, peak: float, bed: float) -> tuple[float, float, float]:
    """Level push (inwards), upright push and torque of a cosine pressure, the drum dragging the shoe towards +."""
    half, r = math.radians(drum.lining_deg) / 2, drum.radius_mm

    def total(share) -> float:  # noqa: ANN001  # a plain lambda
        edge = bed - math.pi / 2
        inner = [edge] if -half < edge < half else None
        return quad(lambda t: peak * max(0.0, math.cos(t - bed)) * r * share(t), -half, half, points=inner)[0]

    level = total(lambda t: math.cos(t) + friction * math.sin(t))
    upright = total(lambda t: -math.sin(t) + friction * math.cos(t))
    return level, upright, total(lambda _: friction * r)


def balanced(drum: DuoDrum, friction: float, force: float) -> tuple[float, float]:
    """Torque of each shoe: where it beds by root finding on the integral, then four equations solved at once."""
    bed = brentq(lambda b: drum_on_shoe(drum, friction, 1.0, b)[1], 0.0, math.pi / 2, xtol=1e-13)
    level, upright, torque = drum_on_shoe(drum, friction, 1.0, bed)
    assert upright == pytest.approx(0.0, abs=1e-6 * level)
    # Unknown: peak pressure of the first shoe, the link's push, peak of the second, the anchor's push. The drum's
    # torque on the first shoe is held by the link below less the cylinder above; of the second likewise.
    rows = [
        [level, -1.0, 0.0, 0.0],
        [torque, -drum.link_mm, 0.0, 0.0],
        [0.0, -1.0, level, -1.0],
        [0.0, drum.link_mm, torque, -drum.anchor_mm],
    ]
    known = [force, -force * drum.cylinder_mm, force, force * drum.cylinder_mm]
    first, _, second, _ = np.linalg.solve(np.array(rows), np.array(known))
    return first * torque, second * torque


@pytest.mark.parametrize("friction", [0.2, 0.3, 0.38])
@pytest.mark.parametrize("lining_deg", [80.0, 100.0, 125.0])
def test_both_shoes_balanced_numerically(friction: float, lining_deg: float) -> None:
    drum = replace(DRUM, lining_deg=lining_deg)
    found = duo_torque(drum, friction, 1000.0)
    assert (found.first_nmm, found.second_nmm) == pytest.approx(balanced(drum, friction, 1000.0), rel=1e-6)
    # All that turns the shoes is held by the anchor: the cylinder's two pushes and the link's cancel.
    assert found.torque_nmm == pytest.approx(found.anchor_n * drum.anchor_mm, rel=1e-9)


def test_pressed_all_over_it_is_the_closed_form() -> None:
    """h = mu / (1 + mu^2) 4 r sin(beta/2) / (beta + sin beta), a narrow lining of little friction."""
    drum = replace(DRUM, lining_deg=40.0)
    beta, mu = math.radians(40), 0.05
    closed = mu / (1 + mu**2) * 4 * 127 * math.sin(beta / 2) / (beta + math.sin(beta))
    assert offset_mm(drum, mu) == pytest.approx(closed, rel=1e-12)


def test_what_locks_is_refused() -> None:
    with pytest.raises(ValueError, match="locks"):
        duo_torque(replace(DRUM, link_mm=40.0), 0.4, 1000.0)
    with pytest.raises(ValueError, match="more than half"):
        duo_torque(replace(DRUM, lining_deg=190.0), 0.4, 1000.0)


def test_it_reaches_the_road() -> None:
    """The axle's force: two wheels, torque over the tyre's radius; 2278 N of piston as in Shigley, ex. 16-2."""
    duo = DuoFigures(cylinder_mm=Figure(98.0), link_mm=Figure(95.0), anchor_mm=Figure(105.0))
    axle = replace(FRONT, duo=duo, radius_mm=Figure(127.0))
    lines = {x.id: x for x in sums_of(PARTS, LINKS, replace(FIGURES, axles={"front": axle}))}
    pressure = lines["rod.pressure"].value
    assert pressure is not None
    drum = replace(DRUM, lining_deg=126.0)
    torque = sum(balanced(drum, 0.32, pressure * math.pi / 4 * 16.60**2))
    assert lines["front.force"].value == pytest.approx(2 * torque / 300.0, rel=1e-6)
