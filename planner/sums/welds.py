"""Fillet welds: throat, load of a run, and the strength several codes give."""

from __future__ import annotations

import math

from planner.sums.basis import Basis, positive

WELD_BASIS = Basis(
    source="throat 0.707 leg (common textbook form); AWS D1.1 allowable 0.30 of the electrode; EN 1993-1-8 4.5.3.3",
    assumed=("full leg over the whole length counted", "load along or across the run, evenly shared"),
    not_covered=(
        "a home weld has no known quality: porosity, cold starts and undercut are not seen in a sum",
        "fatigue, which breaks welds in brackets and pedals far below these loads",
    ),
)
THROAT_SHARE = 0.707


def throat_mm(leg_mm: float) -> float:
    """Throat of an equal-legged fillet [mm]: 0.707 times the leg."""
    positive(leg_mm=leg_mm)
    return THROAT_SHARE * leg_mm


def stress_mpa(force_n: float, leg_mm: float, length_mm: float) -> float:
    """Shear on the throat of runs of ``length_mm`` together [MPa]."""
    positive(force_n=force_n, length_mm=length_mm)
    return force_n / (throat_mm(leg_mm) * length_mm)


def shared_lengths_mm(total_mm: float, edge_mm: float, member_mm: float) -> tuple[float, float]:
    """Runs at the two edges of an angle so that they balance about its middle [mm].

    ``edge_mm``: from the middle of the section to the first edge; ``member_mm``: the width. The first run is the longer
    when its edge is the nearer. Source: Popov, Engineering Mechanics of Solids (welded connection of an angle).
    """
    positive(total_mm=total_mm, edge_mm=edge_mm, member_mm=member_mm)
    other = total_mm * edge_mm / member_mm
    return total_mm - other, other


def round_stress_mpa(torque_nmm: float, leg_mm: float, across_mm: float) -> float:
    r"""Shear on the throat of a fillet once round a shaft, under a torque about it [MPa].

    .. math:: \tau = \frac{2 T}{\pi d^2 \, 0.707 s}

    Source: Khurmi and Gupta, Machine Design (circular fillet weld in torsion).
    """
    positive(torque_nmm=torque_nmm, across_mm=across_mm)
    return 2.0 * torque_nmm / (math.pi * across_mm**2 * throat_mm(leg_mm))


def metal_shear_mpa(electrode_mpa: float) -> float:
    """Shear strength of weld metal [MPa]: 0.60 of the electrode's tensile strength, twice what AWS D1.1 allows."""
    return 2.0 * aws_allowed_mpa(electrode_mpa)


def aws_allowed_mpa(electrode_mpa: float) -> float:
    """Allowed throat stress [MPa]: 0.30 of the electrode's tensile strength. Source: AWS D1.1."""
    positive(electrode_mpa=electrode_mpa)
    return 0.30 * electrode_mpa


def en_design_mpa(tensile_mpa: float, correlation: float, partial_factor: float = 1.25) -> float:
    r"""Design shear strength of the throat [MPa].

    .. math:: f_{vw,d} = \frac{f_u}{\sqrt 3 \, \beta_w \gamma_{M2}}

    Source: EN 1993-1-8, simplified method (value from memory): beta_w 0.8 for S235, 0.85 for S275, 0.9 for S355.
    """
    positive(tensile_mpa=tensile_mpa, correlation=correlation, partial_factor=partial_factor)
    return tensile_mpa / (math.sqrt(3.0) * correlation * partial_factor)
