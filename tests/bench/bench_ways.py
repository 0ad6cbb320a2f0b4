"""How long the ways out of every part take: six straight ones each, and ways of two legs for those shut in.

Run with ``PYTHONPATH=.:tests python tests/bench/bench_ways.py``; prints a table of processor time (one thread),
checks nothing. The scene is a front
end of 3.0 x 1.4 x 1.0 m at 500 parts and grows with their number, so that the density stays: two thirds of the parts
are upright boxes and bars, the rest bent pipes, brackets and parts turned anyhow; most are mounted flush on another
part or on sheet metal, a few on nothing. Nine in ten come off. At density 1 the boxes of the parts fill about a tenth
of the room, as round an engine; at 2.5 a seventh, and they stand on each other, as under a dashboard.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

import numpy as np

from planner.knockon.access import access_for
from planner.knockon.scene import standing_scene
from planner.knockon.ways_out import WaysOut, out_mm
from planner.model.shapes import Box, Cylinder, Direction, Outline, Pose, Solid, Tube, Vec
from planner.model.vehicle import Component, Freedom, Vehicle
from planner.space import Body, Crowd, Passage, blocked_all, blocked_by, near_pairs, solid_body

ROOM_MM = np.array([3000.0, 1400.0, 1000.0])
ANGLE = ((-40.0, -40.0), (40.0, -40.0), (40.0, -30.0), (-30.0, -30.0), (-30.0, 40.0), (-40.0, 40.0))
REPEATS = 5


def vec(values: Sequence[float]) -> Vec:
    x, y, z = (float(v) for v in values)
    return (x, y, z)


def solids_of(rng: np.random.Generator, k: int) -> tuple[tuple[Solid, ...], Vec]:
    """Solids in their own frame, and the turn of the part."""
    size = rng.uniform(30.0, 170.0, 3)
    square = vec(rng.integers(0, 4, 3) * 90.0)
    kind = k % 12
    if kind < 5:
        return (Box(size_mm=vec(size)),), square
    if kind < 8:
        return (Cylinder(across_mm=float(size[0]), length_mm=float(size[1]), along="xyz"[k % 3]),), (0.0, 0.0, 0.0)
    if kind == 8:
        run = ((0.0, 0.0, 0.0), (2.5 * float(size[0]), 0.0, 0.0), (2.5 * float(size[0]), float(size[1]), 40.0))
        return (Tube(across_mm=12.0, through_mm=run),), square
    if kind == 9:
        return (Outline(points_mm=ANGLE, thick_mm=40.0, along="y"), Box(size_mm=vec(size / 2.0))), square
    turned = vec(rng.uniform(-180.0, 180.0, 3))
    if kind == 10:
        return (Box(size_mm=vec(size)),), turned
    return (Cylinder(across_mm=float(size[0]) / 2.0, length_mm=float(size[1]) * 1.5),), turned


def scene(count: int, dense: float) -> Vehicle:
    """Parts that do not overlap (those that would by more than 1 mm are drawn again), set flush on what is below."""
    rng = np.random.default_rng(7)
    room = ROOM_MM * (count / 500.0 / dense) ** (1.0 / 3.0)
    parts: dict[str, Component] = {}
    lows, highs = np.zeros((0, 3)), np.zeros((0, 3))
    while len(parts) < count:
        k = len(parts)
        solids, turn = solids_of(rng, k)
        body = solid_body(solids, Pose(turn_deg=turn))
        low, high = np.array(body.lo_mm), np.array(body.hi_mm)
        at = rng.uniform(0.0, room) - low
        under = np.all((lows[:, :2] < (high + at)[:2]) & ((low + at)[:2] < highs[:, :2]), axis=1) & (
            highs[:, 2] <= (low + at)[2]
        )
        host = None
        if k % 4 and under.any():
            tops = np.where(under, highs[:, 2], -np.inf)
            host = f"p{int(np.argmax(tops))}"
            at[2] = float(tops.max()) - low[2]
        if np.any(np.all((lows < high + at - 1.0) & (low + at + 1.0 < highs), axis=1)):
            continue
        lows, highs = np.vstack([lows, low + at]), np.vstack([highs, high + at])
        parts[f"p{k}"] = Component(
            id=f"p{k}",
            kind="thing",
            name=f"p{k}",
            group="body",
            pose=Pose(at_mm=vec(at), turn_deg=turn),
            solids=solids,
            mounted_on=host,
            freedom=Freedom.STAYS if k % 10 == 0 else Freedom.COMES_OFF,
        )
    return Vehicle(
        name="bench", units="mm", ground_z_mm=-300.0, systems={}, components=parts, links={}, spaces={}, relations={}
    )


def row(name: str, times_ms: Sequence[float], note: str = "") -> None:
    median, high = np.percentile(times_ms, [50, 95])
    print(f"{name:58} {median:10.1f} {high:10.1f}   {note}", flush=True)


def straight(bodies: dict[str, Body]) -> list[Passage]:
    return [Passage(i, way, out_mm(body, way)) for i, body in bodies.items() for way in Direction]


def timed(count: int, dense: float) -> None:
    vehicle = scene(count, dense)
    items = standing_scene(vehicle)
    bodies = {i: item.body for i, item in items.items()}
    loose = [i for i, item in items.items() if not item.stays]
    near = len(near_pairs(list(bodies.values()), 10.0))
    pieces = sum(len(b.pieces) for b in bodies.values())
    print(f"{count} parts, density {dense:g}, {pieces} pieces, {near} pairs within 10 mm")
    spent: dict[str, list[float]] = {"arrays": [], "six": [], "all": [], "access": []}
    for _ in range(REPEATS):
        start = time.process_time()
        crowd = Crowd(bodies)
        built = time.process_time()
        answers = blocked_all(crowd, straight(bodies))
        done = time.process_time()
        ways = WaysOut(items).of(loose)
        all_done = time.process_time()
        access_for(items, loose)
        spent["arrays"].append((built - start) * 1e3)
        spent["six"].append((done - built) * 1e3)
        spent["all"].append((all_done - done) * 1e3)
        spent["access"].append((time.process_time() - all_done) * 1e3)
    row("  arrays of all bodies", spent["arrays"])
    row("  six straight ways of every part", spent["six"], f"{sum(map(len, answers)) / count:.1f} blockers a part")
    turned = sum(any(w.first for w in found) for found, _ in ways.values())
    stuck = sum(all(w.blockers for w in found if not w.first) for found, _ in ways.values())
    none = sum(not found for found, _ in ways.values())
    note = f"{stuck} of {len(loose)} without a free straight way, {turned} with a first move, {none} with no way"
    row("  all ways of all parts, those of two legs included", spent["all"], note)
    row("  access to all parts (ways, rooms, riders)", spent["access"])
    each = []
    for name in loose[:: max(1, len(loose) // 40)]:
        others = {i: b for i, b in bodies.items() if i != name}
        start = time.process_time()
        for way in Direction:
            blocked_by(bodies[name], way, others, travel_mm=out_mm(bodies[name], way))
        each.append((time.process_time() - start) * 1e3)
    row("  one by one, six ways of one part (blocked_by)", each, f"{np.mean(each) * count / 1e3:.1f} s for all")


def main() -> None:
    print(f"{'':58} {'median ms':>10} {'p95 ms':>10}")
    for count in [int(v) for v in sys.argv[1:]] or [100, 500, 1000]:
        for dense in (1.0, 2.5):
            timed(count, dense)


if __name__ == "__main__":
    main()
