"""Screw threads and bolt grades: stress area, least strengths, proof loads.

Source: ISO 898-1 (1999 tables) for metric classes, SAE J429 for inch grades; stress areas by ISO 724 / ASME B1.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.sums.basis import positive

METRIC_COARSE_PITCH_MM = {5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5}
"""ISO 261 coarse series [mm], by nominal diameter [mm]."""

PSI_MPA = 0.006894757293168


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """Least strengths of a bolt [MPa]: tensile, yield (or 0.2 % proof stress) and proof stress.

    ``shear_share``: shear strength as a share of the tensile strength.
    """

    name: str
    tensile_mpa: float
    yield_mpa: float
    proof_mpa: float
    shear_share: float


_LARGE_MM = 16.0
_METRIC = {
    "4.6": (400.0, 240.0, 225.0, 0.6),
    "5.8": (520.0, 420.0, 380.0, 0.5),
    "8.8": (800.0, 640.0, 580.0, 0.6),
    "10.9": (1040.0, 940.0, 830.0, 0.5),
    "12.9": (1220.0, 1100.0, 970.0, 0.5),
}
"""Tensile, yield, proof [MPa] by ISO 898-1; shear share by EN 1993-1-8 (12.9 is outside it: lower share)."""
_INCH = {
    "2": (0.25, 0.75, 74.0, 57.0, 55.0),
    "5": (0.25, 1.0, 120.0, 92.0, 85.0),
    "5 large": (1.0, 1.5, 105.0, 81.0, 74.0),
    "8": (0.25, 1.5, 150.0, 130.0, 120.0),
}
"""Smallest and largest diameter [in], tensile, yield, proof [ksi] by SAE J429."""
_INCH_SHEAR = 0.6
"""Common practice for inch grades, no published source."""


def metric_grade(name: str, diameter_mm: float) -> Grade:
    """Least strengths of a metric property class.

    Parameters
    ----------
    name : str
        "4.6", "5.8", "8.8", "10.9" or "12.9".
    diameter_mm : float
        Nominal diameter: class 8.8 above 16 mm has its own row.

    Raises
    ------
    ValueError
        The class is not known here.
    """
    positive(diameter_mm=diameter_mm)
    if name not in _METRIC:
        raise ValueError(f"property class `{name}` is not one of {', '.join(_METRIC)}")
    tensile, yielding, proof, shear = _METRIC[name]
    if name == "8.8" and diameter_mm > _LARGE_MM:
        tensile, yielding, proof = 830.0, 660.0, 600.0
    return Grade(name=name, tensile_mpa=tensile, yield_mpa=yielding, proof_mpa=proof, shear_share=shear)


def inch_grade(name: str, diameter_in: float) -> Grade:
    """Least strengths of an inch grade by SAE J429.

    Raises
    ------
    ValueError
        The grade is not "2", "5" or "8", or is not made in that diameter.
    """
    positive(diameter_in=diameter_in)
    rows = [row for key, row in _INCH.items() if key.split(" ", maxsplit=1)[0] == name]
    if not rows:
        raise ValueError(f"grade `{name}` is not one of 2, 5, 8")
    for least, most, tensile, yielding, proof in rows:
        if least <= diameter_in <= most:
            scale = 1000.0 * PSI_MPA
            return Grade(
                name=name,
                tensile_mpa=tensile * scale,
                yield_mpa=yielding * scale,
                proof_mpa=proof * scale,
                shear_share=_INCH_SHEAR,
            )
    raise ValueError(f"SAE J429 has no grade {name} of {diameter_in:g} in")


def stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    r"""Stress area of a metric thread [mm2].

    .. math:: A_s = \frac{\pi}{4} (d - 0.9382 P)^2

    Source: ISO 898-1.
    """
    positive(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    return math.pi / 4.0 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def stress_area_in2(diameter_in: float, threads_per_inch: float) -> float:
    r"""Stress area of an inch thread [in2].

    .. math:: A_s = \frac{\pi}{4} (d - 0.9743 / n)^2

    Source: ASME B1.1.
    """
    positive(diameter_in=diameter_in, threads_per_inch=threads_per_inch)
    return math.pi / 4.0 * (diameter_in - 0.9743 / threads_per_inch) ** 2


def proof_load_n(area_mm2: float, grade: Grade) -> float:
    """Load a bolt must carry without lasting stretch [N]: stress area times proof stress. Source: ISO 898-1."""
    positive(area_mm2=area_mm2)
    return area_mm2 * grade.proof_mpa


def tension_load_n(area_mm2: float, grade: Grade, *, partial_factor: float = 1.25) -> float:
    r"""Design tension of a bolt [N].

    .. math:: F_{t,Rd} = 0.9 f_{ub} A_s / \gamma_{M2}

    Source: EN 1993-1-8, table 3.4 (value from memory). Give ``partial_factor=1`` for the characteristic figure.
    """
    positive(area_mm2=area_mm2, partial_factor=partial_factor)
    return 0.9 * grade.tensile_mpa * area_mm2 / partial_factor


def used_share(shear_n: float, tension_n: float, *, shear_load_n: float, tension_load_n: float) -> float:
    r"""Share of a bolt's strength used by shear and tension together; above 1 it is not enough.

    .. math:: \max(F_v / F_{v,R} + F_t / (1.4 F_{t,R}), \; F_t / F_{t,R})

    Source: EN 1993-1-8, table 3.4 (value from memory).
    """
    positive(shear_load_n=shear_load_n, tension_load_n=tension_load_n)
    pulled = tension_n / tension_load_n
    return max(shear_n / shear_load_n + pulled / 1.4, pulled)


def shear_load_n(area_mm2: float, grade: Grade, *, planes: int = 1, partial_factor: float = 1.25) -> float:
    r"""Design shear of a bolt through its thread [N].

    .. math:: F_{v,Rd} = n \alpha_v f_{ub} A_s / \gamma_{M2}

    Source: EN 1993-1-8, table 3.4 (alpha_v 0.6 for 4.6, 5.6 and 8.8; 0.5 for 4.8, 5.8, 6.8 and 10.9). Give
    ``partial_factor=1`` for the characteristic figure.
    """
    positive(area_mm2=area_mm2, planes=planes, partial_factor=partial_factor)
    return planes * grade.shear_share * grade.tensile_mpa * area_mm2 / partial_factor
