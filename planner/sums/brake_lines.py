"""The sums of the brakes: fluid, travel and reserve, force at each axle, balance, deceleration, heat, pipes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from planner.model.figures import Figures
from planner.model.vehicle import Component, Link
from planner.sums.axle_loads import BALANCE_BASIS, axle_loads_n, greatest_z
from planner.sums.basis import Basis, G
from planner.sums.brake_figures import Axle, axle_force_n, demand_of, stance_of
from planner.sums.brake_limits import LIMITS, PEDAL_PROOF_N, Limit
from planner.sums.discs import HEAT_BASIS, stop_heat
from planner.sums.doubtful import Known, Values
from planner.sums.drums import DRUM_BASIS
from planner.sums.hydraulics import CHAIN_BASIS, bore_area_mm2, travel
from planner.sums.lever_lines import FREE_MM, PUSH_N, lever_from, line_mpa, mean_ratio, needs_of, stroke_of
from planner.sums.levers_there import LeverThere
from planner.sums.lines import Asked
from planner.sums.tube import TUBE_BASIS, burst, working_mpa

RESERVE_MM = 50.0
"""Left of the pad's travel in a full stop: common practice (about 2 in without a servo, from trade text)."""
PIPE_KIND = "brake-pipe"
MASTER_KINDS = frozenset({"brake-master-cylinder", "tandem-master-cylinder"})
BLED = 2
"""Times the pipes' volume that is bled through: common practice, no published source."""
IRON_J_KGK = 460.0
"""Specific heat of cast iron. Source: Jindal, Machine Design, example 23-5."""
_ML = 1000.0
_FRONT, _REAR = "front", "rear"
SERVICE, FAILED, _, OLDER = LIMITS
_TRAVEL_BASIS = Basis(
    source=CHAIN_BASIS.source,
    assumed=(
        *CHAIN_BASIS.assumed,
        f"{FREE_MM[1]:g} mm lost before the port is shut",
        "each rod as if the other circuit took as much",
        "mean ratio",
    ),
    not_covered=CHAIN_BASIS.not_covered,
)
_FORCE_BASIS = Basis(
    source=f"{CHAIN_BASIS.source}; {DRUM_BASIS.source}",
    assumed=(*CHAIN_BASIS.assumed, *DRUM_BASIS.assumed, "mean pedal ratio"),
    not_covered=(*CHAIN_BASIS.not_covered, *DRUM_BASIS.not_covered, "shoe return springs"),
)
_STOP_BASIS = Basis(
    source=f"{_FORCE_BASIS.source}; {BALANCE_BASIS.source}",
    assumed=(*_FORCE_BASIS.assumed, *BALANCE_BASIS.assumed, "with one circuit lost the other keeps its share"),
    not_covered=(*_FORCE_BASIS.not_covered, *BALANCE_BASIS.not_covered),
)


def cylinder_lines(there: LeverThere, axles: tuple[Axle, ...], parts: Mapping[str, Component]) -> Iterator[Asked]:
    """Fluid, travel and reserve of a cylinder that works the brakes of some axles."""
    served = tuple(a for a in axles if a.lever is not None and a.lever.link == there.link)
    if not served and parts[there.cylinder].kind not in MASTER_KINDS:
        return
    bore, stroke = f"{there.cylinder}.bore", f"{there.cylinder}.stroke"
    own = (*needs_of(there), f"{there.link}.share", bore)
    fluid = tuple(dict.fromkeys(n for a in served for n in a.fluid_needs)) or (f"brakes-of.{there.cylinder}",)

    def wanted(v: Values) -> float:
        return demand_of(served, line_mpa(there, PUSH_N)(v), v).total_mm3

    def given(v: Values) -> float:
        usable = min(stroke_of(lever_from(there, v)), v[stroke]) - FREE_MM[1]
        return bore_area_mm2(v[bore]) * usable

    def pad(v: Values) -> float:
        lever = lever_from(there, v)
        ratio = mean_ratio(lever)
        return travel(wanted(v), bore_mm=v[bore], stroke_mm=v[stroke], free_mm=FREE_MM[1], ratio=ratio).pad_mm

    def most(v: Values) -> float:
        lever = lever_from(there, v)
        return min(stroke_of(lever), v[stroke]) * mean_ratio(lever)

    ask = partial(Asked, about=there.link, needs=(*own, stroke, *fluid), basis=_TRAVEL_BASIS)
    yield ask(
        id=f"{there.link}.fluid",
        title=f"fluid wanted at {PUSH_N:.0f} N",
        unit="ml",
        work=lambda v: wanted(v) / _ML,
        high=lambda v: given(v) / _ML,
        limit="fluid that the stroke gives",
    )
    yield ask(id=f"{there.link}.travel", title=f"pad way at {PUSH_N:.0f} N", unit="mm", work=pad)
    yield ask(
        id=f"{there.link}.reserve",
        title=f"pad way left at {PUSH_N:.0f} N",
        unit="mm",
        work=lambda v: most(v) - pad(v),
        low=RESERVE_MM,
        limit="common practice without a servo; an inspection fails a pedal that meets the floor",
        practice=True,
        note="way left: to the end of the piston's stroke or of the lever's travel, whichever comes first",
    )


def pipe_lines(
    there: LeverThere, figures: Figures | None, parts: Mapping[str, Component], links: Mapping[str, Link], known: Known
) -> Iterator[Asked]:
    """Pressure in the brake pipes at the hardest push against what they stand."""
    systems = set(parts[there.cylinder].systems)
    outside = [k.across_mm for k in links.values() if k.kind == PIPE_KIND and k.system in systems]
    if not outside:
        return
    name = f"{there.link}.pipe"
    pipe = None if figures is None else figures.pipe
    known.note("brake_pipe.wall", None if pipe is None else pipe.wall_mm, "`figures.brake_pipe`")
    known.note("brake_pipe.strength", None if pipe is None else pipe.strength_mpa, "`figures.brake_pipe`")
    factor = 1.0 if pipe is None else pipe.factor
    known.note(f"{name}.across", max(outside), "")
    yield Asked(
        id=name,
        about=there.link,
        title=f"brake pipe at {PEDAL_PROOF_N:.0f} N",
        unit="MPa",
        needs=(
            *needs_of(there),
            f"{there.link}.share",
            f"{there.cylinder}.bore",
            f"{name}.across",
            "brake_pipe.wall",
            "brake_pipe.strength",
        ),
        work=line_mpa(there, PEDAL_PROOF_N),
        high=lambda v: working_mpa(
            burst(v[f"{name}.across"], v["brake_pipe.wall"], v["brake_pipe.strength"]).barlow_mpa, factor
        ),
        limit=f"burst pressure (Barlow) through {factor:g}",
        basis=TUBE_BASIS,
    )


def axle_lines(axles: tuple[Axle, ...]) -> Iterator[Asked]:
    """Force at the road of each axle, and the heat of one stop."""
    needs = _all_needs(axles)
    for axle in axles:
        yield Asked(
            id=f"{axle.name}.force",
            about=axle.name,
            title=f"force at the road at {PUSH_N:.0f} N",
            unit="N",
            needs=axle.force_needs,
            work=partial(axle_force_n, axle),
            note=axle.note,
            basis=_FORCE_BASIS,
        )
        yield Asked(
            id=f"{axle.name}.bleed",
            about=axle.name,
            title="fluid to bleed through",
            unit="ml",
            needs=(axle.key("pipe_volume"),),
            work=partial(_bleed_ml, axle),
            note=f"to bleed through: {BLED} times what its pipes hold, then until it comes clear (common practice)",
            basis=CHAIN_BASIS,
        )
        yield Asked(
            id=f"{axle.name}.heat",
            about=axle.name,
            title="rise of a drum or disc",
            unit="K",
            needs=(*needs, "weight.mass", axle.key("iron")),
            work=partial(_rise, axles, axle),
            note=f"the rise in one stop from {SERVICE.speed_kmh:g} km/h",
            basis=HEAT_BASIS,
        )


def _bleed_ml(axle: Axle, values: Values) -> float:
    return BLED * values[axle.key("pipe_volume")] / _ML


def _all_needs(axles: tuple[Axle, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(n for a in axles for n in a.force_needs))


def _rise(axles: tuple[Axle, ...], axle: Axle, values: Values) -> float:
    """Rise of one drum or disc [K], the energy of the stop shared as the brake forces are."""
    forces = {a.name: axle_force_n(a, values) for a in axles}
    share = forces[axle.name] / sum(forces.values())
    speed = SERVICE.speed_kmh / 3.6
    heat = stop_heat(
        values["weight.mass"] * share,
        speed,
        speed / SERVICE.deceleration_ms2,
        tyre_radius_m=values[axle.key("tyre_radius")] / 1000.0,
        brakes=sum(w.count for w in axle.wheels),
        sink_j_k=values[axle.key("iron")] * IRON_J_KGK,
    )
    return heat.rise_k


def stop_lines(axles: tuple[Axle, ...]) -> Iterator[Asked]:
    """Deceleration, whole and with each circuit lost, and which axle locks first."""
    forces = _all_needs(axles)
    stance = tuple(f"weight.{k}" for k in ("mass", "wheelbase", "ahead_of_rear", "height", "grip"))
    ask = partial(Asked, about="brakes", unit="m/s2", basis=_STOP_BASIS)
    for limit, name, words in ((SERVICE, "service", "newer"), (OLDER, "service-older", "older")):
        yield ask(
            id=f"brakes.{name}",
            title=f"deceleration, {words} car",
            needs=(*forces, *stance),
            work=partial(_deceleration, axles),
            low=limit.deceleration_ms2,
            limit=_words(limit),
            note=f"deceleration at {PUSH_N:.0f} N, as far as the tyres hold before a wheel locks",
        )
    for lever in {a.lever.link: a.lever for a in axles if a.lever is not None}.values():
        left = tuple(a for a in axles if a.lever is not None and a.lever.link != lever.link)
        yield ask(
            id=f"brakes.without-{lever.link}",
            title=f"without `{lever.cylinder}`",
            needs=(*_all_needs(left), *stance),
            work=partial(_deceleration, left),
            low=FAILED.deceleration_ms2,
            limit=_words(FAILED),
            note=f"without `{lever.cylinder}` one circuit has failed"
            + ("" if left else ", and nothing is left but the handbrake"),
        )
    if {a.name for a in axles} >= {_FRONT, _REAR}:
        yield ask(
            id="brakes.balance",
            title="front share to spare",
            unit="%",
            needs=(*forces, *stance),
            work=partial(_share_to_spare, axles),
            low=0.0,
            limit="with less at the front the rear wheels lock first and spin the vehicle (UN R13 annex 10)",
        )


def _words(limit: Limit) -> str:
    return f"for comparison: {limit.name}, {limit.source}"


def _deceleration(axles: tuple[Axle, ...], values: Values) -> float:
    """What the brakes give, no more than the tyres hold before the first wheel locks [m/s2]."""
    forces = {a.name: axle_force_n(a, values) for a in axles}
    stance = stance_of(values)
    total = sum(forces.values())
    if not total:
        return 0.0
    share = sum(f for n, f in forces.items() if n != _REAR) / total
    return min(total / stance.mass_kg, greatest_z(stance, values["weight.grip"], share)[0] * G)


def _share_to_spare(axles: tuple[Axle, ...], values: Values) -> float:
    forces = {a.name: axle_force_n(a, values) for a in axles}
    share = sum(f for n, f in forces.items() if n != _REAR) / sum(forces.values())
    front, rear = axle_loads_n(stance_of(values), values["weight.grip"])
    return 100.0 * (share - front / (front + rear))
