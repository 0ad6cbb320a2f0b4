"""Cross-sections of bars, tubes and strips, and the stress of bending in them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

BENDING_BASIS = Basis(
    source="sigma = M / W of the straight beam (Gere, Mechanics of Materials; Pytel, Strength of Materials)",
    assumed=("a straight arm, load in its plane", "no holes where it bends most"),
    not_covered=(
        "fatigue: a pedal is pushed a hundred thousand times",
        "buckling and twist of a thin or bent arm",
        "weld heat, which softens hardened and cold-drawn steel",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A cross-section: area [mm2], elastic modulus W about the bending axis [mm3] and second moment I [mm4]."""

    area_mm2: float
    modulus_mm3: float
    second_mm4: float


def strip(thickness_mm: float, depth_mm: float) -> Section:
    """A flat bar on edge: W = t h^2 / 6."""
    positive(thickness_mm=thickness_mm, depth_mm=depth_mm)
    second = thickness_mm * depth_mm**3 / 12.0
    return Section(area_mm2=thickness_mm * depth_mm, modulus_mm3=2.0 * second / depth_mm, second_mm4=second)


def drilled_strip(thickness_mm: float, depth_mm: float, hole_mm: float) -> Section:
    """A flat bar on edge with a hole through its middle: I = t (h^3 - d^3) / 12.

    Raises
    ------
    ValueError
        The hole is as deep as the bar.
    """
    positive(hole_mm=hole_mm)
    whole = strip(thickness_mm, depth_mm)
    if hole_mm >= depth_mm:
        raise ValueError(f"a hole of {hole_mm:g} mm leaves nothing of {depth_mm:g} mm")
    gone = strip(thickness_mm, hole_mm)
    second = whole.second_mm4 - gone.second_mm4
    return Section(area_mm2=whole.area_mm2 - gone.area_mm2, modulus_mm3=2.0 * second / depth_mm, second_mm4=second)


def round_bar(across_mm: float) -> Section:
    """A solid round: W = pi d^3 / 32."""
    positive(across_mm=across_mm)
    second = math.pi * across_mm**4 / 64.0
    return Section(area_mm2=math.pi * across_mm**2 / 4.0, modulus_mm3=2.0 * second / across_mm, second_mm4=second)


def round_tube(across_mm: float, wall_mm: float) -> Section:
    """A round tube.

    Raises
    ------
    ValueError
        The wall is no thinner than half of it.
    """
    positive(across_mm=across_mm, wall_mm=wall_mm)
    inside = across_mm - 2.0 * wall_mm
    if inside <= 0.0:
        raise ValueError(f"a wall of {wall_mm:g} mm leaves no bore in {across_mm:g} mm")
    outer, inner = round_bar(across_mm), round_bar(inside)
    second = outer.second_mm4 - inner.second_mm4
    return Section(area_mm2=outer.area_mm2 - inner.area_mm2, modulus_mm3=2.0 * second / across_mm, second_mm4=second)


def box_tube(width_mm: float, depth_mm: float, wall_mm: float) -> Section:
    """A square or rectangular tube, bent about its width; corners are taken as sharp.

    Raises
    ------
    ValueError
        The wall leaves no bore.
    """
    positive(width_mm=width_mm, depth_mm=depth_mm, wall_mm=wall_mm)
    if 2.0 * wall_mm >= min(width_mm, depth_mm):
        raise ValueError(f"a wall of {wall_mm:g} mm leaves no bore in {width_mm:g} x {depth_mm:g} mm")
    outer = strip(width_mm, depth_mm)
    inner = strip(width_mm - 2.0 * wall_mm, depth_mm - 2.0 * wall_mm)
    second = outer.second_mm4 - inner.second_mm4
    return Section(area_mm2=outer.area_mm2 - inner.area_mm2, modulus_mm3=2.0 * second / depth_mm, second_mm4=second)


def bending_mpa(moment_nmm: float, section: Section) -> float:
    """Greatest bending stress [MPa]: M / W."""
    return moment_nmm / section.modulus_mm3
