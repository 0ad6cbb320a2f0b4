"""Tubes under pressure, and which nut belongs to which flare. Two formulas are in use: each answer says which."""

from __future__ import annotations

from dataclasses import dataclass

from planner.sums.basis import Basis, positive

TUBE_BASIS = Basis(
    source="Barlow P = 2 S t / D on the outside; thin wall P = 2 S t / d on the inside (Esposito, Fluid Power)",
    assumed=("sound tube of even wall, no scratch, no rust, no kink",),
    not_covered=("flares, nuts and hoses, which fail before the tube", "fatigue from a pipe that is not clipped"),
)
FLARES = {
    "double inverted flare, 45 deg (SAE J533)": frozenset({"3/8-24 UNF", "7/16-20 UNF", "1/2-20 UNF"}),
    "bubble flare (ISO 4038)": frozenset({"M10x1", "M12x1"}),
}
"""Which tube nuts belong to which flare; the two do not interchange (from memory)."""


THREADS_MM = {
    "3/8-24 UNF": (9.525, 25.4 / 24.0),
    "7/16-20 UNF": (11.1125, 25.4 / 20.0),
    "1/2-20 UNF": (12.7, 25.4 / 20.0),
    "M10x1": (10.0, 1.0),
    "M12x1": (12.0, 1.0),
}
"""Diameter and pitch of tube nuts [mm]. Source: ASME B1.1, ISO 261."""
ALIKE_MM = (0.8, 0.15)
"""Threads that differ by no more than this in diameter and pitch start in each other: starting guess."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """Pressures [MPa] at which a tube bursts by each formula; Barlow's is always the lower: plan with it."""

    barlow_mpa: float
    thin_wall_mpa: float
    basis: Basis = TUBE_BASIS


def burst(outside_mm: float, wall_mm: float, strength_mpa: float) -> Burst:
    """Burst pressure of a tube by both formulas.

    Raises
    ------
    ValueError
        The wall leaves no bore.
    """
    positive(outside_mm=outside_mm, wall_mm=wall_mm, strength_mpa=strength_mpa)
    inside_mm = outside_mm - 2.0 * wall_mm
    if inside_mm <= 0.0:
        raise ValueError(f"a wall of {wall_mm:g} mm leaves no bore in {outside_mm:g} mm")
    return Burst(
        barlow_mpa=2.0 * strength_mpa * wall_mm / outside_mm, thin_wall_mpa=2.0 * strength_mpa * wall_mm / inside_mm
    )


def working_mpa(burst_mpa: float, factor: float) -> float:
    """Working pressure at a safety factor [MPa]."""
    positive(burst_mpa=burst_mpa, factor=factor)
    return burst_mpa / factor


def fits_together(flare: str, nut: str) -> bool:
    """Whether a tube nut belongs to a flare.

    Raises
    ------
    ValueError
        The flare is not known here.
    """
    if flare not in FLARES:
        raise ValueError(f"`{flare}` is not one of {', '.join(FLARES)}")
    return nut in FLARES[flare]


def starts_in(nut: str, thread: str) -> bool:
    """Whether a nut starts by hand in a thread that is not its own, and then strips or leaks.

    Raises
    ------
    KeyError
        A thread is not known here.
    """
    (one, coarse), (other, fine) = THREADS_MM[nut], THREADS_MM[thread]
    return nut != thread and abs(one - other) <= ALIKE_MM[0] and abs(coarse - fine) <= ALIKE_MM[1]
