"""The figures of the sums from the file to the model: every absurd one refused."""

from __future__ import annotations

from collections.abc import Sequence

from planner.files import KeyPath
from planner.files.schema_figures import (
    AxleFile,
    CoolantFile,
    DuoFile,
    FiguresFile,
    PipeFile,
    ShoeFile,
    SwellFile,
    WeightFile,
)
from planner.files.schema_vehicle import ComponentFile
from planner.model.figures import (
    AxleBrakes,
    ClutchFigures,
    CoolantFigures,
    DuoFigures,
    Figure,
    Figures,
    PipeFigures,
    ShoeFigures,
    Weight,
)
from planner.model.shapes import Solid
from planner.shelf.bench import Bench
from planner.shelf.extents import extent_mm
from planner.shelf.fill_amounts import (
    check_tabled,
    mass_figure,
    plain_figure,
    pressure_figure,
    size_figure,
    told,
    volume_figure,
)
from planner.shelf.fill_pedals import fill_bracket, fill_linkage, fill_pedal, fill_shoe

MIXES = (
    "water",
    "ethylene glycol, half by mass, first set",
    "ethylene glycol, half by mass, second set",
    "propylene glycol, half by mass",
)
"""Mixes whose density is tabled in sums/; a test holds the two lists together."""
FLARES = ("double inverted flare, 45 deg (SAE J533)", "bubble flare (ISO 4038)")
"""Flares whose nuts are tabled in sums/; a test holds the two lists together."""
TUBE_THREADS = ("3/8-24 UNF", "7/16-20 UNF", "1/2-20 UNF", "M10x1", "M12x1")
"""Threads of tube nuts tabled in sums/; a test holds the two lists together."""
SHOE_TO_DEG = 180.0


def fill_figures(file: FiguresFile | None, bench: Bench) -> Figures | None:
    """Fill in the section `figures` of a vehicle; None when there is none."""
    if file is None:
        return None
    here: KeyPath = ("figures",)
    clutch = None if file.clutch is None else size_figure(file.clutch.release, (*here, "clutch", "release"), bench)
    return Figures(
        weight=_weight(file.weight, (*here, "weight"), bench),
        axles={name: _axle(axle, (*here, "brakes", name), bench) for name, axle in file.brakes.items()},
        pipe=None if file.brake_pipe is None else _pipe(file.brake_pipe, (*here, "brake_pipe"), bench),
        coolant=_coolant(file.coolant, (*here, "coolant"), bench),
        clutch=ClutchFigures(release_mm=clutch),
        pedals={name: fill_pedal(pedal, (*here, "pedals", name), bench) for name, pedal in file.pedals.items()},
        linkages={name: fill_linkage(each, (*here, "linkages", name), bench) for name, each in file.linkages.items()},
        brackets={name: fill_bracket(each, (*here, "brackets", name), bench) for name, each in file.brackets.items()},
        shoe=fill_shoe(file.shoe, (*here, "shoe"), bench),
    )


def fill_piston(
    file: ComponentFile, path: KeyPath, bench: Bench, solids: Sequence[Solid]
) -> tuple[Figure | None, Figure | None]:
    """Bore and stroke of a cylinder, no larger than the part they are in."""
    longest = extent_mm(solids)
    found = []
    for key, size in (("bore", file.bore), ("stroke", file.stroke)):
        figure = size_figure(size, (*path, key), bench)
        if figure is not None and figure.value >= longest > 0.0:
            message = f"{key} {bench.length(figure.value)} in a part {bench.length(longest)} long"
            bench.faults.error("absurd-size", (*path, key), message, "check the unit, and the part's solids")
        found.append(figure)
    return found[0], found[1]


def _weight(file: WeightFile | None, path: KeyPath, bench: Bench) -> Weight:
    if file is None:
        return Weight()
    base = size_figure(file.wheelbase, (*path, "wheelbase"), bench)
    ahead = size_figure(file.ahead_of_rear, (*path, "ahead_of_rear"), bench)
    if base is not None and ahead is not None and ahead.value >= base.value:
        message = f"the centre of gravity lies {bench.length(ahead.value)} ahead of the rear axle, past the front one"
        bench.faults.error("absurd-figure", (*path, "ahead_of_rear"), message, "weigh both axles anew")
    return Weight(
        mass_kg=mass_figure(file.mass, (*path, "mass"), bench),
        wheelbase_mm=base,
        ahead_of_rear_mm=ahead,
        height_mm=size_figure(file.height, (*path, "height"), bench),
        grip=plain_figure(file.grip),
    )


def _axle(file: AxleFile, path: KeyPath, bench: Bench) -> AxleBrakes:
    bench.check_id((*path, "system"), file.system, "system")
    return AxleBrakes(
        system=file.system,
        sort=file.kind,
        bore_mm=size_figure(file.bore, (*path, "bore"), bench),
        pistons=file.pistons,
        travel_mm=size_figure(file.travel, (*path, "travel"), bench),
        radius_mm=size_figure(file.radius, (*path, "radius"), bench),
        friction=plain_figure(file.friction),
        shoe=None if file.shoe is None else _shoe(file.shoe, (*path, "shoe"), bench),
        leading=(True, False) if file.leading is None else tuple(file.leading),
        duo=None if file.duo is None else _duo(file.duo, (*path, "duo"), bench),
        tyre_radius_mm=size_figure(file.tyre_radius, (*path, "tyre_radius"), bench),
        pipe_mm3=volume_figure(file.pipe_volume, (*path, "pipe_volume"), bench),
        swell_mm3_per_mpa=None if file.hose_swell is None else _swell(file.hose_swell, (*path, "hose_swell"), bench),
        sink_kg=mass_figure(file.iron, (*path, "iron"), bench),
    )


def _duo(file: DuoFile, path: KeyPath, bench: Bench) -> DuoFigures:
    return DuoFigures(
        cylinder_mm=told(file.cylinder, (*path, "cylinder"), bench),
        link_mm=told(file.link, (*path, "link"), bench),
        anchor_mm=told(file.anchor, (*path, "anchor"), bench),
    )


def _swell(file: SwellFile, path: KeyPath, bench: Bench) -> Figure | None:
    volume = volume_figure(file.volume, (*path, "volume"), bench)
    pressure = pressure_figure(file.at, (*path, "at"), bench)
    if volume is None or pressure.value <= 0.0:
        return None
    swell = volume.value / pressure.value
    # Shares of doubt of a quotient add up.
    return Figure(
        swell, swell * (volume.doubt / volume.value + pressure.doubt / pressure.value) if volume.value else 0.0
    )


def _shoe(file: ShoeFile, path: KeyPath, bench: Bench) -> ShoeFigures:
    if not 0.0 <= file.begins < file.ends <= SHOE_TO_DEG:
        message = f"a lining from {file.begins:g} to {file.ends:g} deg cannot be"
        bench.faults.error("absurd-figure", (*path, "ends"), message, "both count from the pivot, 0 to 180 deg")
    sizes = {
        key: told(size, (*path, key), bench)
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
    if file.flare is not None:
        check_tabled(file.flare, (*path, "flare"), bench, FLARES)
    return PipeFigures(
        wall_mm=told(file.wall, (*path, "wall"), bench),
        strength_mpa=pressure_figure(file.strength, (*path, "strength"), bench),
        factor=file.factor,
        flare=file.flare,
        nuts=_threads("nuts", file.nuts, path, bench),
        threads=_threads("threads", file.threads, path, bench),
    )


def _threads(key: str, written: dict[str, str], path: KeyPath, bench: Bench) -> dict[str, str]:
    """Threads by place; one that is not tabled is a finding."""
    for place, thread in written.items():
        check_tabled(thread, (*path, key, place), bench, TUBE_THREADS)
    return dict(written)


def _tanks(file: CoolantFile, path: KeyPath, bench: Bench) -> dict[str, Figure]:
    """Volumes by part; whether the part is there is said by the sums, for a job may add it."""
    found = {name: volume_figure(volume, (*path, "tanks", name), bench) for name, volume in file.tanks.items()}
    return {name: figure for name, figure in found.items() if figure is not None}


def _coolant(file: CoolantFile | None, path: KeyPath, bench: Bench) -> CoolantFigures:
    if file is None:
        return CoolantFigures()
    if file.mix is not None:
        check_tabled(file.mix, (*path, "mix"), bench, MIXES)
    if file.cold is not None and file.hot is not None and file.hot <= file.cold:
        message = f"it is filled at {file.cold:g} degC and runs at {file.hot:g} degC"
        bench.faults.error("absurd-figure", (*path, "hot"), message, "hot is more than cold")
    bottle = file.bottle
    return CoolantFigures(
        fill_mm3=volume_figure(file.fill, (*path, "fill"), bench),
        tank_mm3=volume_figure(file.tank, (*path, "tank"), bench),
        tanks_mm3=_tanks(file, path, bench),
        mix=file.mix,
        cold_c=file.cold,
        hot_c=file.hot,
        level_mm=size_figure(file.level, (*path, "level"), bench),
        bottle_level_mm=None if bottle is None else told(bottle.level, (*path, "bottle", "level"), bench),
        bottle_hose_mm=None if bottle is None else told(bottle.hose, (*path, "bottle", "hose"), bench),
        hose_mm=size_figure(file.hose, (*path, "hose"), bench),
        flow_mm3=volume_figure(file.flow, (*path, "flow"), bench),
    )
