"""Shapes and places, as plain numbers.

Axes of a vehicle: x rearward, y to the right, z up (right-handed, SAE J182 style grid with zero planes as
ISO 4130 names them). Lengths are millimetres, angles degrees. A :class:`Pose` turns a part about its own
origin first about the vehicle's x axis, then y, then z (fixed axes, right-hand rule), then shifts it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

Vec = tuple[float, float, float]
"""Three millimetre (or unit-free direction) components x, y, z."""
AXES: dict[str, Vec] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
"""Unit vectors by the name of the axis."""


class Direction(StrEnum):
    """A straight way along a vehicle axis, in workshop words."""

    FORWARDS = "forwards"
    REARWARDS = "rearwards"
    LEFT = "left"
    RIGHT = "right"
    UP = "up"
    DOWN = "down"

    @property
    def vector(self) -> Vec:
        """Unit vector in vehicle axes (x rearward, y right, z up)."""
        return _VECTORS[self]


_VECTORS: dict[Direction, Vec] = {
    Direction.FORWARDS: (-1.0, 0.0, 0.0),
    Direction.REARWARDS: (1.0, 0.0, 0.0),
    Direction.LEFT: (0.0, -1.0, 0.0),
    Direction.RIGHT: (0.0, 1.0, 0.0),
    Direction.UP: (0.0, 0.0, 1.0),
    Direction.DOWN: (0.0, 0.0, -1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Where a frame sits: ``at_mm`` is its origin, ``turn_deg`` turns about x, then y, then z."""

    at_mm: Vec = (0.0, 0.0, 0.0)
    turn_deg: Vec = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A block centred on its own origin; ``size_mm`` along its x, y, z."""

    size_mm: Vec
    pose: Pose = Pose()
    doubt_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A flat-ended round bar centred on its own origin, its axis along ``along`` ("x", "y" or "z")."""

    across_mm: float
    length_mm: float
    along: str = "z"
    pose: Pose = Pose()
    doubt_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A round-ended bar of diameter ``across_mm`` along a polyline of two or more points.

    Its corners are rounded by arcs whose centre line has the radius ``bend_mm``; at 0 they are sharp.
    """

    across_mm: float
    through_mm: tuple[Vec, ...]
    bend_mm: float = 0.0
    pose: Pose = Pose()
    doubt_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A flat outline (simple polygon, may be hollow-cornered) of thickness ``thick_mm``, centred in it.

    ``along`` names the axis of the thickness; the points are the two other coordinates in the order
    (y, z) for x, (x, z) for y, (x, y) for z.
    """

    points_mm: tuple[tuple[float, float], ...]
    thick_mm: float
    along: str = "x"
    pose: Pose = Pose()
    doubt_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A closed surface of triangles that run anticlockwise seen from outside; they index the corners.

    It may be of several pieces, but does not cross itself. Equal surfaces have one hash, worked out once.
    """

    corners_mm: tuple[Vec, ...]
    triangles: tuple[tuple[int, int, int], ...]
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.corners_mm, self.triangles)))

    def __hash__(self) -> int:
        return self._hash


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """All that a closed surface of triangles encloses, as drawn or scanned elsewhere; ``file`` is its origin."""

    surface: Surface
    file: str = ""
    pose: Pose = Pose()
    doubt_mm: float = 0.0


Solid = Box | Cylinder | Tube | Outline | Mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A part that swings: about a line through ``about_mm`` along ``axis``, in the part's own frame.

    Angles are right-handed about ``axis`` [deg]; the part's drawn position is angle 0.
    """

    about_mm: Vec
    axis: Vec
    from_deg: float
    to_deg: float

    @property
    def far_deg(self) -> float:
        """The end of its travel that lies further from the drawn position [deg]; of two as far ``to_deg``."""
        return self.to_deg if abs(self.to_deg) >= abs(self.from_deg) else self.from_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """A part that slides along ``along`` (unit vector, own frame) from ``from_mm`` to ``to_mm``."""

    along: Vec
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """Several motions in a row, each in every position of the others, the inner one first.

    Steering turns a hub about its kingpin, and bump carries the kingpin along: the turn is the inner motion. Each axis
    is told in the part's own frame as drawn; that of an inner motion goes along with the outer ones.
    """

    steps: tuple[Turn | Slide, ...]


Motion = Turn | Slide | Moves


def steps_of(motion: Motion) -> tuple[Turn | Slide, ...]:
    """The single motions of a motion, the inner one first."""
    return motion.steps if isinstance(motion, Moves) else (motion,)
