"""Coolant: how much it swells, the header tank it asks for, the level it must stand at, siphoning back.

Densities are those of the liquid under its own pressure: at 100 degC and one atmosphere a table gives steam, which
is of no use here.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

COOLANT_BASIS = Basis(
    source="density tables (water: IAPWS-95 saturated liquid; glycols at half mass: fits of ASHRAE and Melinder data)",
    assumed=("mix by mass, evenly mixed, one temperature throughout",),
    not_covered=("local boiling in the head", "steam and gas from a leaking gasket", "hoses that swell"),
)
WATER_KG_M3 = {
    0.01: 999.844,
    4.0: 999.975,
    10.0: 999.702,
    15.0: 999.103,
    20.0: 998.207,
    40.0: 992.216,
    60.0: 983.196,
    80.0: 971.790,
    90.0: 965.310,
    95.0: 961.888,
    100.0: 958.349,
}
"""Density of liquid water [kg/m3] by temperature [degC]. Source: IAPWS-95."""
GLYCOLS_KG_M3 = {
    "ethylene glycol, half by mass, first set": {
        -20.0: 1086.87,
        -10.0: 1084.22,
        0.0: 1081.08,
        10.0: 1077.46,
        20.0: 1073.35,
        60.0: 1052.04,
        90.0: 1030.95,
        100.0: 1022.95,
    },
    "ethylene glycol, half by mass, second set": {
        -20.0: 1082.20,
        -10.0: 1078.70,
        0.0: 1074.62,
        10.0: 1070.02,
        20.0: 1064.93,
        60.0: 1040.49,
        90.0: 1019.04,
        100.0: 1011.52,
    },
    "propylene glycol, half by mass": {
        -20.0: 1060.49,
        -10.0: 1056.85,
        0.0: 1052.70,
        10.0: 1048.04,
        20.0: 1042.87,
        60.0: 1017.04,
        90.0: 992.28,
        100.0: 983.00,
    },
}
"""Density [kg/m3] by temperature [degC]. Sources: ASHRAE fit, Melinder, ASHRAE fit."""
FLUIDS = {"water": WATER_KG_M3, **GLYCOLS_KG_M3}


def density_kg_m3(fluid: str, temperature_c: float) -> float:
    """Density of a liquid, straight lines between the rows of its table [kg/m3].

    Raises
    ------
    KeyError
        The fluid is not known here.
    ValueError
        The temperature is outside its table.
    """
    rows = FLUIDS[fluid]
    known = list(rows)
    if not known[0] <= temperature_c <= known[-1]:
        raise ValueError(f"{temperature_c:g} degC is not within {known[0]:g} to {known[-1]:g} degC of the table")
    after = min(bisect_right(known, temperature_c), len(known) - 1)
    low, high = known[after - 1], known[after]
    share = (temperature_c - low) / (high - low)
    return rows[low] + share * (rows[high] - rows[low])


def swelling(fluid: str, cold_c: float, hot_c: float) -> float:
    """Share by which a liquid swells from cold to hot: rho_cold / rho_hot - 1."""
    return density_kg_m3(fluid, cold_c) / density_kg_m3(fluid, hot_c) - 1.0


def net_swelling(fluid_share: float, metal_per_k: float, rise_k: float) -> float:
    """Swelling less what the metal round it grows: (v2 / v1 - 1) - 3 alpha dT. Source: ASHRAE, hydronic chapter."""
    return fluid_share - 3.0 * metal_per_k * rise_k


def open_tank(volume: float, net: float) -> float:
    """Least volume of an open tank, in the unit of ``volume``: 2 V e. Source: ASHRAE, hydronic chapter, eq. 12."""
    positive(volume=volume, net=net)
    return 2.0 * volume * net


def closed_tank(volume: float, net: float, *, atmosphere: float, filled: float, most: float) -> float:
    r"""Least volume of a closed tank with air over the liquid, in the unit of ``volume``.

    .. math:: V_t = V_s e / (P_a / P_1 - P_a / P_2)

    Pressures absolute, all in one unit. Source: ASHRAE, hydronic chapter, eq. 13.

    Raises
    ------
    ValueError
        The most pressure is not above that at filling.
    """
    _rising(filled, most)
    positive(volume=volume, net=net, atmosphere=atmosphere)
    return volume * net / (atmosphere / filled - atmosphere / most)


def diaphragm_tank(volume: float, net: float, *, filled: float, most: float) -> float:
    """Least volume of a tank with a diaphragm, in the unit of ``volume``: V e / (1 - P1 / P2).

    Source: ASHRAE, hydronic chapter, eq. 14.

    Raises
    ------
    ValueError
        The most pressure is not above that at filling.
    """
    _rising(filled, most)
    positive(volume=volume, net=net)
    return volume * net / (1.0 - filled / most)


def _rising(filled: float, most: float) -> None:
    positive(filled=filled, most=most)
    if most <= filled:
        raise ValueError(f"the most pressure {most:g} is not above that at filling, {filled:g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """A header tank: swelling it must take [l], least volume with air space and reserve [l]."""

    swell_l: float
    least_l: float
    basis: Basis = COOLANT_BASIS


AIR_SHARE = 0.5
"""Air space as a share of the swelling, and again as much as reserve: common practice, no published source."""


def header_tank(fill_l: float, fluid: str, cold_c: float, hot_c: float) -> Header:
    """What a header tank must hold: the swelling, air above it and a reserve below the cold level."""
    positive(fill_l=fill_l)
    swell = fill_l * swelling(fluid, cold_c, hot_c)
    return Header(swell_l=swell, least_l=swell * (1.0 + 2.0 * AIR_SHARE))


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Where the cold level stands over the highest point of the system [mm], and whether the cap can draw back.

    ``fine`` is false when air would gather in the top hose or the overflow would let air in on cooling.
    """

    over_mm: float
    draws_back: bool
    fine: bool
    basis: Basis = COOLANT_BASIS


def level_check(*, cold_level_mm: float, highest_mm: float, hose_end_mm: float | None, tank_level_mm: float) -> Level:
    """Check the cold level against the highest water in the system, and the catch bottle's hose against its level.

    Parameters
    ----------
    cold_level_mm : float
        Height of the cold level in the header tank.
    highest_mm : float
        Height of the highest point of radiator, head and hoses.
    hose_end_mm : float or None
        Height of the open end of the overflow hose in the catch bottle; None when there is no bottle.
    tank_level_mm : float
        Cold level in the bottle.
    """
    over = cold_level_mm - highest_mm
    drawn = hose_end_mm is None or hose_end_mm < tank_level_mm
    return Level(over_mm=over, draws_back=hose_end_mm is not None and drawn, fine=over >= 0.0 and drawn)
