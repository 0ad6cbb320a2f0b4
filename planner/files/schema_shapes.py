"""How solids, working rooms and motions are written in a file."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import ConfigDict, Discriminator, Field, Tag, model_validator

from planner.files.values import (
    AxisText,
    Degrees,
    Entry,
    FlatPoint,
    Length,
    NeedText,
    Point,
    SideText,
    StlUnitsText,
    Text,
    Turns,
    WayAxis,
    refuse,
)
from planner.finding.words import listed

SHAPES = ("box", "cylinder", "tube", "outline", "stl")
MOST_MOVES = 3


def only_one(*alternatives: tuple[str, ...]) -> dict[str, Any]:
    """JSON schema for "exactly one of these sets of keys"."""
    return {"oneOf": [{"required": list(keys)} for keys in alternatives]}


class CylinderFile(Entry):
    """A flat-ended round bar, its middle at the origin."""

    across: Length
    """Diameter."""
    length: Length
    """Length along its axis."""
    along: AxisText = Field(default="z", validate_default=True)
    """Axis it lies along: x, y or z."""


class TubeFile(Entry):
    """A round bar along a line of points."""

    across: Length
    """Outside diameter."""
    through: Annotated[list[Point], Field(min_length=2, max_length=200)]
    """Points of its centre line, in order."""
    bend: Length | None = None
    """Radius of its bends, at the centre line; sharp corners when it is not said."""


class OutlineFile(Entry):
    """A flat plate of any outline."""

    points: Annotated[list[FlatPoint], Field(min_length=3, max_length=400)]
    """Corners in order: (y, z) for `along: x`, (x, z) for y, (x, y) for z."""
    thick: Length
    """Thickness, half to each side of the outline."""
    along: AxisText = Field(default="x", validate_default=True)
    """Axis of the thickness."""


class StlFile(Entry):
    """A shape drawn or scanned elsewhere, in a file of triangles."""

    file: Text
    """The file, from the project folder: `parts/bracket.stl`."""
    units: StlUnitsText | None = None
    """What a number in it means: mm, cm, m or inch; the vehicle's own unit when it is not said."""


class ShapeKeys(Entry):
    """Keys by which one solid is written."""

    box: Point | None = None
    """A block: its sizes along x, y and z, its middle at `at`."""
    cylinder: CylinderFile | None = None
    """A flat-ended round bar, its middle at `at`."""
    tube: TubeFile | None = None
    """A round bar along a line of points."""
    outline: OutlineFile | None = None
    """A flat plate of any outline."""
    stl: StlFile | None = None
    """A shape from an STL file; a hollow shut up in it counts as full."""
    at: Point | None = None
    """Where its own origin sits in the part's frame (for a cut: in the vehicle's)."""
    turn: Turns | None = None
    """Degrees about x, then y, then z."""

    def shapes(self) -> tuple[str, ...]:
        """Which of the shape keys are present."""
        return tuple(name for name in SHAPES if getattr(self, name) is not None)

    def _need_one_shape(self) -> None:
        found = self.shapes()
        if not found:
            raise refuse("no-shape", "a solid needs one of " + listed(SHAPES, " or "), "say which shape it is")
        if len(found) > 1:
            raise refuse(
                "two-shapes",
                f"one solid cannot be {listed(found, ' and ')} at once",
                "write one solid for each",
            )


class SolidFile(ShapeKeys):
    """One solid; several make a part."""

    model_config = ConfigDict(json_schema_extra=only_one(*((shape,) for shape in SHAPES)))

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        self._need_one_shape()
        return self


class RoomFile(ShapeKeys):
    """Room that must be free to use the part or to get it off."""

    model_config = ConfigDict(json_schema_extra=only_one(("side", "depth"), *((shape,) for shape in SHAPES)))

    name: Text
    """What it is for: cap off, spanner swing, foot."""
    needed: NeedText
    """`always`, or only for `taking off`."""
    side: SideText | None = None
    """Side of the part beside which the room lies."""
    depth: Length | None = None
    """How deep the room is on that side."""

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        beside = (self.side is not None) + (self.depth is not None)
        if beside and self.shapes():
            hint = "keep either the side or the solid"
            raise refuse("two-shapes", "a room is a `side` with its `depth` or a solid, not both", hint)
        if beside == 1:
            raise refuse("missing-key", "a room beside a face needs both `side` and `depth`", "add the other one")
        if not beside and not self.shapes():
            hint = "write `side: up, depth: 80 mm`, or a box with `at`"
            raise refuse("no-shape", "a room needs `side` and `depth`, or a solid", hint)
        if not beside:
            self._need_one_shape()
        return self


class TurnsFile(Entry):
    """A part that swings about a line."""

    about: Point
    """A point of the pivot, in the part's frame."""
    axis: WayAxis
    """Axis of the pivot, in the part's frame: x, y or z, or a direction as three numbers."""
    from_: Degrees = Field(alias="from")
    """Angle at one end of its travel; 0 is as drawn."""
    to: Degrees
    """Angle at the other end."""


class SlidesFile(Entry):
    """A part that slides along a line."""

    along: WayAxis
    """Axis it slides along, in the part's frame: x, y or z, or a direction as three numbers."""
    from_: Length = Field(alias="from")
    """Travel at one end; 0 is as drawn."""
    to: Length
    """Travel at the other end."""


class MotionFile(Entry):
    """How a part moves in use."""

    model_config = ConfigDict(json_schema_extra=only_one(("turns",), ("slides",)))

    turns: TurnsFile | None = None
    """It swings."""
    slides: SlidesFile | None = None
    """It slides."""

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        if (self.turns is None) == (self.slides is None):
            raise refuse("no-shape", "a motion needs one of `turns` or `slides`", "say how the part moves")
        return self


def _one_or_several(value: object) -> str:
    return "several" if isinstance(value, list) else "one"


MotionText = Annotated[
    Annotated[MotionFile, Tag("one")]
    | Annotated[Annotated[list[MotionFile], Field(min_length=1, max_length=MOST_MOVES)], Tag("several")],
    Discriminator(_one_or_several),
]
"""One motion, or several in a row with the inner one first."""
