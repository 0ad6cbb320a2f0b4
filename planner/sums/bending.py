"""Folded sheet: bend allowance, setback, flat pattern, bending force."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.sums.basis import Basis, positive

FOLD_BASIS = Basis(
    source="BA = pi/180 A (R + K T) (Machinery's Handbook); K for mild steel about 0.42 to 0.47",
    assumed=("even thickness", "bent cold over the radius given"),
    not_covered=("spring-back", "cracking where the inside radius is too tight or the bend runs along the grain"),
)
K_HANDBOOK = {"soft": 0.350, "medium": 0.407, "hard": 0.452}
"""Neutral-line share that gives the handbook's 90 degree lengths 0.55 T, 0.64 T and 0.71 T + 1.57 R (from memory)."""
_MOST_DEG = 180.0


def allowance_mm(angle_deg: float, radius_mm: float, thickness_mm: float, neutral: float) -> float:
    """Length of the neutral line round a bend [mm]: pi / 180 A (R + K T), with A the angle the sheet is turned by.

    Raises
    ------
    ValueError
        The angle is not above 0 and up to 180 deg, or the neutral line is not within the sheet.
    """
    positive(angle_deg=angle_deg, thickness_mm=thickness_mm)
    if angle_deg > _MOST_DEG or radius_mm < 0.0 or not 0.0 <= neutral <= 1.0:
        raise ValueError(f"no bend of {angle_deg:g} deg, radius {radius_mm:g} mm, K {neutral:g}")
    return math.radians(angle_deg) * (radius_mm + neutral * thickness_mm)


def setback_mm(angle_deg: float, radius_mm: float, thickness_mm: float) -> float:
    """From the bend line to where the outer faces would meet [mm]: (R + T) tan(A / 2); up to below 180 deg."""
    positive(angle_deg=angle_deg, thickness_mm=thickness_mm)
    if angle_deg >= _MOST_DEG:
        raise ValueError("the outer faces of a sheet folded flat do not meet")
    return (radius_mm + thickness_mm) * math.tan(math.radians(angle_deg) / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flat:
    """A flat pattern: whole length, and each bend's zone from one edge [mm]: where it begins, its middle, its end."""

    length_mm: float
    bends_mm: tuple[tuple[float, float, float], ...]
    basis: Basis = FOLD_BASIS


def flat_pattern(
    legs_mm: Sequence[float], angles_deg: Sequence[float], *, radius_mm: float, thickness_mm: float, neutral: float
) -> Flat:
    """Flat length of a strip folded between its legs, with the bend lines to scribe.

    Parameters
    ----------
    legs_mm : sequence of float
        Outside lengths, to where the outer faces meet; one more than the bends.
    angles_deg : sequence of float
        What each bend turns the sheet by.
    radius_mm : float
        Inside radius of all bends.
    thickness_mm, neutral : float

    Raises
    ------
    ValueError
        Wrong number of legs, or a leg too short for its bends.
    """
    if len(legs_mm) != len(angles_deg) + 1:
        raise ValueError(f"{len(angles_deg)} bends need {len(angles_deg) + 1} legs, not {len(legs_mm)}")
    backs = [0.0, *(setback_mm(a, radius_mm, thickness_mm) for a in angles_deg), 0.0]
    at_mm, zones = 0.0, []
    for number, leg in enumerate(legs_mm):
        flat = leg - backs[number] - backs[number + 1]
        if flat < 0.0:
            raise ValueError(f"leg {number + 1} of {leg:g} mm is {-flat:.1f} mm too short for its bends")
        at_mm += flat
        if number < len(angles_deg):
            round_mm = allowance_mm(angles_deg[number], radius_mm, thickness_mm, neutral)
            zones.append((at_mm, at_mm + round_mm / 2.0, at_mm + round_mm))
            at_mm += round_mm
    return Flat(length_mm=at_mm, bends_mm=tuple(zones))


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A flat blank to cut and fold, x along the strip from one edge and y across it from its middle [mm].

    ``outline_mm`` goes once round, closed by its first point. ``folds_mm`` are the middles of the bends from side to
    side, ``zones_mm`` where each bend begins and ends along x, ``angles_deg`` what it turns the sheet by.
    """

    outline_mm: tuple[tuple[float, float], ...]
    folds_mm: tuple[tuple[tuple[float, float], tuple[float, float]], ...]
    zones_mm: tuple[tuple[float, float], ...]
    angles_deg: tuple[float, ...]
    area_mm2: float
    mass_kg: float
    basis: Basis = FOLD_BASIS


def blank(
    flat: Flat, widths_mm: Sequence[float], angles_deg: Sequence[float], *, thickness_mm: float, density_kg_m3: float
) -> Blank:
    """The blank of a folded bracket whose legs may differ in width.

    Parameters
    ----------
    flat : Flat
        Of its legs, by :func:`flat_pattern`.
    widths_mm : sequence of float
        Of each leg, one more than the bends; between two legs that differ the step is at the middle of their bend.
    angles_deg : sequence of float
        Those ``flat`` was made with.
    thickness_mm, density_kg_m3 : float

    Raises
    ------
    ValueError
        Widths or angles do not go with the bends.
    """
    if len(widths_mm) != len(flat.bends_mm) + 1 or len(angles_deg) != len(flat.bends_mm):
        raise ValueError(f"{len(flat.bends_mm)} bends go with {len(flat.bends_mm) + 1} widths and as many angles")
    positive(
        thickness_mm=thickness_mm, density_kg_m3=density_kg_m3, **{f"width_{n}": w for n, w in enumerate(widths_mm)}
    )
    ends = [0.0, *(middle for _, middle, _ in flat.bends_mm), flat.length_mm]
    upper: list[tuple[float, float]] = []
    for start, end, width in zip(ends, ends[1:], widths_mm, strict=False):
        upper += [(start, width / 2.0), (end, width / 2.0)]
    outline = tuple(dict.fromkeys([*upper, *((x, -y) for x, y in reversed(upper))]))
    area = sum((end - start) * width for start, end, width in zip(ends, ends[1:], widths_mm, strict=False))
    narrow = [min(pair) / 2.0 for pair in pairwise(widths_mm)]
    return Blank(
        outline_mm=outline,
        folds_mm=tuple(((m, half), (m, -half)) for (_, m, _), half in zip(flat.bends_mm, narrow, strict=True)),
        zones_mm=tuple((begin, end) for begin, _, end in flat.bends_mm),
        angles_deg=tuple(angles_deg),
        area_mm2=area,
        mass_kg=area * thickness_mm * density_kg_m3 * 1e-9,
    )


def vee_force_n(length_mm: float, thickness_mm: float, tensile_mpa: float, opening_mm: float, factor: float) -> float:
    """Force to bend in a vee die [N]: K L sigma T^2 / W. Source: P.C. Sharma, Production Engineering."""
    positive(length_mm=length_mm, thickness_mm=thickness_mm, tensile_mpa=tensile_mpa, opening_mm=opening_mm)
    return factor * length_mm * tensile_mpa * thickness_mm**2 / opening_mm
