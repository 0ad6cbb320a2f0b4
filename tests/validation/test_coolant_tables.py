"""Swelling of coolant: IAPWS-95 and ASHRAE/Melinder densities; ASHRAE hydronic chapter example (2000 Handbook data).

Printed answers of the tanks are from memory; formulas and data are the handbook's. Half ethylene glycol from 20
to 90 degC: the two data sets give 4.1 and 4.5 %, so a band is tested, and the mix is by mass.
"""

import pytest

from planner.sums.coolant import (
    FLUIDS,
    closed_tank,
    density_kg_m3,
    diaphragm_tank,
    header_tank,
    level_check,
    net_swelling,
    open_tank,
    swelling,
)


@pytest.mark.parametrize(
    ("cold", "hot", "percent"), [(20, 80, 2.718), (20, 90, 3.408), (15, 95, 3.869), (4, 100, 4.343)]
)
def test_water(cold: float, hot: float, percent: float) -> None:
    assert 100 * swelling("water", cold, hot) == pytest.approx(percent, abs=0.001)


def test_between_the_rows_a_straight_line_is_near_enough() -> None:
    """10 to 100 degC is 4.315 % by IAPWS-95."""
    assert 100 * swelling("water", 10, 100) == pytest.approx(4.315, abs=0.03)


def test_at_100_degrees_water_is_not_taken_for_steam() -> None:
    assert density_kg_m3("water", 100) == pytest.approx(958.35, abs=0.01)
    assert density_kg_m3("water", 100) != pytest.approx(0.5976, rel=0.5)


def test_half_ethylene_glycol_lies_in_the_band() -> None:
    found = [100 * swelling(f, 20, 90) for f in FLUIDS if f.startswith("ethylene")]
    assert sorted(found) == pytest.approx([4.11, 4.50], abs=0.01)


def test_half_propylene_glycol() -> None:
    assert 100 * swelling("propylene glycol, half by mass", 20, 90) == pytest.approx(5.10, abs=0.01)


def test_ashrae_tanks() -> None:
    net = net_swelling(0.01677 / 0.01602 - 1, 6.5e-6, 220 - 40)
    assert net == pytest.approx(0.04331, rel=1e-3)
    assert closed_tank(3000, net, atmosphere=14.7, filled=24.7, most=39.7) == pytest.approx(578, rel=0.002)
    assert diaphragm_tank(3000, net, filled=24.7, most=39.7) == pytest.approx(344, rel=0.002)
    assert open_tank(3000, net) == pytest.approx(259.8, rel=0.001)


def test_open_tank_without_the_pipes() -> None:
    """1000 gal from 0.01605 to 0.01651 ft3/lb: 57 gal (example numbers from memory)."""
    assert open_tank(1000, 0.01651 / 0.01605 - 1) == pytest.approx(57, rel=0.01)


def test_a_small_car() -> None:
    """8 l of half glycol from 20 to 90 degC: 0.33 to 0.36 l, derived from the band above."""
    for fluid in (f for f in FLUIDS if f.startswith("ethylene")):
        assert 0.32 < header_tank(8, fluid, 20, 90).swell_l < 0.365


def test_level_and_siphon() -> None:
    fine = level_check(cold_level_mm=620, highest_mm=600, hose_end_mm=300, tank_level_mm=340)
    assert (fine.fine, fine.over_mm, fine.draws_back) == (True, 20, True)
    low = level_check(cold_level_mm=590, highest_mm=600, hose_end_mm=None, tank_level_mm=0)
    assert (low.fine, low.over_mm) == (False, -10)
    dry = level_check(cold_level_mm=620, highest_mm=600, hose_end_mm=350, tank_level_mm=340)
    assert not dry.fine


def test_outside_the_table_is_refused() -> None:
    with pytest.raises(ValueError, match="not within"):
        density_kg_m3("water", 130)
