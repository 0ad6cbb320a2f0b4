"""Pivot bolts in shear, bending and bearing; sheet that a bolt bears on or would pull through."""

from __future__ import annotations

import math

from planner.sums.basis import Basis, positive
from planner.sums.sections import bending_mpa, round_bar

PIN_BASIS = Basis(
    source="shear F / (n A), bending F L / 4 between supports, bearing F / (d l) (common textbook forms)",
    assumed=("the load in the middle of the bush", "supports that do not spread", "the plain shank carries, no thread"),
    not_covered=("wear", "a bolt that works loose: a self-locking nut or a split pin, and eyes", "knocks"),
)
SHEET_BASIS = Basis(
    source="bearing k1 alpha_b f_u d t and punching 0.6 pi d_m t f_u (EN 1993-1-8, table 3.4; values from memory)",
    assumed=("sheet and doubler pressed flat together", "all holes in line with the nearest edge"),
    not_covered=(
        "a thin sheet bends long before it tears: press the pedal hard and watch the bulkhead",
        "cracks at the doubler's edge",
        "rust",
    ),
)
SHEAR_YIELD = 1.0 / math.sqrt(3.0)
"""Shear yield over tensile yield (von Mises)."""


def pin_shear_mpa(force_n: float, across_mm: float, sides: int) -> float:
    """Mean shear of a pin cut through ``sides`` times [MPa]."""
    positive(force_n=force_n, across_mm=across_mm, sides=sides)
    return force_n / (sides * round_bar(across_mm).area_mm2)


def pin_bending_mpa(force_n: float, across_mm: float, long_mm: float, sides: int) -> float:
    """Bending of a pin with its load in the middle of a bush [MPa].

    Held on both sides M = F L / 4, held at one end M = F L / 2.
    """
    positive(force_n=force_n, long_mm=long_mm, sides=sides)
    return bending_mpa(force_n * long_mm / (2.0 * sides), round_bar(across_mm))


def pin_bearing_mpa(force_n: float, across_mm: float, long_mm: float) -> float:
    """Pressure on the projected area of a bush [MPa]."""
    positive(force_n=force_n, across_mm=across_mm, long_mm=long_mm)
    return force_n / (across_mm * long_mm)


def hole_mm(thread_mm: float) -> float:
    """Normal clearance hole of a bolt [mm]: 1 mm more up to M14, 2 mm from M16 (EN 1090-2, value from memory)."""
    positive(thread_mm=thread_mm)
    return thread_mm + (1.0 if thread_mm <= _SMALL_MM else 2.0)


_SMALL_MM = 14.0


def sheet_bearing_n(thread_mm: float, thick_mm: float, tensile_mpa: float, edge_mm: float) -> float:
    r"""Load at which a bolt tears out of a sheet, without partial factor [N].

    .. math:: F_b = k_1 \alpha_b f_u d t, \; \alpha_b = \min(e / 3 d_0, 1), \; k_1 = \min(2.8 e / d_0 - 1.7, 2.5)

    Raises
    ------
    ValueError
        The hole is less than 1.2 of its own width from the edge, which the standard does not allow.
    """
    positive(thick_mm=thick_mm, tensile_mpa=tensile_mpa, edge_mm=edge_mm)
    hole = hole_mm(thread_mm)
    if edge_mm < _LEAST_EDGE * hole:
        raise ValueError(f"a hole {edge_mm:g} mm from the edge is nearer than {_LEAST_EDGE:g} of its {hole:g} mm")
    along, across = min(edge_mm / (3.0 * hole), 1.0), min(2.8 * edge_mm / hole - 1.7, 2.5)
    return across * along * tensile_mpa * thread_mm * thick_mm


_LEAST_EDGE = 1.2


def pull_through_n(washer_mm: float, thick_mm: float, tensile_mpa: float) -> float:
    """Pull at which a washer punches through a sheet, without partial factor [N]: 0.6 pi d_m t f_u."""
    positive(washer_mm=washer_mm, thick_mm=thick_mm, tensile_mpa=tensile_mpa)
    return 0.6 * math.pi * washer_mm * thick_mm * tensile_mpa
