"""Densities of coolant against two independent property libraries: CoolProp (water and glycols) and iapws (water)."""

import pytest

from planner.sums.coolant import WATER_KG_M3, density_kg_m3, swelling

ATMOSPHERE_PA = 101_325.0
INCOMPRESSIBLE = {
    "ethylene glycol, half by mass, first set": "INCOMP::AEG[0.5]",
    "ethylene glycol, half by mass, second set": "INCOMP::MEG[0.5]",
    "propylene glycol, half by mass": "INCOMP::APG[0.5]",
}


def water_by_coolprop(temperature_c: float) -> float:
    library = pytest.importorskip("CoolProp.CoolProp")
    if temperature_c >= 100:
        return float(library.PropsSI("D", "T", 273.15 + temperature_c, "Q", 0, "Water"))
    return float(library.PropsSI("D", "T", 273.15 + temperature_c, "P", ATMOSPHERE_PA, "Water"))


def water_by_iapws(temperature_c: float) -> float:
    library = pytest.importorskip("iapws")
    if temperature_c >= 100:
        return float(library.IAPWS95(T=273.15 + temperature_c, x=0).rho)
    return float(library.IAPWS95(T=273.15 + temperature_c, P=ATMOSPHERE_PA / 1e6).rho)


@pytest.mark.parametrize("library", [water_by_coolprop, water_by_iapws])
@pytest.mark.parametrize("temperature_c", WATER_KG_M3)
def test_water(library, temperature_c: float) -> None:  # noqa: ANN001  # one of the two above
    assert density_kg_m3("water", temperature_c) == pytest.approx(library(temperature_c), abs=6e-4)


@pytest.mark.parametrize("temperature_c", [30, 52, 73, 86])
def test_between_the_rows_water_is_within_half_a_thousandth(temperature_c: float) -> None:
    assert density_kg_m3("water", temperature_c) == pytest.approx(water_by_coolprop(temperature_c), rel=5e-4)


@pytest.mark.parametrize("fluid", INCOMPRESSIBLE)
@pytest.mark.parametrize("temperature_c", [20, 60, 90, 100])
def test_glycols(fluid: str, temperature_c: float) -> None:
    library = pytest.importorskip("CoolProp.CoolProp")
    theirs = library.PropsSI("D", "T", 273.15 + temperature_c, "P", 3e5, INCOMPRESSIBLE[fluid])
    assert density_kg_m3(fluid, temperature_c) == pytest.approx(theirs, rel=2e-4)


def test_steam_is_what_a_library_gives_at_100_degrees_and_one_atmosphere() -> None:
    library = pytest.importorskip("CoolProp.CoolProp")
    steam = library.PropsSI("D", "T", 373.15, "P", ATMOSPHERE_PA - 200, "Water")
    assert steam == pytest.approx(0.5976, rel=0.01)
    assert swelling("water", 20, 100) < 0.05
