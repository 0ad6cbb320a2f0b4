"""Long-shoe drum brakes: torque of a leading and a trailing shoe, and of the usual pairs.

Pressure on the lining rises with the sine of the angle from the pivot. Angles are from the line of drum centre and
pivot to the lining's two ends. Source: Shigley, Mechanical Engineering Design (internal expanding rim brakes).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from planner.sums.basis import Basis, positive

DRUM_BASIS = Basis(
    source="Shigley, Mechanical Engineering Design: long internal shoe with sinusoidal pressure",
    assumed=("shoe pivoted at one end and stiff", "lining bedded in", "even friction"),
    not_covered=("fade and water", "shoes that slide on an abutment", "drums bell-mouthed or turned thin"),
)
_RIGHT_DEG = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shoe:
    """A pivoted shoe: drum radius, lining width, pivot radius, actuating arm about the pivot [mm], lining angles."""

    radius_mm: float
    width_mm: float
    pivot_mm: float
    arm_mm: float
    begins_deg: float
    ends_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeMoments:
    """Moments about the pivot and torque about the drum, for each MPa of greatest pressure [N mm / MPa]."""

    friction: float
    normal: float
    torque: float


def moments(shoe: Shoe, friction: float) -> ShoeMoments:
    r"""Moments of a shoe per unit of its greatest lining pressure.

    .. math::
        M_f &= f p_a b r / \sin\theta_a [r (\cos\theta_1 - \cos\theta_2) - (a/2)(\sin^2\theta_2 - \sin^2\theta_1)] \\
        M_N &= p_a b r a / \sin\theta_a [(\theta_2 - \theta_1)/2 - (\sin 2\theta_2 - \sin 2\theta_1)/4] \\
        T &= f p_a b r^2 (\cos\theta_1 - \cos\theta_2) / \sin\theta_a

    theta_a is 90 deg where the lining reaches it, else its far end.

    Raises
    ------
    ValueError
        The lining's angles do not rise from 0 to at most 180 deg, or a size is not above 0.
    """
    positive(radius_mm=shoe.radius_mm, width_mm=shoe.width_mm, pivot_mm=shoe.pivot_mm, arm_mm=shoe.arm_mm)
    positive(friction=friction)
    if not 0.0 <= shoe.begins_deg < shoe.ends_deg <= 2.0 * _RIGHT_DEG:
        raise ValueError(f"a lining from {shoe.begins_deg:g} to {shoe.ends_deg:g} deg cannot be")
    one, two = math.radians(shoe.begins_deg), math.radians(shoe.ends_deg)
    peak = math.sin(math.radians(min(shoe.ends_deg, _RIGHT_DEG)))
    r, a, b = shoe.radius_mm, shoe.pivot_mm, shoe.width_mm
    spread = math.cos(one) - math.cos(two)
    tilt = math.sin(two) ** 2 - math.sin(one) ** 2
    normal = (two - one) / 2.0 - (math.sin(2.0 * two) - math.sin(2.0 * one)) / 4.0
    return ShoeMoments(
        friction=friction * b * r / peak * (r * spread - a / 2.0 * tilt),
        normal=b * r * a / peak * normal,
        torque=friction * b * r**2 * spread / peak,
    )


class Leading(StrEnum):
    """Whether the drum's turning pulls the shoe on or pushes it off."""

    LEADING = "leading"
    TRAILING = "trailing"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeAnswer:
    """Torque of a shoe [N mm], the greatest pressure on its lining [MPa] and its torque per N of actuation [mm]."""

    torque_nmm: float
    pressure_mpa: float
    per_force_mm: float
    basis: Basis = DRUM_BASIS


def shoe_torque(shoe: Shoe, friction: float, force_n: float, side: Leading) -> ShoeAnswer:
    """Torque of one shoe for an actuating force: F c = M_N -+ M_f (minus when leading).

    Raises
    ------
    ValueError
        A leading shoe so steep that it locks by itself.
    """
    positive(force_n=force_n)
    unit = moments(shoe, friction)
    arm = unit.normal - unit.friction if side is Leading.LEADING else unit.normal + unit.friction
    if arm <= 0.0:
        raise ValueError("the leading shoe locks by itself: the pivot is too near or the lining too grippy")
    pressure = force_n * shoe.arm_mm / arm
    return ShoeAnswer(
        torque_nmm=unit.torque * pressure, pressure_mpa=pressure, per_force_mm=unit.torque * shoe.arm_mm / arm
    )


def drum_torque_nmm(shoe: Shoe, friction: float, force_n: float, shoes: tuple[Leading, ...]) -> float:
    """Torque of a drum whose shoes are all pushed with the same force [N mm].

    ``shoes``: leading and trailing for the common brake, twice leading for a twin leading one. A duo-servo brake pushes
    its second shoe with the first: see :mod:`planner.sums.duo_servo`.
    """
    return sum(shoe_torque(shoe, friction, force_n, side).torque_nmm for side in shoes)


def band_tensions_n(tight_n: float, friction: float, wrap_deg: float) -> float:
    """Slack-side tension of a band brake [N]: P_1 / exp(mu theta). Source: Bhandari, Design of Machine Elements."""
    positive(tight_n=tight_n, friction=friction, wrap_deg=wrap_deg)
    return tight_n / math.exp(friction * math.radians(wrap_deg))
