"""Solids and working rooms from the file to the model."""

from __future__ import annotations

from collections.abc import Sequence

from planner.files import KeyPath
from planner.files.schema_shapes import CylinderFile, OutlineFile, RoomFile, ShapeKeys, TubeFile
from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Vec
from planner.model.vehicle import Room
from planner.shelf.bench import Bench
from planner.shelf.fill_mesh import fill_mesh
from planner.shelf.outline_faults import crossing, is_flat, repeated
from planner.shelf.tube_faults import folds, tight_legs
from planner.units import Size


def fill_solid(file: ShapeKeys, path: KeyPath, bench: Bench) -> Solid:
    """One solid; every fault in its sizes and points is reported."""
    at = bench.point((*path, "at"), file.at) if file.at else (0.0, 0.0, 0.0)
    pose = Pose(at_mm=at, turn_deg=fill_turn(file.turn))
    if file.box is not None:
        x, y, z = (bench.size((*path, "box", i), size) for i, size in enumerate(file.box))
        return Box(size_mm=(x, y, z), pose=pose, doubt_mm=bench.doubt(*file.box))
    if file.cylinder is not None:
        return _cylinder(file.cylinder, (*path, "cylinder"), bench, pose)
    if file.tube is not None:
        return _tube(file.tube, (*path, "tube"), bench, pose)
    if file.outline is not None:
        return _outline(file.outline, (*path, "outline"), bench, pose)
    if file.stl is not None:
        return fill_mesh(file.stl, (*path, "stl"), bench, pose)
    raise AssertionError("the schema lets no solid pass without a shape")


def fill_turn(turn: Sequence[float] | None) -> Vec:
    """Turn about x, y, z [deg]."""
    x, y, z = turn or (0.0, 0.0, 0.0)
    return (x, y, z)


def _cylinder(file: CylinderFile, path: KeyPath, bench: Bench, pose: Pose) -> Cylinder:
    return Cylinder(
        across_mm=bench.size((*path, "across"), file.across),
        length_mm=bench.size((*path, "length"), file.length),
        along=file.along.value,
        pose=pose,
        doubt_mm=bench.doubt(file.across, file.length),
    )


def _tube(file: TubeFile, path: KeyPath, bench: Bench, pose: Pose) -> Tube:
    points = tuple(bench.point((*path, "through", i), point) for i, point in enumerate(file.through))
    again = repeated(points, closed=False)
    if again is not None:
        message = f"points {again[0] + 1} and {again[1] + 1} of `through` are the same"
        bench.faults.error("bad-solid", (*path, "through", again[1]), message, "leave one of them out")
    across, bend = bench.size((*path, "across"), file.across), 0.0
    if file.bend is not None:
        bend = bench.allowance((*path, "bend"), file.bend, 0.0)
        if again is None:
            _check_bends(points, (across, bend), path, bench)
    sizes = [size for point in file.through for size in point] + ([] if file.bend is None else [file.bend])
    return Tube(across_mm=across, through_mm=points, bend_mm=bend, pose=pose, doubt_mm=bench.doubt(file.across, *sizes))


def _check_bends(points: Sequence[Vec], sizes: tuple[float, float], path: KeyPath, bench: Bench) -> None:
    """Report bends that no tube takes, and legs too short for them."""
    across, bend = sizes
    if 0.0 < bend < across / 2.0:
        message = f"a bend of {bench.length(bend)} is less than half of the tube's {bench.length(across)} across"
        hint = "`bend` is the radius of the centre line; 0 is a sharp corner"
        bench.faults.error("tight-bend", (*path, "bend"), message, hint)
        return
    if bend <= 0.0:
        return
    for point in folds(points):
        message = f"the tube turns straight back at point {point + 1}: no bend does that"
        bench.faults.error("short-leg", (*path, "through", point), message, "put another point beside it")
    for leg, needs, has in tight_legs(points, bend):
        message = (
            f"leg {leg + 1}, from point {leg + 1} to point {leg + 2}, needs {bench.length(needs)} for its bends "
            f"and has {bench.length(has)}"
        )
        hint = f"bends of {bench.length(bend * has / needs)} would go in; or draw the points apart"
        bench.faults.error("short-leg", (*path, "through", leg + 1), message, hint)


def _outline(file: OutlineFile, path: KeyPath, bench: Bench, pose: Pose) -> Outline:
    points = tuple(_flat(point, (*path, "points", i), bench) for i, point in enumerate(file.points))
    _check_outline(points, (*path, "points"), bench)
    return Outline(
        points_mm=points,
        thick_mm=bench.size((*path, "thick"), file.thick),
        along=file.along.value,
        pose=pose,
        doubt_mm=bench.doubt(file.thick, *(size for point in file.points for size in point)),
    )


def _flat(point: Sequence[Size], path: KeyPath, bench: Bench) -> tuple[float, float]:
    for index, size in enumerate(point):
        bench.check_near((*path, index), size.mm)
    return (point[0].mm, point[1].mm)


def _check_outline(points: Sequence[tuple[float, float]], path: KeyPath, bench: Bench) -> None:
    """Report the first thing that makes the outline no plain polygon."""
    again = repeated(points, closed=True)
    if again is not None:
        message = f"corners {again[0] + 1} and {again[1] + 1} of the outline are the same"
        bench.faults.error("bad-solid", (*path, again[1]), message, "leave one out; the outline closes by itself")
        return
    if is_flat(points):
        bench.faults.error(
            "bad-solid", path, "the outline has no area: its corners lie on one line", "check its corners"
        )
        return
    crossed = crossing(points)
    if crossed is not None:
        first, second = (i + 1 for i in crossed)
        message = f"the outline crosses itself: the sides from corner {first} and from corner {second} meet"
        bench.faults.error("bad-solid", (*path, crossed[1]), message, "list the corners in order round the edge")


def fill_room(file: RoomFile, path: KeyPath, bench: Bench) -> Room:
    """One working room."""
    if file.side is not None and file.depth is not None:
        depth = bench.size((*path, "depth"), file.depth)
        return Room(name=file.name, needed=file.needed, side=file.side, depth_mm=depth)
    return Room(name=file.name, needed=file.needed, solid=fill_solid(file, path, bench))
