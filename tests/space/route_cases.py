"""Scenes for runs, and a referee that knows boxes only: dense points along the bend, distances by plain arithmetic."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from planner.model.shapes import Box, Pose, Vec
from planner.space import ClearRun, Guard, RunTask, solid_body
from planner.space.frames import rotation

WORLD: tuple[Vec, Vec] = ((-1500.0, -1500.0, -1500.0), (2500.0, 1500.0, 1500.0))
TALL = 2900.0


def block(at: Vec, size: Vec, *, turn: Vec = (0.0, 0.0, 0.0)) -> Box:
    return Box(size_mm=size, pose=Pose(at_mm=at, turn_deg=turn))


def guards(boxes: Sequence[Box], keep_mm: float) -> tuple[Guard, ...]:
    return tuple(Guard(id=f"box-{n}", body=solid_body((b,), Pose()), keep_mm=keep_mm) for n, b in enumerate(boxes))


def task(
    boxes: Sequence[Box],
    start: Vec = (0.0, 0.0, 0.0),
    finish: Vec = (600.0, 0.0, 0.0),
    *,
    across: float = 10.0,
    bend: float = 20.0,
    keep: float = 10.0,
    straight: float = 0.0,
) -> RunTask:
    return RunTask(
        points_mm=(start, finish),
        across_mm=across,
        bend_mm=bend,
        guards=guards(boxes, keep),
        within_mm=WORLD,
        straight_mm=straight,
    )


def laid_out(points: Sequence[Vec], bend: float, step: float = 2.0) -> np.ndarray:
    """Points (n, 3) along the bent centre line: each arc from its circle's centre, by vectors."""
    corners = [np.array(p) for p in points]
    line = [corners[0]]
    for before, corner, after in zip(corners, corners[1:], corners[2:], strict=False):
        back, on = before - corner, after - corner
        back, on = back / np.linalg.norm(back), on / np.linalg.norm(on)
        inside = math.acos(float(np.clip(back @ on, -1.0, 1.0)))
        cut = bend / math.tan(inside / 2.0)
        first, last = corner + back * cut, corner + on * cut
        middle = (back + on) / np.linalg.norm(back + on)
        centre = corner + middle * math.hypot(bend, cut)
        sweep = math.pi - inside
        count = max(2, math.ceil(sweep * bend / step))
        # Points between two radii of a circle, by spherical interpolation.
        for k in range(count + 1):
            share = k / count
            radial = (
                math.sin((1.0 - share) * sweep) * (first - centre) + math.sin(share * sweep) * (last - centre)
            ) / math.sin(sweep)
            line.append(centre + radial)
    line.append(corners[-1])
    dense = [line[0][None, :]]
    for a, b in pairwise(line):
        count = max(1, math.ceil(float(np.linalg.norm(b - a)) / step))
        dense.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.vstack(dense)


def gaps_to(box: Box, points: np.ndarray) -> np.ndarray:
    """Distance (n,) of points from a box, 0 inside."""
    local = (points - np.array(box.pose.at_mm)) @ rotation(box.pose.turn_deg)
    return np.asarray(np.linalg.norm(np.maximum(np.abs(local) - np.array(box.size_mm) / 2.0, 0.0), axis=1))


def faults(run: ClearRun, asked: RunTask, boxes: Sequence[Box], keep: float) -> list[str]:
    """What the referee has against a run."""
    found: list[str] = []
    if run.points_mm[0] != asked.points_mm[0] or run.points_mm[-1] != asked.points_mm[-1]:
        found.append("ends elsewhere")
    line = laid_out(run.points_mm, asked.bend_mm)
    length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    if not -0.5 < run.length_mm - length < 0.5 + 0.002 * length:
        found.append(f"length {run.length_mm} is not {length}")
    legs = [math.dist(a, b) for a, b in pairwise(run.points_mm)]
    cuts = [asked.straight_mm]
    for a, b, c in zip(run.points_mm, run.points_mm[1:], run.points_mm[2:], strict=False):
        u, v = np.subtract(a, b), np.subtract(c, b)
        inside = math.acos(float(np.clip(u @ v / np.linalg.norm(u) / np.linalg.norm(v), -1.0, 1.0)))
        cuts.append(asked.bend_mm / math.tan(inside / 2.0))
    cuts.append(asked.straight_mm)
    found += [f"leg {n} too short" for n, leg in enumerate(legs) if leg < cuts[n] + cuts[n + 1] - 0.01]
    for n, box in enumerate(boxes):
        least = float(gaps_to(box, line).min()) - asked.across_mm / 2.0
        if least < keep - 0.05:
            found.append(f"{least:.2f} from box {n}")
    if run.bound_mm > run.length_mm + 1e-6:
        found.append("bound above length")
    return found
