"""Tightening torque and the clamp load it gives; each way of reckoning says its friction."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

TORQUE_BASIS = Basis(
    source="T = K d F (common textbook form); VDI 2230:2003 for torque with the friction stated",
    assumed=("clean thread and seat, friction as stated", "new nut, no prevailing torque"),
    not_covered=(
        "friction differs by a third between dry, oiled and plated: the same torque then clamps a third more or less",
        "a torque from the maker of the part goes before this one",
    ),
)


def torque_nm(diameter_mm: float, clamp_n: float, nut_factor: float) -> float:
    """Torque for a clamp load by the nut factor [N m]: T = K d F."""
    positive(diameter_mm=diameter_mm, clamp_n=clamp_n, nut_factor=nut_factor)
    return nut_factor * diameter_mm * clamp_n / 1000.0


def nut_factor_of(  # the friction angle of a V thread is what the half angle makes of it
    diameter_mm: float, pitch_mm: float, *, thread_friction: float, collar_friction: float, half_angle_deg: float = 30.0
) -> float:
    r"""Nut factor K of a V thread from its friction.

    .. math::
        K = \frac{d_m}{2 d} \frac{\tan\lambda + \mu \sec\alpha}{1 - \mu \tan\lambda \sec\alpha} + 0.625 \mu_c

    with d_m = (d + d_r) / 2, d_r = d - 1.226869 P, tan(lambda) = P / (pi d_m), and a collar of mean diameter 1.25 d.
    Source: Shigley, Mechanical Engineering Design (chapter on screws and fasteners).
    """
    positive(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    mean_mm = diameter_mm - 1.226869 * pitch_mm / 2.0
    lead = pitch_mm / (math.pi * mean_mm)
    rub = thread_friction / math.cos(math.radians(half_angle_deg))
    return mean_mm / (2.0 * diameter_mm) * (lead + rub) / (1.0 - lead * rub) + 0.625 * collar_friction


def turn_deg(stress_mpa: float, grip_mm: float, pitch_mm: float, *, modulus_mpa: float) -> float:
    """Turn of the nut from snug that stretches the grip to a stress [deg]: 360 (stress L / E) / P.

    Source: Wentzell, Machine Design (turn-of-nut); the clamped parts are taken as stiff.
    """
    positive(stress_mpa=stress_mpa, grip_mm=grip_mm, pitch_mm=pitch_mm, modulus_mpa=modulus_mpa)
    return 360.0 * stress_mpa * grip_mm / modulus_mpa / pitch_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Preload:
    """Clamp load [N] and the torque that gives it [N m]."""

    clamp_n: float
    torque_nm: float
    basis: Basis = TORQUE_BASIS


def preload(
    diameter_mm: float,
    pitch_mm: float,
    *,
    yield_mpa: float,
    friction: float,
    head_mm: float,
    hole_mm: float,
    use: float = 0.9,
) -> Preload:
    r"""Clamp load and torque at a share of the yield, thread and seat of the same friction.

    .. math::
        F_M = \frac{\nu R_p A_0}{\sqrt{1 + 3 [\frac{3}{2} \frac{d_2}{d_0} (\frac{P}{\pi d_2} + 1.155 \mu)]^2}}, \quad
        M_A = F_M [0.159 P + 0.577 d_2 \mu + \mu (d_w + d_h) / 4]

    with d_2 = d - 0.6495 P, d_3 = d - 1.2269 P, d_0 = (d_2 + d_3) / 2. Source: VDI 2230:2003.

    Parameters
    ----------
    diameter_mm, pitch_mm : float
    yield_mpa : float
        Least yield of the class.
    friction : float
        Of thread and seat, 0.08 to 0.2 in practice.
    head_mm, hole_mm : float
        Outer diameter of the bearing face and diameter of the hole.
    use : float
        Share of the yield used, 0.9 in the tables.
    """
    positive(diameter_mm=diameter_mm, pitch_mm=pitch_mm, yield_mpa=yield_mpa, friction=friction, use=use)
    positive(head_mm=head_mm, hole_mm=hole_mm)
    flank_mm = diameter_mm - 0.6495 * pitch_mm
    stress_mm = (flank_mm + diameter_mm - 1.2269 * pitch_mm) / 2.0
    area_mm2 = math.pi / 4.0 * stress_mm**2
    twist = 1.5 * flank_mm / stress_mm * (pitch_mm / (math.pi * flank_mm) + 1.155 * friction)
    force_n = use * yield_mpa * area_mm2 / math.sqrt(1.0 + 3.0 * twist**2)
    arm_mm = 0.159 * pitch_mm + 0.577 * flank_mm * friction + (head_mm + hole_mm) / 4.0 * friction
    return Preload(clamp_n=force_n, torque_nm=force_n * arm_mm / 1000.0)
