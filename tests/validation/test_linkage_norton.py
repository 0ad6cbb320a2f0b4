"""A four-bar worked by Norton, Design of Machinery, example 4-1 (value from memory), and Freudenstein's equation.

Links 40 mm (crank), 120 mm, 80 mm and 100 mm (ground), the crank at 40 deg: the rocker stands at 57.33 deg in the open
form.
"""

import math

import pytest

from planner.sums.linkage import Chain, Hinge, Stage, followed

CRANK, COUPLER, ROCKER, GROUND = 40.0, 120.0, 80.0, 100.0
AXIS = (0.0, -1.0, 0.0)
"""A right-handed turn about it is counted from x to z."""
ROCKER_DEG = 57.33


def chain_at_40() -> Chain:
    """The rocker's end is put where the published angle says, so the coupler comes out right only if that holds."""
    b = CRANK * math.cos(math.radians(40)), CRANK * math.sin(math.radians(40))
    c = GROUND + ROCKER * math.cos(math.radians(ROCKER_DEG)), ROCKER * math.sin(math.radians(ROCKER_DEG))
    stage = Stage(
        start_mm=(b[0], 0.0, b[1]), end_mm=(c[0], 0.0, c[1]), hinge=Hinge(about_mm=(GROUND, 0.0, 0.0), axis=AXIS)
    )
    return Chain(hinge=Hinge(about_mm=(0.0, 0.0, 0.0), axis=AXIS), push_mm=(b[0], 0.0, b[1]), stages=(stage,))


def test_the_published_angle_closes_the_loop() -> None:
    stage = chain_at_40().stages[0]
    assert math.dist(stage.start_mm, stage.end_mm) == pytest.approx(COUPLER, abs=0.02)


@pytest.mark.parametrize("crank_deg", [20.0, 60.0, 90.0, 130.0])
def test_freudensteins_equation_at_other_angles(crank_deg: float) -> None:
    """K1 cos(t4) - K2 cos(t2) + K3 = cos(t2 - t4), K1 = d/a, K2 = d/c, K3 = (a2 - b2 + c2 + d2) / (2 a c)."""
    t2 = math.radians(crank_deg)
    t4 = math.radians(ROCKER_DEG + followed(chain_at_40(), crank_deg - 40.0)[0].turn_deg)
    k3 = (CRANK**2 - COUPLER**2 + ROCKER**2 + GROUND**2) / (2 * CRANK * ROCKER)
    left = GROUND / CRANK * math.cos(t4) - GROUND / ROCKER * math.cos(t2) + k3
    # The published angle is good to two figures behind the point, and so is the coupler.
    assert left == pytest.approx(math.cos(t2 - t4), abs=1e-3)
