"""How long geometry takes as a vehicle grows: all pairs, one part moved with its links, ways out, sweeps, memory.

Run with ``PYTHONPATH=. python tests/bench/bench_space.py [parts ...]``; prints tables, checks nothing. The vehicle is
that of ``tests/space/crowded_bay.py``: its volume grows with the number of parts, the crowding stays the same.
Wall-clock is what a user waits; processor time says what it would be on a machine that does nothing else.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "space"))

from crowded_bay import KEEP_CLEAR_MM, SWING, Bay, bay, run_of
from space_cases import vec

from planner.model.shapes import Box, Cylinder, Direction, Pose
from planner.space import (
    Body,
    Crowd,
    Passage,
    blocked_all,
    blocked_by,
    close_pairs,
    gap_if_closer,
    near_pairs,
    place_words,
    shifted,
    swept_body,
)

SIZES = (100, 1000, 10000)
MOVES = 200
REACH_MM = 30.0
"""A part is moved by up to this much along each axis."""


class Clock:
    """Wall-clock and processor time of calls [ms]."""

    def __init__(self) -> None:
        self.wall_ms: list[float] = []
        self.processor_ms: list[float] = []

    def run(self, work: Callable[[], object], times: int = 1) -> Clock:
        for _ in range(times):
            wall, processor = time.perf_counter(), time.process_time()
            work()
            self.wall_ms.append((time.perf_counter() - wall) * 1e3)
            self.processor_ms.append((time.process_time() - processor) * 1e3)
        return self

    def row(self, name: str, note: str = "") -> None:
        wall, high = np.percentile(self.wall_ms, [50, 95])
        own, own_high = np.percentile(self.processor_ms, [50, 95])
        print(f"{name:46} {wall:9.2f} {high:9.2f} {min(self.wall_ms):9.2f} {own:9.2f} {own_high:9.2f}   {note}")


def head(title: str) -> None:
    print(f"\n{title:46} {'median':>9} {'p95':>9} {'least':>9} {'cpu med':>9} {'cpu p95':>9}   [ms]")


class Garage:
    """A bay with what a program would keep of it between two questions."""

    def __init__(self, parts: int) -> None:
        self.bay: Bay = bay(parts)
        self.bodies = self.bay.bodies
        self.lows = np.array([body.lo_mm for body in self.bodies])
        self.highs = np.array([body.hi_mm for body in self.bodies])
        self.links: dict[int, list[int]] = {}
        for one, other in self.bay.links:
            self.links.setdefault(one, []).append(other)
            self.links.setdefault(other, []).append(one)

    def near(self, body: Body, but: Sequence[int]) -> list[int]:
        low, high = np.array(body.lo_mm) - KEEP_CLEAR_MM, np.array(body.hi_mm) + KEEP_CLEAR_MM
        near = np.all((self.lows <= high) & (self.highs >= low), axis=1)
        near[list(but)] = False
        return [int(k) for k in np.flatnonzero(near)]

    def clashes(self, part: int, body: Body) -> list[tuple[int, float, str]]:
        """With which parts a moved part and its links clash, how deep or near, and where."""
        found = []
        for other in self.near(body, [part]):
            margin = max(self.bay.margins_mm[part], self.bay.margins_mm[other])
            spot = gap_if_closer(body, self.bodies[other], margin)
            if spot is not None:
                found.append((other, spot.mm, place_words(body, spot.at_mm)))
        for end in self.links.get(part, []):
            run = run_of(body, self.bodies[end])
            for other in self.near(run, [part, end]):
                spot = gap_if_closer(run, self.bodies[other], 0.0)
                if spot is not None:
                    found.append((other, spot.mm, place_words(run, spot.at_mm)))
        return found


def moved_parts(garage: Garage, seed: int, swinging: bool) -> list[tuple[int, Body]]:
    rng = np.random.default_rng(seed)
    among = garage.bay.swinging if swinging else range(len(garage.bodies))
    chosen = rng.choice(np.array(among), MOVES)
    shifts = rng.uniform(-REACH_MM, REACH_MM, (MOVES, 3))
    return [(int(k), shifted(garage.bodies[k], vec(by))) for k, by in zip(chosen, shifts, strict=True)]


def bench_size(parts: int) -> None:
    head(f"{parts:,} parts")
    clock = Clock()
    made: list[Garage] = []
    clock.run(lambda: made.append(Garage(parts)))
    garage = made[0]
    bodies, margins = garage.bodies, garage.bay.margins_mm
    near = near_pairs(bodies, KEEP_CLEAR_MM)
    pieces = sum(len(body.pieces) for body in bodies)
    clock.row("build all bodies", f"{pieces:,} pieces")
    Clock().run(lambda: near_pairs(bodies, KEEP_CLEAR_MM), 9).row(
        "near_pairs, boxes within 10 mm", f"{len(near):,} pairs, {2 * len(near) / parts:.1f} neighbours a part"
    )
    Clock().run(lambda: close_pairs(bodies, margins)).row("close_pairs, keep-clear 0 or 10, first time")
    close = close_pairs(bodies, margins)
    Clock().run(lambda: close_pairs(bodies, margins), 9).row("close_pairs, keep-clear 0 or 10", f"{len(close):,} close")
    Clock().run(lambda: close_pairs(bodies, KEEP_CLEAR_MM), 9).row("close_pairs, keep-clear 10")
    Clock().run(lambda: close_pairs(bodies, 0.0), 9).row(
        "close_pairs, overlaps only", f"{len(close_pairs(bodies, 0.0)):,} overlap"
    )
    for name, swinging in (
        ("one part moved: clash, depth, place, links", False),
        ("  the same, a swinging part", True),
    ):
        moves = moved_parts(garage, 5, swinging)
        for part, body in moves:  # the same parts warm, elsewhere
            garage.clashes(part, shifted(body, (3.0, -2.0, 1.0)))
        clock = Clock()
        for part, body in moves:
            clock.run(lambda part=part, body=body: garage.clashes(part, body))
        clock.row(name)
    bench_ways(garage)


def bench_ways(garage: Garage) -> None:
    """One part and its clashes as above, then its six straight ways out."""
    names = {str(k): body for k, body in enumerate(garage.bodies)}
    made: list[Crowd] = []
    Clock().run(lambda: made.append(Crowd(names))).row("gather the crowd for ways out")
    crowd = made[0]
    moves = moved_parts(garage, 6, swinging=False)[:60]
    out_mm = float(np.ptp(np.vstack([garage.lows, garage.highs]), axis=0).max())

    def ways(part: int, body: Body, travel_mm: float) -> None:
        garage.clashes(part, body)
        blocked_all(crowd, [Passage(str(part), way, travel_mm) for way in Direction])

    for name, travel_mm in (("  and six ways out, by 400 mm", 400.0), ("  and six ways out, to beyond it all", out_mm)):
        clock = Clock()
        for part, body in moves:
            clock.run(lambda part=part, body=body, far=travel_mm: ways(part, body, far))
        clock.row(name)
    clock = Clock()
    for part, body in moves[:10]:
        others = {name: other for name, other in names.items() if name != str(part)}
        clock.run(lambda body=body, others=others: [blocked_by(body, way, others) for way in Direction])
    clock.row("six ways out, one after the other")


def bench_pedal() -> None:
    head("sweep")
    lever = (Box(size_mm=(40.0, 12.0, 280.0), pose=Pose(at_mm=(0.0, 0.0, -150.0))),
             Box(size_mm=(10.0, 60.0, 50.0), pose=Pose(at_mm=(20.0, 0.0, -290.0))),
             Cylinder(across_mm=30.0, length_mm=50.0, along="y"))  # fmt: skip
    Clock().run(lambda: swept_body(lever, Pose(), SWING), 20).row(
        "sweep of a pedal by 18 degrees", f"{len(swept_body(lever, Pose(), SWING).pieces)} pieces"
    )


def main() -> None:
    sizes = [int(text) for text in sys.argv[1:]] or SIZES
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    for parts in sizes:
        bench_size(parts)
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        print(f"{'memory of the process, peak':46} {peak_mb:9.0f} MB")
    bench_pedal()
    print(f"load after: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
