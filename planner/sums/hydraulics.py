"""From the foot to the wheel cylinders: force, pressure, fluid wanted and fluid given.

Areas and pressures by Pascal's law; volumes add up. Lengths in mm, forces in N, pressures in MPa, volumes in mm3.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

CHAIN_BASIS = Basis(
    source="Pascal's law; lever and cylinder chain as in Esposito, Fluid Power with Applications",
    assumed=("no friction in pivots and seals", "no servo"),
    not_covered=(
        "seal and pivot friction takes 5 to 10 % (common practice, no published source)",
        "hoses that swell and drums that stretch with age and heat",
        "air left in the pipes: only bleeding and a firm pedal tell",
    ),
)
BULK_MODULUS_MPA = 1_700.0
"""Of brake fluid, cold and free of air: common practice, no published source."""


def bore_area_mm2(bore_mm: float) -> float:
    """Area of a bore [mm2]."""
    positive(bore_mm=bore_mm)
    return math.pi / 4.0 * bore_mm**2


def pressure_mpa(force_n: float, bore_mm: float) -> float:
    """Pressure a force on a piston makes [MPa]."""
    return force_n / bore_area_mm2(bore_mm)


def piston_force_n(pressure_mpa: float, bore_mm: float) -> float:
    """Force a pressure gives on a piston [N]."""
    return pressure_mpa * bore_area_mm2(bore_mm)


def balance_bar_shares(front_arm_mm: float, rear_arm_mm: float) -> tuple[float, float]:
    """Shares of the rod force that go to the front and the rear cylinder of a balance bar.

    Parameters
    ----------
    front_arm_mm, rear_arm_mm : float
        From the bearing in the pedal to each clevis: the nearer clevis takes the larger share.
    """
    positive(front_arm_mm=front_arm_mm, rear_arm_mm=rear_arm_mm)
    span = front_arm_mm + rear_arm_mm
    return rear_arm_mm / span, front_arm_mm / span


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumer:
    """Pistons of one kind in a circuit: how many, their bore, and how far each goes before the lining bites."""

    bore_mm: float
    pistons: int
    travel_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidDemand:
    """Fluid a circuit takes at a pressure [mm3], by cause. ``total_mm3`` is what the stroke must give."""

    take_up_mm3: float
    stretch_mm3: float
    squeeze_mm3: float
    basis: Basis = CHAIN_BASIS

    @property
    def total_mm3(self) -> float:
        """All of it [mm3]."""
        return self.take_up_mm3 + self.stretch_mm3 + self.squeeze_mm3


def squeezed_mm3(volume_mm3: float, pressure_mpa: float, bulk_mpa: float = BULK_MODULUS_MPA) -> float:
    """Fluid that goes into squeezing what is in the pipes [mm3]: V dp / beta, the bulk modulus's own definition."""
    positive(volume_mm3=volume_mm3, bulk_mpa=bulk_mpa)
    return volume_mm3 * pressure_mpa / bulk_mpa


def fluid_demand(
    consumers: Sequence[Consumer],
    pressure_mpa: float,
    *,
    pipe_mm3: float,
    swell_mm3_per_mpa: float,
    bulk_mpa: float = BULK_MODULUS_MPA,
) -> FluidDemand:
    """Fluid a circuit takes at a pressure.

    Parameters
    ----------
    consumers : sequence of Consumer
    pressure_mpa : float
    pipe_mm3 : float
        Fluid held in pipes, hoses and cylinders.
    swell_mm3_per_mpa : float
        Of all hoses together, and of calipers and drums where known.
    bulk_mpa : float
    """
    take_up = sum(bore_area_mm2(c.bore_mm) * c.pistons * c.travel_mm for c in consumers)
    return FluidDemand(
        take_up_mm3=take_up,
        stretch_mm3=swell_mm3_per_mpa * pressure_mpa,
        squeeze_mm3=squeezed_mm3(pipe_mm3 + take_up, pressure_mpa, bulk_mpa),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """Travel at the cylinder and the pad [mm], and what is left of the stroke as a share."""

    cylinder_mm: float
    pad_mm: float
    reserve_mm: float
    reserve_share: float
    basis: Basis = CHAIN_BASIS


def travel(demand_mm3: float, *, bore_mm: float, stroke_mm: float, free_mm: float, ratio: float) -> Travel:
    """Travel a demand takes, with the free movement before the port is shut.

    Parameters
    ----------
    demand_mm3 : float
        For a tandem cylinder, of the circuit looked at.
    bore_mm, stroke_mm : float
        Of the cylinder, or of one chamber of a tandem one.
    free_mm : float
        Rod clearance and the way to shut the port, at the cylinder.
    ratio : float
        Mean pedal ratio over the travel.
    """
    positive(demand_mm3=demand_mm3, stroke_mm=stroke_mm, ratio=ratio)
    used = free_mm + demand_mm3 / bore_area_mm2(bore_mm)
    left = stroke_mm - used
    return Travel(cylinder_mm=used, pad_mm=used * ratio, reserve_mm=left, reserve_share=left / stroke_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoreRow:
    """One line of the table to choose a bore by: what it asks of the foot and what it leaves of the stroke."""

    bore_mm: float
    pedal_n: float
    pad_mm: float
    reserve_share: float


def bore_table(
    bores_mm: Sequence[float],
    *,
    wanted_mpa: float,
    demand_mm3: float,
    stroke_mm: float,
    free_mm: float,
    ratio: float,
    share: float = 1.0,
) -> tuple[BoreRow, ...]:
    """Bores side by side: a smaller one is lighter on the foot and goes further; one that runs out has no reserve."""
    rows = []
    for bore in bores_mm:
        went = travel(demand_mm3, bore_mm=bore, stroke_mm=stroke_mm, free_mm=free_mm, ratio=ratio)
        rows.append(
            BoreRow(
                bore_mm=bore,
                pedal_n=wanted_mpa * bore_area_mm2(bore) / (ratio * share),
                pad_mm=went.pad_mm,
                reserve_share=went.reserve_share,
            )
        )
    return tuple(rows)
