"""Many lever layouts at once: the same closed forms as :mod:`planner.sums.lever`, on arrays.

The extremes within the travel (the steepest lean of the rod, the box the pad stays in) come from their stationary
angles, so that nothing is sampled. Where the rod does not reach at rest, at the end or at its steepest, ``reaches`` is
false.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from planner.sums.lever import Lever

Floats = npt.NDArray[np.float64]
CHUNK = 16_384
"""Layouts worked through at a time: what is needed of them stays in the processor's own memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layouts:
    """Layouts as arrays of one length, or single numbers where all share a value. Units as in the names.

    Clevis and pad are seen from the pivot, in polar form: an arm and an angle from x towards z. The mouth is where the
    rod meets the piston at rest, so the rod is as long as it is from there to the clevis.
    """

    pivot_x_mm: Floats
    pivot_z_mm: Floats
    clevis_arm_mm: Floats
    clevis_deg: Floats
    pad_arm_mm: Floats
    pad_deg: Floats
    mouth_x_mm: Floats
    mouth_z_mm: Floats
    push_deg: Floats
    travel_deg: Floats
    beside_mm: Floats

    def part(self, begin: int, end: int) -> Layouts:
        """Layouts from ``begin`` up to ``end``."""
        held = {f.name: getattr(self, f.name) for f in fields(self)}
        return Layouts(**{k: v if v.ndim == 0 else v[begin:end] for k, v in held.items()})

    def __len__(self) -> int:
        return max((getattr(self, f.name).size for f in fields(self)), default=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screened:
    """What comes out of each layout, arrays of one length. Where ``reaches`` is false the others mean nothing."""

    reaches: npt.NDArray[np.bool_]
    stroke_mm: Floats
    ratio_rest: Floats
    ratio_full: Floats
    ratio_mean: Floats
    rod_mm: Floats
    rod_most_deg: Floats
    pad_arc_mm: Floats
    pad_x_low_mm: Floats
    pad_x_high_mm: Floats
    pad_z_low_mm: Floats
    pad_z_high_mm: Floats


def layouts(**values: float | Floats) -> Layouts:
    """Layouts from numbers and arrays, by the names of :class:`Layouts`."""
    return Layouts(**{k: np.asarray(v, dtype=np.float64) for k, v in values.items()})


def screened(many: Layouts) -> Screened:
    """Work all layouts through, a chunk at a time."""
    parts = [_chunk(many.part(n, n + CHUNK)) for n in range(0, max(1, len(many)), CHUNK)]
    if len(parts) == 1:
        return parts[0]
    return Screened(**{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Screened)})


def _chunk(many: Layouts) -> Screened:
    push = np.radians(many.push_deg)
    ux, uz = np.cos(push), np.sin(push)
    rest, travel = np.radians(many.clevis_deg), np.radians(many.travel_deg)
    sense = np.sign(travel)
    # The pivot seen from the cylinder's axis: how far along it, how far off it.
    dx, dz = many.pivot_x_mm - many.mouth_x_mm, many.pivot_z_mm - many.mouth_z_mm
    ahead, off = dx * ux + dz * uz, dx * uz - dz * ux
    # In the axis' own frame the clevis is at r (cos b, -sin b) from there, with b its angle less the push.
    first, last = rest - push, rest + travel - push
    r = many.clevis_arm_mm
    behind = ahead + r * np.cos(first)
    square = behind**2 + (off - r * np.sin(first)) ** 2
    rod = np.sqrt(square + many.beside_mm**2)
    with np.errstate(invalid="ignore", divide="ignore"):
        begin = _place(r, first, ahead, off, square)
        end = _place(r, last, ahead, off, square)
        steep = np.maximum(np.abs(begin.off), np.abs(end.off))
        for peak in (-0.5 * np.pi, 0.5 * np.pi):
            inside = _between(peak, first, last)
            steep = np.where(inside, np.maximum(steep, np.abs(off - r * np.sin(peak))), steep)
        stroke = end.at - begin.at
        arc = many.pad_arm_mm * np.abs(travel)
        lean = np.degrees(np.arcsin(np.sqrt(steep**2 + many.beside_mm**2) / rod))
        found = (
            stroke,
            many.pad_arm_mm / (sense * begin.speed),
            many.pad_arm_mm / (sense * end.speed),
            arc / stroke,
            rod,
            lean,
            arc,
            *_box(many, travel),
        )
        reaches = (behind < 0.0) & ((square - steep**2) > 0.0)
    shape = np.broadcast_shapes(*(f.shape for f in found), reaches.shape, (1,))
    names = [f.name for f in fields(Screened)]
    return Screened(**dict(zip(names, (np.broadcast_to(f, shape) for f in (reaches, *found)), strict=True)))


@dataclass(frozen=True, slots=True)
class _Place:
    """Piston's place on the axis, its speed per rad of turn, the rod's offset from the axis."""

    at: Floats
    speed: Floats
    off: Floats


def _place(r: Floats, angle: Floats, ahead: Floats, off: Floats, square: Floats) -> _Place:
    c, s = r * np.cos(angle), r * np.sin(angle)
    h = off - s
    w = np.sqrt(square - h**2)
    return _Place(ahead + c + w, -s + h / w * c, h)


def _between(peak: float, first: Floats, last: Floats) -> npt.NDArray[np.bool_]:
    """Whether an angle, or the same some turns on, lies between two."""
    low, high = np.minimum(first, last), np.maximum(first, last)
    turns = np.ceil((low - peak) / (2.0 * np.pi))
    inside: npt.NDArray[np.bool_] = peak + 2.0 * np.pi * turns <= high
    return inside


def _box(many: Layouts, travel: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Least and greatest x and z of the pad's middle over the travel."""
    first = np.radians(many.pad_deg)
    last = first + travel
    ends = []
    for middle, wave, high, low in (
        (many.pivot_x_mm, np.cos, 0.0, np.pi),
        (many.pivot_z_mm, np.sin, 0.5 * np.pi, -0.5 * np.pi),
    ):
        a, b = wave(first), wave(last)
        least = np.where(_between(low, first, last), -1.0, np.minimum(a, b))
        most = np.where(_between(high, first, last), 1.0, np.maximum(a, b))
        ends += [middle + many.pad_arm_mm * least, middle + many.pad_arm_mm * most]
    return ends[0], ends[1], ends[2], ends[3]


def lever_of(many: Layouts, index: int) -> Lever:
    """One of the layouts as a lever."""
    at = {f.name: float(v if v.ndim == 0 else v[index]) for f in fields(many) for v in (getattr(many, f.name),)}
    clevis, pad = np.radians(at["clevis_deg"]), np.radians(at["pad_deg"])
    pivot = (at["pivot_x_mm"], at["pivot_z_mm"])
    hole = (
        pivot[0] + at["clevis_arm_mm"] * float(np.cos(clevis)),
        pivot[1] + at["clevis_arm_mm"] * float(np.sin(clevis)),
    )
    seat = (at["mouth_x_mm"], at["mouth_z_mm"])
    return Lever(
        pivot_mm=pivot,
        clevis_mm=hole,
        pad_mm=(pivot[0] + at["pad_arm_mm"] * float(np.cos(pad)), pivot[1] + at["pad_arm_mm"] * float(np.sin(pad))),
        mouth_mm=seat,
        push_deg=at["push_deg"],
        rod_mm=float(np.hypot(np.hypot(hole[0] - seat[0], hole[1] - seat[1]), at["beside_mm"])),
        travel_deg=at["travel_deg"],
        beside_mm=at["beside_mm"],
    )
