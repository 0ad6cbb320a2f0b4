"""How long geometry takes: one part moved among 1,000, all pairs of 1,000, ways out, sweeps.

Run with ``PYTHONPATH=. python tests/bench/bench_space.py``; prints a table, checks nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

import numpy as np

from planner.model.shapes import Box, Cylinder, Direction, Outline, Pose, Solid, Tube, Turn, Vec
from planner.space import Body, blocked_by, closer_than, gap, near_pairs, shifted, solid_body, swept_body

PARTS = 1000
MARGIN_MM = 10.0
ANGLE = Outline(
    points_mm=((0.0, 0.0), (100.0, 0.0), (100.0, 20.0), (20.0, 20.0), (20.0, 100.0), (0.0, 100.0)), thick_mm=5.0
)


def vec(values: Sequence[float]) -> Vec:
    x, y, z = (float(value) for value in values)
    return (x, y, z)


def parts(rng: np.random.Generator) -> list[Body]:
    """Boxes, bars, bent pipes and angles with a block, a third of them turned anyhow, in a car's front end."""
    bodies = []
    for k, place in enumerate(rng.uniform((0.0, 0.0, 0.0), (3000.0, 1400.0, 1000.0), (PARTS, 3))):
        size = rng.uniform(20.0, 120.0, 3)
        turn = rng.integers(0, 4, 3) * 90.0 if k % 3 else rng.uniform(-180.0, 180.0, 3)
        run = ((0.0, 0.0, 0.0), (2.0 * float(size[0]), 0.0, 0.0), (2.0 * float(size[0]), float(size[1]), 30.0))
        solids: list[tuple[Solid, ...]] = [
            (Box(size_mm=vec(size)),),
            (Cylinder(across_mm=float(size[0]), length_mm=2.0 * float(size[1]), along="x"),),
            (Tube(across_mm=8.0, through_mm=run),),
            (ANGLE, Box(size_mm=vec(size / 2.0))),
        ]
        bodies.append(solid_body(solids[k % 4], Pose(at_mm=vec(place), turn_deg=vec(turn))))
    return bodies


def timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1e3


def row(name: str, times_ms: Sequence[float], note: str = "") -> None:
    median, high = np.percentile(times_ms, [50, 95])
    print(f"{name:44} {median:10.2f} {high:10.2f}   {note}")


def main() -> None:
    rng = np.random.default_rng(1)
    print(f"{'':44} {'median ms':>10} {'p95 ms':>10}")
    bodies: list[Body] = []
    row("build 1,000 bodies", [timed(lambda: bodies.extend(parts(rng)))])
    row("near_pairs, all", [timed(lambda: near_pairs(bodies, MARGIN_MM)) for _ in range(20)])
    pairs = near_pairs(bodies, MARGIN_MM)
    row("closer_than, all near pairs",
        [timed(lambda: [closer_than(bodies[i], bodies[j], MARGIN_MM) for i, j in pairs]) for _ in range(3)],
        f"{len(pairs)} pairs")  # fmt: skip
    row("gap with place, all near pairs",
        [timed(lambda: [gap(bodies[i], bodies[j]) for i, j in pairs]) for _ in range(3)])  # fmt: skip
    lows, highs = np.array([body.lo_mm for body in bodies]), np.array([body.hi_mm for body in bodies])

    def near(body: Body) -> list[Body]:
        low, high = np.array(body.lo_mm) - MARGIN_MM, np.array(body.hi_mm) + MARGIN_MM
        return [bodies[j] for j in np.flatnonzero(np.all((lows <= high) & (highs >= low), axis=1)).tolist()]

    moved = [shifted(bodies[k], vec(rng.uniform(-300.0, 300.0, 3))) for k in range(300)]
    row(
        "one part moved: clashes with depth and place", [timed(lambda b=b: [gap(b, o) for o in near(b)]) for b in moved]
    )
    row("one part moved: closer_than only",
        [timed(lambda b=b: [closer_than(b, o, MARGIN_MM) for o in near(b)]) for b in moved])  # fmt: skip
    others = {str(k): body for k, body in enumerate(bodies)}
    row("one part: six ways out",
        [timed(lambda b=b: [blocked_by(b, way, others) for way in Direction]) for b in moved[:40]])  # fmt: skip
    swing = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=18.0)
    lever = (Box(size_mm=(40.0, 12.0, 280.0), pose=Pose(at_mm=(0.0, 0.0, -150.0))),
             Box(size_mm=(10.0, 60.0, 50.0), pose=Pose(at_mm=(20.0, 0.0, -290.0))),
             Cylinder(across_mm=30.0, length_mm=50.0, along="y"))  # fmt: skip
    row("sweep of a pedal", [timed(lambda: swept_body(lever, Pose(), swing)) for _ in range(20)],
        f"{len(swept_body(lever, Pose(), swing).pieces)} pieces")  # fmt: skip
    pedal = shifted(swept_body(lever, Pose(), swing), vec(np.array(bodies[7].lo_mm) + 60.0))
    row(
        "sweep of a pedal: clashes with depth and place",
        [timed(lambda: [gap(pedal, o) for o in near(pedal)]) for _ in range(5)],
    )


if __name__ == "__main__":
    main()
