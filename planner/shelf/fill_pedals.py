"""Pedals, linkages and the driver's shoe from the file to the model.

A part, port or link named here may be one that only a job adds: whether it is there is said by the sums.
"""

from __future__ import annotations

import math

from planner.files import KeyPath
from planner.files.schema_pedals import (
    ArmFile,
    AxleLineFile,
    BoltsFile,
    BracketFile,
    LinkageFile,
    PedalFile,
    PinFile,
    SheetFile,
    SoleFile,
    WeldFile,
)
from planner.model.figures import (
    ArmFigures,
    BarSort,
    BoltFigures,
    BracketFigures,
    Figure,
    LinkageFigures,
    PedalFigures,
    PinFigures,
    SheetFigures,
    ShoeSize,
    StageFigures,
    TurnFigures,
    WeldFigures,
)
from planner.shelf.bench import Bench
from planner.shelf.fill_amounts import check_tabled, force_figure, pressure_figure, size_figure, told

BAR_SIZES = {
    BarSort.FLAT: ("thickness", "depth"),
    BarSort.ROUND: ("across",),
    BarSort.TUBE: ("across", "wall"),
    BarSort.BOX: ("width", "depth", "wall"),
}
GRADES = ("4.6", "5.8", "8.8", "10.9", "12.9")
"""Strength classes tabled in sums/; a test holds the two lists together."""
THREADS_MM = (5, 6, 8, 10, 12, 14, 16, 18, 20)
"""Coarse metric threads tabled in sums/; a test holds the two lists together."""
MOST_TURN_DEG = 180.0


def fill_pedal(file: PedalFile, path: KeyPath, bench: Bench) -> PedalFigures:
    """Fill in what one pedal is made of."""
    return PedalFigures(
        arm=None if file.arm is None else _arm(file.arm, (*path, "arm"), bench),
        pivot=None if file.pivot is None else _pin(file.pivot, (*path, "pivot"), bench),
        bolts=None if file.bolts is None else _bolts(file.bolts, (*path, "bolts"), bench),
        sheet=None if file.sheet is None else _sheet(file.sheet, (*path, "sheet"), bench),
        weld=None if file.weld is None else _weld(file.weld, (*path, "weld"), bench),
        panic_n=force_figure(file.panic, (*path, "panic"), bench),
        factor=file.factor,
    )


def _arm(file: ArmFile, path: KeyPath, bench: Bench) -> ArmFigures:
    wanted = BAR_SIZES[file.bar]
    if len(file.size) != len(wanted):
        message = f"a {file.bar} bar has {len(wanted)} sizes, {len(file.size)} are told"
        bench.faults.error("absurd-figure", (*path, "size"), message, f"write {', '.join(wanted)}")
    sizes = tuple(told(size, (*path, "size", n), bench) for n, size in enumerate(file.size))
    if file.bar in {BarSort.TUBE, BarSort.BOX} and 2.0 * sizes[-1].value >= min(s.value for s in sizes[:-1] or sizes):
        message = f"a wall of {bench.length(sizes[-1].value)} leaves no bore"
        bench.faults.error("absurd-figure", (*path, "size"), message, "the wall is the last of the sizes")
    hole = size_figure(file.hole, (*path, "hole"), bench)
    deep = sizes[min(1, len(sizes) - 1)].value
    if hole is not None and (file.bar is not BarSort.FLAT or hole.value >= deep):
        message = f"a hole of {bench.length(hole.value)} in a {file.bar} bar {bench.length(deep)} deep"
        bench.faults.error(
            "absurd-figure", (*path, "hole"), message, "a hole is reckoned with in a deeper flat bar only"
        )
    return ArmFigures(
        sort=file.bar,
        across_mm=sizes,
        yield_mpa=pressure_figure(file.yields, (*path, "yields"), bench),
        hole_mm=hole,
    )


def _pin(file: PinFile, path: KeyPath, bench: Bench) -> PinFigures:
    return PinFigures(
        across_mm=told(file.across, (*path, "across"), bench),
        long_mm=told(file.long, (*path, "long"), bench),
        yield_mpa=pressure_figure(file.yields, (*path, "yields"), bench),
        bush_mpa=None if file.bush is None else pressure_figure(file.bush, (*path, "bush"), bench),
        sides=file.sides,
    )


def _bolts(file: BoltsFile, path: KeyPath, bench: Bench) -> BoltFigures:
    check_tabled(file.grade, (*path, "grade"), bench, GRADES)
    thread = bench.size((*path, "thread"), file.thread)
    if thread not in THREADS_MM:
        message = f"thread: {bench.length(thread)} is no coarse metric thread tabled here"
        hint = f"known: {', '.join(f'{t} mm' for t in THREADS_MM)}; for an inch bolt give the next smaller"
        bench.faults.error("unknown-choice", (*path, "thread"), message, hint)
    edge = None if file.edge is None else Figure(bench.allowance((*path, "edge"), file.edge, 0.0))
    return BoltFigures(
        on=file.on,
        thread_mm=thread,
        grade=file.grade,
        along=file.along.value,
        at_mm=tuple(bench.point((*path, "at", n), point) for n, point in enumerate(file.at)),
        edge_mm=edge,
    )


def _sheet(file: SheetFile, path: KeyPath, bench: Bench) -> SheetFigures:
    return SheetFigures(
        thick_mm=told(file.thick, (*path, "thick"), bench),
        doubler_mm=size_figure(file.doubler, (*path, "doubler"), bench) or Figure(0.0),
        tensile_mpa=pressure_figure(file.tensile, (*path, "tensile"), bench),
        washer_mm=told(file.washer, (*path, "washer"), bench),
        edge_mm=told(file.edge, (*path, "edge"), bench),
    )


def _weld(file: WeldFile, path: KeyPath, bench: Bench) -> WeldFigures:
    if (file.long is None) == (file.round is None):
        message = "a weld is told by `long`, straight runs, or by `round`, once round a boss"
        bench.faults.error("absurd-figure", path, message, "give one of the two", key=True)
    return WeldFigures(
        leg_mm=told(file.leg, (*path, "leg"), bench),
        electrode_mpa=pressure_figure(file.electrode, (*path, "electrode"), bench),
        long_mm=size_figure(file.long, (*path, "long"), bench),
        round_mm=size_figure(file.round, (*path, "round"), bench),
    )


def fill_linkage(file: LinkageFile, path: KeyPath, bench: Bench) -> LinkageFigures:
    """Fill in one linkage."""
    for key, angle in (("travel", file.travel), ("full", file.full)):
        if angle is not None and not 0.0 < abs(angle) <= MOST_TURN_DEG:
            message = f"{key}: a lever does not turn by `{angle:g} deg`"
            bench.faults.error("absurd-figure", (*path, key), message, "up to 180 deg")
    part, _, port = file.push.partition(".")
    return LinkageFigures(
        part=part,
        port=port,
        turns=_turns(file.turns, (*path, "turns"), bench),
        travel_deg=file.travel,
        stages=tuple(
            StageFigures(
                link=stage.by,
                turns=_turns(stage.turns, (*path, "stages", n, "turns"), bench),
                outer=tuple((p, q) for p, _, q in (place.partition(".") for place in stage.outer)),
            )
            for n, stage in enumerate(file.stages)
        ),
        full_deg=None if file.full is None else Figure(abs(file.full)),
        pull_mm=size_figure(file.pull, (*path, "pull"), bench),
    )


def _turns(file: AxleLineFile | None, path: KeyPath, bench: Bench) -> TurnFigures | None:
    if file is None:
        return None
    length = math.hypot(*file.axis)
    x, y, z = (a / length for a in file.axis)
    return TurnFigures(about_mm=bench.point((*path, "about"), file.about), axis=(x, y, z))


def fill_bracket(file: BracketFile, path: KeyPath, bench: Bench) -> BracketFigures:
    """Fill in one folded bracket."""
    legs = len(file.legs)
    if len(file.bends) != legs - 1 or len(file.widths) not in {1, legs}:
        message = f"{legs} legs, {len(file.bends)} bends and {len(file.widths)} widths do not go together"
        hint = "one bend fewer than legs, and one width for all or one for each leg"
        bench.faults.error("absurd-figure", path, message, hint, key=True)
    for n, angle in enumerate(file.bends):
        if not 0.0 < angle < MOST_TURN_DEG:
            message = f"a bend of `{angle:g} deg`"
            bench.faults.error("absurd-figure", (*path, "bends", n), message, "more than 0 and less than 180 deg")
    if file.neutral.value > 1.0:
        message = f"the neutral line lies `{file.neutral.value:g}` of the thickness in, which is outside the sheet"
        bench.faults.error("absurd-figure", (*path, "neutral"), message, "0.35 to 0.5 is usual")
    widths = tuple(told(w, (*path, "widths", n), bench) for n, w in enumerate(file.widths))
    return BracketFigures(
        legs_mm=tuple(told(leg, (*path, "legs", n), bench) for n, leg in enumerate(file.legs)),
        widths_mm=widths if len(widths) > 1 else widths * legs,
        angles_deg=tuple(file.bends),
        radius_mm=told(file.radius, (*path, "radius"), bench),
        thick_mm=told(file.thick, (*path, "thick"), bench),
        neutral=Figure(file.neutral.value, file.neutral.doubt),
        metal=file.metal,
    )


def fill_shoe(file: SoleFile | None, path: KeyPath, bench: Bench) -> ShoeSize | None:
    """Fill in the shoe it is driven in."""
    if file is None:
        return None
    return ShoeSize(
        width_mm=told(file.width, (*path, "width"), bench),
        length_mm=size_figure(file.length, (*path, "length"), bench),
    )
