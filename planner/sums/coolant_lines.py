"""The sums of the cooling circuit: what its header tank must hold, and the height of its levels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.model.figures import Figure, Figures
from planner.model.vehicle import Component
from planner.space import extent_mm, port_mm
from planner.sums.basis import Basis
from planner.sums.coolant import AIR_SHARE, COOLANT_BASIS, header_tank, level_check
from planner.sums.doubtful import Known, Values, spot_doubts_mm
from planner.sums.hydraulics import bore_area_mm2
from planner.sums.lines import Asked

TANK_KIND = "header-tank"
RADIATOR_KIND = "radiator"
_L = 1e6
_LEVEL_BASIS = Basis(
    source="heights of the parts and ports in the vehicle file",
    assumed=("vehicle level", "ports drawn where the water runs"),
    not_covered=("a slope: on a hill the level tips", *COOLANT_BASIS.not_covered),
)


def coolant_lines(figures: Figures | None, parts: Mapping[str, Component], known: Known) -> Iterator[Asked]:
    """Header tanks against what the coolant swells by, and their height over the rest of the circuit."""
    tanks = [p for p in parts.values() if p.kind == TANK_KIND]
    coolant = None if figures is None else figures.coolant
    for key, figure in (
        ("fill", None if coolant is None else coolant.fill_mm3),
        ("tank", None if coolant is None else coolant.tank_mm3),
        ("cold", None if coolant is None else coolant.cold_c),
        ("hot", None if coolant is None else coolant.hot_c),
        ("level", None if coolant is None else coolant.level_mm),
        ("bottle-level", None if coolant is None else coolant.bottle_level_mm),
        ("bottle-hose", None if coolant is None else coolant.bottle_hose_mm),
        ("hose", None if coolant is None else coolant.hose_mm),
        ("flow", None if coolant is None else coolant.flow_mm3),
    ):
        known.note(f"coolant.{key}", figure, f"`{key}` of `figures.coolant`")
    mix = None if coolant is None else coolant.mix
    known.note("coolant.mix", None if mix is None else 0.0, "`mix` of `figures.coolant`")
    by_part = {} if coolant is None else coolant.tanks_mm3
    for tank in tanks:
        own = f"coolant.tank.{tank.id}" if by_part else "coolant.tank"
        if by_part:
            known.note(own, by_part.get(tank.id), f"`{tank.id}` in `tanks` of `figures.coolant`")
        yield from _tank(tank, mix or "", own)
        yield from _heights(tank, parts, known)
    if coolant is not None and coolant.bottle_hose_mm is not None:
        yield _draws_back()
    if coolant is not None and coolant.hose_mm is not None:
        yield _hose()


def _draws_back() -> Asked:
    """Whether the system draws coolant, not air, out of its bottle as it cools."""
    return Asked(
        id="coolant.draws-back",
        about="coolant",
        title="hose end under bottle's level",
        unit="mm",
        needs=("coolant.bottle-level", "coolant.bottle-hose"),
        work=lambda v: v["coolant.bottle-level"] - v["coolant.bottle-hose"],
        low=0.0,
        limit="above the level the system draws air as it cools, and is short by as much at the next start",
        basis=_LEVEL_BASIS,
    )


def _hose() -> Asked:
    """How fast the coolant runs in the main hoses."""
    return Asked(
        id="coolant.hose",
        about="coolant",
        title="speed in the main hoses",
        unit="m/s",
        needs=("coolant.hose", "coolant.flow"),
        work=lambda v: v["coolant.flow"] / 60.0 / bore_area_mm2(v["coolant.hose"]) / 1000.0,
        high=HOSE_MS,
        limit="common practice, no published source: faster it wears elbows and starves the pump",
        practice=True,
        basis=_HOSE_BASIS,
    )


HOSE_MS = 2.5
_HOSE_BASIS = Basis(
    source="flow over area",
    assumed=("the whole flow through one hose", "the pump moves what is told"),
    not_covered=("a thermostat half shut", "a hose that is sucked flat: look at it with the engine revved"),
)


def _tank(tank: Component, mix: str, own: str) -> Iterator[Asked]:
    def least(v: Values) -> float:
        return header_tank(v["coolant.fill"] / _L, mix, v["coolant.cold"], v["coolant.hot"]).least_l

    yield Asked(
        id=f"{tank.id}.holds",
        about=tank.id,
        title="the header tank holds",
        unit="l",
        needs=(own, "coolant.fill", "coolant.cold", "coolant.hot", "coolant.mix"),
        work=lambda v: v[own] / _L,
        low=least,
        limit=f"the swelling, {AIR_SHARE:.0%} of it as air and {AIR_SHARE:.0%} as reserve (common practice)",
        practice=True,
        basis=COOLANT_BASIS,
    )


def _heights(tank: Component, parts: Mapping[str, Component], known: Known) -> Iterator[Asked]:
    """The tank's underside and its cold level over the highest water of the rest of the circuit."""
    systems = set(tank.systems)
    others = [p for p in parts.values() if systems & set(p.systems) and p.kind != TANK_KIND]
    radiators = [extent_mm(p.solids, p.pose)[1][2] for p in others if p.kind == RADIATOR_KIND]
    ports = [port_mm(p, port)[2] for p in others for port in p.ports_mm]
    if not radiators:
        return
    under = extent_mm(tank.solids, tank.pose)[0][2]
    highest = max(*radiators, *ports) if ports else max(radiators)
    known.note(f"{tank.id}.underside", Figure(under, spot_doubts_mm(tank)[2]), "")
    known.note(f"{tank.id}.radiator", max(radiators), "")
    known.note(f"{tank.id}.highest", highest, "")
    yield Asked(
        id=f"{tank.id}.over-radiator",
        about=tank.id,
        title="underside over radiator",
        unit="mm",
        needs=(f"{tank.id}.underside", f"{tank.id}.radiator"),
        work=lambda v: v[f"{tank.id}.underside"] - v[f"{tank.id}.radiator"],
        low=0.0,
        limit="the header tank is the highest point (common practice)",
        basis=_LEVEL_BASIS,
    )
    yield Asked(
        id=f"{tank.id}.level",
        about=tank.id,
        title="cold level over the rest",
        unit="mm",
        needs=(f"{tank.id}.underside", f"{tank.id}.highest", "coolant.level"),
        work=lambda v: (
            level_check(
                cold_level_mm=v[f"{tank.id}.underside"] + v["coolant.level"],
                highest_mm=v[f"{tank.id}.highest"],
                hose_end_mm=None,
                tank_level_mm=0.0,
            ).over_mm
        ),
        low=0.0,
        limit="air gathers in whatever of the circuit stands above the level",
        basis=_LEVEL_BASIS,
    )
