"""The sums of what a pedal is made of: arm, pivot, bolts, sheet and weld, under the published and the chosen push."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from planner.model.figures import BarSort, BoltFigures, Figure, PedalFigures
from planner.model.shapes import AXES
from planner.model.vehicle import Component
from planner.space import pose_mm, rotated
from planner.sums import sections, welds
from planner.sums.basis import Basis
from planner.sums.bolt_groups import GROUP_BASIS
from planner.sums.brake_limits import PEDAL_PROOF_N
from planner.sums.doubtful import Known, Values
from planner.sums.lever import Lever, foot_push_n, forces_at, pivot_push_n, turned
from planner.sums.lever_lines import lever_from, needs_of
from planner.sums.levers_there import LeverThere
from planner.sums.lines import Asked
from planner.sums.mountings import worst_bolt
from planner.sums.pins import (
    PIN_BASIS,
    SHEAR_YIELD,
    SHEET_BASIS,
    pin_bearing_mpa,
    pin_bending_mpa,
    pin_shear_mpa,
    pull_through_n,
    sheet_bearing_n,
)
from planner.sums.sections import BENDING_BASIS, Section
from planner.sums.threads import (
    METRIC_COARSE_PITCH_MM,
    metric_grade,
    shear_load_n,
    stress_area_mm2,
    tension_load_n,
    used_share,
)

YIELD_LEAST = 1.0
"""Against yield at the published push: no failure."""
BOLT_LEAST = 1.25
"""Against the strength of bolts and of sheet at bolts: partial factor of EN 1993-1-8."""
WELD_LEAST = 2.0
"""Against the shear strength of weld metal: AWS D1.1 allows half of it."""
_SHEAR_PEAK = 1.5
"""Greatest over mean shear of a flat bar; a little more in a tube, where bending decides."""
_BOLT_BASIS = Basis(
    source=f"{GROUP_BASIS.source}; shear with tension by EN 1993-1-8, table 3.4 (values from memory)",
    assumed=(*GROUP_BASIS.assumed, "cylinder and pedal on one mounting pass only the foot's push on to its bolts"),
    not_covered=GROUP_BASIS.not_covered,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One strength over its load: ``factor`` for a push at the pad, and the least it may be at the published one."""

    key: str
    title: str
    needs: tuple[str, ...]
    factor: Callable[[Values, float], float]
    least: float
    why: str
    basis: Basis


def strength_lines(
    levers: Sequence[LeverThere], pedals: Mapping[str, PedalFigures], parts: Mapping[str, Component], known: Known
) -> Iterator[Asked]:
    """Two factors for each thing that is told of: at the published push, and at the hardest one reckoned with."""
    for name, pedal in pedals.items():
        lever = next((x for x in levers if x.part == name), None)
        if lever is None:
            what = "a rod from it to a cylinder" if name in parts else known.absent("a part", name)
            known.note(f"pedal.{name}.lever", None, what)
            yield Asked(
                id=f"{name}.strength",
                about=name,
                title="strength of the pedal",
                unit="x",
                needs=(f"pedal.{name}.lever",),
                work=lambda _: math.nan,
                basis=BENDING_BASIS,
            )
            continue
        yield from _pedal(lever, pedal, parts, known)


def _pedal(there: LeverThere, pedal: PedalFigures, parts: Mapping[str, Component], known: Known) -> Iterator[Asked]:
    name = there.part
    _note(name, pedal, known)
    for check in (*_arm(there, pedal), *_pivot(there, pedal), *_bolts(there, pedal, parts), *_weld(there, pedal)):
        ask = partial(Asked, about=name, unit="x", basis=check.basis)
        yield ask(
            id=f"{name}.{check.key}",
            title=f"{check.title}, {PEDAL_PROOF_N:.0f} N",
            needs=check.needs,
            work=partial(_at_proof, check),
            low=check.least,
            limit=f"{check.why}, under the {PEDAL_PROOF_N:.0f} N of Formula Student rules (T6.1)",
        )
        if pedal.panic_n is not None:
            wanted = max(check.least, pedal.factor)
            yield ask(
                id=f"{name}.{check.key}-panic",
                title=f"{check.title}, {pedal.panic_n.value:.0f} N",
                needs=(*check.needs, f"pedal.{name}.panic"),
                work=partial(_at_panic, check, f"pedal.{name}.panic"),
                low=wanted,
                limit=f"your own hardest push, {wanted:g} times",
            )


def _at_proof(check: Check, values: Values) -> float:
    return check.factor(values, PEDAL_PROOF_N)


def _at_panic(check: Check, push: str, values: Values) -> float:
    return check.factor(values, values[push])


def _note(name: str, pedal: PedalFigures, known: Known) -> None:
    told: dict[str, Figure | None] = {"panic": pedal.panic_n}
    if pedal.arm is not None:
        told |= {f"arm.{n}": size for n, size in enumerate(pedal.arm.across_mm)}
        told |= {"arm.yield": pedal.arm.yield_mpa, "arm.hole": pedal.arm.hole_mm}
    if pedal.pivot is not None:
        pin = pedal.pivot
        told |= {"pin.across": pin.across_mm, "pin.long": pin.long_mm, "pin.yield": pin.yield_mpa, "bush": pin.bush_mpa}
    if pedal.sheet is not None:
        sheet = pedal.sheet
        told |= {"sheet.thick": sheet.thick_mm, "sheet.doubler": sheet.doubler_mm, "sheet.tensile": sheet.tensile_mpa}
        told |= {"sheet.washer": sheet.washer_mm, "sheet.edge": sheet.edge_mm}
    if pedal.weld is not None:
        weld = pedal.weld
        told |= {"weld.leg": weld.leg_mm, "weld.electrode": weld.electrode_mpa}
        told |= {"weld.long": weld.long_mm, "weld.round": weld.round_mm}
    for key, figure in told.items():
        if figure is not None:
            known.note(f"pedal.{name}.{key}", figure, "")


def bent_over_mm(lever: Lever) -> float:
    """Arm of the foot's push about where the pedal is bent most [mm].

    A pedal free on its pivot with its rod on the pad's side is bent most at the rod; with the rod on the other side, or
    worked through a shaft, at the pivot.
    """
    one = (lever.pad_mm[0] - lever.pivot_mm[0], lever.pad_mm[1] - lever.pivot_mm[1])
    other = (lever.clevis_mm[0] - lever.pivot_mm[0], lever.clevis_mm[1] - lever.pivot_mm[1])
    along = (one[0] * other[0] + one[1] * other[1]) / lever.pad_arm_mm
    return lever.pad_arm_mm - along if 0.0 < along < lever.pad_arm_mm else lever.pad_arm_mm


def pivot_most_n(lever: Lever, push_n: float) -> float:
    """Greatest load on the pivot, at rest or at the end of the travel [N]."""
    return max(forces_at(lever, angle, push_n).pivot_n for angle in (0.0, lever.travel_deg))


def _arm(there: LeverThere, pedal: PedalFigures) -> Iterator[Check]:
    arm, name = pedal.arm, f"pedal.{there.part}.arm"
    if arm is None:
        return
    sort, count, drilled = arm.sort, len(arm.across_mm), arm.hole_mm is not None

    def factor(v: Values, push_n: float) -> float:
        section = _section(sort, [v[f"{name}.{n}"] for n in range(count)], v[f"{name}.hole"] if drilled else 0.0)
        bent = sections.bending_mpa(push_n * bent_over_mm(lever_from(there, v)), section)
        sheared = _SHEAR_PEAK * push_n / section.area_mm2
        return min(v[f"{name}.yield"] / bent, SHEAR_YIELD * v[f"{name}.yield"] / sheared)

    sizes = (*(f"{name}.{n}" for n in range(count)), *((f"{name}.hole",) if drilled else ()), f"{name}.yield")
    yield Check(
        key="arm",
        title="arm",
        needs=(*needs_of(there), *sizes),
        factor=factor,
        least=YIELD_LEAST,
        why="no yield",
        basis=_ARM_BASIS,
    )


_ARM_BASIS = Basis(
    source=BENDING_BASIS.source,
    assumed=("a straight arm, load in its plane", "one section, with no other hole than the one told"),
    not_covered=BENDING_BASIS.not_covered,
)


def _section(sort: BarSort, sizes_mm: Sequence[float], hole_mm: float) -> Section:
    match sort:
        case BarSort.FLAT:
            flat = sizes_mm[0], sizes_mm[1]
            return sections.drilled_strip(*flat, hole_mm) if hole_mm else sections.strip(*flat)
        case BarSort.ROUND:
            return sections.round_bar(sizes_mm[0])
        case BarSort.TUBE:
            return sections.round_tube(sizes_mm[0], sizes_mm[1])
        case BarSort.BOX:
            return sections.box_tube(sizes_mm[0], sizes_mm[1], sizes_mm[2])


def _pivot(there: LeverThere, pedal: PedalFigures) -> Iterator[Check]:
    pin, name = pedal.pivot, f"pedal.{there.part}"
    if pin is None:
        return
    sides = pin.sides
    check = partial(Check, least=YIELD_LEAST, why="no yield", basis=PIN_BASIS)
    sizes = (f"{name}.pin.across", f"{name}.pin.yield")

    def shear(v: Values, push_n: float) -> float:
        load = pivot_most_n(lever_from(there, v), push_n)
        return SHEAR_YIELD * v[f"{name}.pin.yield"] / pin_shear_mpa(load, v[f"{name}.pin.across"], sides)

    def bending(v: Values, push_n: float) -> float:
        load = pivot_most_n(lever_from(there, v), push_n)
        return v[f"{name}.pin.yield"] / pin_bending_mpa(load, v[f"{name}.pin.across"], v[f"{name}.pin.long"], sides)

    def bearing(v: Values, push_n: float) -> float:
        load = pivot_most_n(lever_from(there, v), push_n)
        return v[f"{name}.bush"] / pin_bearing_mpa(load, v[f"{name}.pin.across"], v[f"{name}.pin.long"])

    yield check(key="pivot-shear", title="pivot in shear", needs=(*needs_of(there), *sizes), factor=shear)
    needs = (*needs_of(there), *sizes, f"{name}.pin.long")
    yield check(key="pivot-bending", title="pivot in bending", needs=needs, factor=bending)
    if pin.bush_mpa is not None:
        needs = (*needs_of(there), f"{name}.pin.across", f"{name}.pin.long", f"{name}.bush")
        yield check(key="bush", title="bush", needs=needs, factor=bearing, why="what its maker gives")


def _bolts(there: LeverThere, pedal: PedalFigures, parts: Mapping[str, Component]) -> Iterator[Check]:
    bolts, sheet, name = pedal.bolts, pedal.sheet, f"pedal.{there.part}"
    if bolts is None:
        return
    there_too = () if bolts.on in parts else (f"part {bolts.on}",)
    area = stress_area_mm2(bolts.thread_mm, METRIC_COARSE_PITCH_MM[round(bolts.thread_mm)])
    grade = metric_grade(bolts.grade, bolts.thread_mm)
    cut, pulled = (load(area, grade, partial_factor=1.0) for load in (shear_load_n, tension_load_n))
    loads = partial(_worst, there, bolts, parts)

    def factor(v: Values, push_n: float) -> float:
        shear, pull = loads(v, push_n)
        return 1.0 / used_share(shear, pull, shear_load_n=cut, tension_load_n=pulled)

    check = partial(Check, least=BOLT_LEAST, why="partial factor of EN 1993-1-8")
    own = (*needs_of(there), *there_too)
    yield check(key="bolts", title="worst bolt", needs=own, factor=factor, basis=_BOLT_BASIS)
    if sheet is None:
        return
    thread = bolts.thread_mm

    def tears(v: Values, push_n: float) -> float:
        thick = v[f"{name}.sheet.thick"] + v[f"{name}.sheet.doubler"]
        return sheet_bearing_n(thread, thick, v[f"{name}.sheet.tensile"], v[f"{name}.sheet.edge"]) / loads(v, push_n)[0]

    def punches(v: Values, push_n: float) -> float:
        thick = v[f"{name}.sheet.thick"] + v[f"{name}.sheet.doubler"]
        return pull_through_n(v[f"{name}.sheet.washer"], thick, v[f"{name}.sheet.tensile"]) / loads(v, push_n)[1]

    plate = (*own, *(f"{name}.sheet.{k}" for k in ("thick", "doubler", "tensile")))
    needs = (*plate, f"{name}.sheet.edge")
    yield check(key="tear-out", title="bolt tears out", needs=needs, factor=tears, basis=SHEET_BASIS)
    needs = (*plate, f"{name}.sheet.washer")
    yield check(key="pull-through", title="bolt pulls through", needs=needs, factor=punches, basis=SHEET_BASIS)


def _worst(
    there: LeverThere, bolts: BoltFigures, parts: Mapping[str, Component], values: Values, push_n: float
) -> tuple[float, float]:
    """Shear and pull of the worst bolts, at rest or at the end of the travel [N]."""
    lever, part = lever_from(there, values), parts[bolts.on]
    places = [pose_mm(part.pose, p) for p in bolts.at_mm]
    way = rotated(part.pose.turn_deg, AXES[bolts.along])
    together = parts[there.cylinder].mounted_on == parts[there.part].mounted_on
    edge = 0.0 if bolts.edge_mm is None else bolts.edge_mm.value
    found = []
    for angle in (0.0, lever.travel_deg):
        x, z = foot_push_n(lever, angle, push_n) if together else pivot_push_n(lever, angle, push_n)
        at = turned(lever.pad_mm, lever.pivot_mm, angle) if together else lever.pivot_mm
        across = there.across_mm
        found.append(worst_bolt(places, way, (x, 0.0, z), (at[0], across, at[1]), edge_mm=edge))
    return max(f.shear_n for f in found), max(f.pull_n for f in found)


def _weld(there: LeverThere, pedal: PedalFigures) -> Iterator[Check]:
    weld, name = pedal.weld, f"pedal.{there.part}.weld"
    if weld is None:
        return
    run = "round" if weld.long_mm is None else "long"

    def factor(v: Values, push_n: float) -> float:
        lever, strength = lever_from(there, v), welds.metal_shear_mpa(v[f"{name}.electrode"])
        if run == "round":
            torque = push_n * lever.pad_arm_mm
            return strength / welds.round_stress_mpa(torque, v[f"{name}.leg"], v[f"{name}.round"])
        return strength / welds.stress_mpa(pivot_most_n(lever, push_n), v[f"{name}.leg"], v[f"{name}.long"])

    yield Check(
        key="weld",
        title="weld round the boss" if run == "round" else "weld of the bracket",
        needs=(*needs_of(there), f"{name}.leg", f"{name}.electrode", f"{name}.{run}"),
        factor=factor,
        least=WELD_LEAST,
        why="AWS D1.1 allows half of the metal's shear strength",
        basis=_WELD_BASIS,
    )


_WELD_BASIS = Basis(
    source=welds.WELD_BASIS.source,
    assumed=(*welds.WELD_BASIS.assumed, "runs carry the pivot's load straight; a boss carries the foot's whole turn"),
    not_covered=(*welds.WELD_BASIS.not_covered, "a bracket that is levered off by its weld's end"),
)
