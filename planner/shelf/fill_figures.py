"""The figures of the sums from the file to the model: every absurd one refused."""

from __future__ import annotations

from collections.abc import Sequence

from planner.files import KeyPath
from planner.files.schema_figures import AxleFile, CoolantFile, FiguresFile, PipeFile, ShoeFile, SwellFile, WeightFile
from planner.files.schema_vehicle import ComponentFile
from planner.finding.words import did_you_mean, quoted
from planner.model.shapes import Solid
from planner.model.sums import (
    AxleBrakes,
    ClutchFigures,
    CoolantFigures,
    Figure,
    Figures,
    PipeFigures,
    ShoeFigures,
    Weight,
)
from planner.shelf.bench import Bench
from planner.shelf.extents import extent_mm
from planner.units import Size

MIXES = (
    "water",
    "ethylene glycol, half by mass, first set",
    "ethylene glycol, half by mass, second set",
    "propylene glycol, half by mass",
)
"""Mixes whose density is tabled in sums/; a test holds the two lists together."""
HEAVIEST_KG = 20_000.0
LARGEST_L = 1_000.0
SHOE_TO_DEG = 180.0


def fill_figures(file: FiguresFile | None, bench: Bench) -> Figures | None:
    """Fill in the section `figures` of a vehicle; None when there is none."""
    if file is None:
        return None
    here: KeyPath = ("figures",)
    clutch = None if file.clutch is None else _size(file.clutch.release, (*here, "clutch", "release"), bench)
    return Figures(
        weight=_weight(file.weight, (*here, "weight"), bench),
        axles={name: _axle(axle, (*here, "brakes", name), bench) for name, axle in file.brakes.items()},
        pipe=None if file.brake_pipe is None else _pipe(file.brake_pipe, (*here, "brake_pipe"), bench),
        coolant=_coolant(file.coolant, (*here, "coolant"), bench),
        clutch=ClutchFigures(release_mm=clutch),
    )


def fill_piston(
    file: ComponentFile, path: KeyPath, bench: Bench, solids: Sequence[Solid]
) -> tuple[Figure | None, Figure | None]:
    """Bore and stroke of a cylinder, no larger than the part they are in."""
    longest = extent_mm(solids)
    found = []
    for key, size in (("bore", file.bore), ("stroke", file.stroke)):
        figure = _size(size, (*path, key), bench)
        if figure is not None and figure.value >= longest > 0.0:
            message = f"{key} {bench.length(figure.value)} in a part {bench.length(longest)} long"
            bench.faults.error("absurd-size", (*path, key), message, "check the unit, and the part's solids")
        found.append(figure)
    return found[0], found[1]


def _size(size: Size | None, path: KeyPath, bench: Bench) -> Figure | None:
    """A size of something, with its own doubt: the file's usual doubt is a tape's, and no caliper's."""
    if size is None:
        return None
    return Figure(bench.size(path, size), size.doubt_mm or 0.0)


def _mass(mass: float | None, path: KeyPath, bench: Bench) -> Figure | None:
    if mass is not None and not 0.0 < mass <= HEAVIEST_KG:
        message = f"a mass of `{mass:g} kg` is not believable"
        bench.faults.error("absurd-mass", path, message, "check the unit: a bare number is kilograms")
    return None if mass is None else Figure(mass)


def _volume(volume_mm3: float | None, path: KeyPath, bench: Bench) -> Figure | None:
    if volume_mm3 is not None and not 0.0 < volume_mm3 <= LARGEST_L * 1e6:
        message = f"a volume of `{volume_mm3 / 1e6:g} l` is not believable"
        bench.faults.error("absurd-volume", path, message, "check the unit: a bare number is litres")
    return None if volume_mm3 is None else Figure(volume_mm3)


def _pressure(pressure_mpa: float, path: KeyPath, bench: Bench) -> float:
    if pressure_mpa <= 0.0:
        bench.faults.error("absurd-figure", path, "a pressure of nothing", "check the unit: a bare number is MPa")
    return pressure_mpa


def _plain(value: float | None) -> Figure | None:
    return None if value is None else Figure(value)


def _weight(file: WeightFile | None, path: KeyPath, bench: Bench) -> Weight:
    if file is None:
        return Weight()
    base = _size(file.wheelbase, (*path, "wheelbase"), bench)
    ahead = _size(file.ahead_of_rear, (*path, "ahead_of_rear"), bench)
    if base is not None and ahead is not None and ahead.value >= base.value:
        message = f"the centre of gravity lies {bench.length(ahead.value)} ahead of the rear axle, past the front one"
        bench.faults.error("absurd-figure", (*path, "ahead_of_rear"), message, "weigh both axles anew")
    return Weight(
        mass_kg=_mass(file.mass, (*path, "mass"), bench),
        wheelbase_mm=base,
        ahead_of_rear_mm=ahead,
        height_mm=_size(file.height, (*path, "height"), bench),
        grip=_plain(file.grip),
    )


def _axle(file: AxleFile, path: KeyPath, bench: Bench) -> AxleBrakes:
    bench.check_id((*path, "system"), file.system, "system")
    return AxleBrakes(
        system=file.system,
        sort=file.kind,
        bore_mm=_size(file.bore, (*path, "bore"), bench),
        pistons=file.pistons,
        travel_mm=_size(file.travel, (*path, "travel"), bench),
        radius_mm=_size(file.radius, (*path, "radius"), bench),
        friction=_plain(file.friction),
        shoe=None if file.shoe is None else _shoe(file.shoe, (*path, "shoe"), bench),
        leading=(True, False) if file.leading is None else tuple(file.leading),
        tyre_radius_mm=_size(file.tyre_radius, (*path, "tyre_radius"), bench),
        pipe_mm3=_volume(file.pipe_volume, (*path, "pipe_volume"), bench),
        swell_mm3_per_mpa=None if file.hose_swell is None else _swell(file.hose_swell, (*path, "hose_swell"), bench),
        sink_kg=_mass(file.iron, (*path, "iron"), bench),
    )


def _swell(file: SwellFile, path: KeyPath, bench: Bench) -> Figure | None:
    volume = _volume(file.volume, (*path, "volume"), bench)
    pressure = _pressure(file.at, (*path, "at"), bench)
    return None if volume is None or pressure <= 0.0 else Figure(volume.value / pressure)


def _shoe(file: ShoeFile, path: KeyPath, bench: Bench) -> ShoeFigures:
    if not 0.0 <= file.begins < file.ends <= SHOE_TO_DEG:
        message = f"a lining from {file.begins:g} to {file.ends:g} deg cannot be"
        bench.faults.error("absurd-figure", (*path, "ends"), message, "both count from the pivot, 0 to 180 deg")
    sizes = {
        key: Figure(bench.size((*path, key), size), size.doubt_mm or 0.0)
        for key, size in (("width", file.width), ("pivot", file.pivot), ("arm", file.arm))
    }
    return ShoeFigures(
        width_mm=sizes["width"],
        pivot_mm=sizes["pivot"],
        arm_mm=sizes["arm"],
        begins_deg=file.begins,
        ends_deg=file.ends,
    )


def _pipe(file: PipeFile, path: KeyPath, bench: Bench) -> PipeFigures:
    return PipeFigures(
        wall_mm=Figure(bench.size((*path, "wall"), file.wall), file.wall.doubt_mm or 0.0),
        strength_mpa=Figure(_pressure(file.strength, (*path, "strength"), bench)),
        factor=file.factor,
    )


def _coolant(file: CoolantFile | None, path: KeyPath, bench: Bench) -> CoolantFigures:
    if file is None:
        return CoolantFigures()
    if file.mix is not None and file.mix not in MIXES:
        hint = did_you_mean(file.mix, MIXES, otherwise=f"known: {'; '.join(MIXES)}")
        bench.faults.error("unknown-choice", (*path, "mix"), f"mix: {quoted(file.mix)} is not tabled here", hint)
    if file.cold is not None and file.hot is not None and file.hot <= file.cold:
        message = f"it is filled at {file.cold:g} degC and runs at {file.hot:g} degC"
        bench.faults.error("absurd-figure", (*path, "hot"), message, "hot is more than cold")
    return CoolantFigures(
        fill_mm3=_volume(file.fill, (*path, "fill"), bench),
        tank_mm3=_volume(file.tank, (*path, "tank"), bench),
        mix=file.mix,
        cold_c=file.cold,
        hot_c=file.hot,
        level_mm=_size(file.level, (*path, "level"), bench),
    )
