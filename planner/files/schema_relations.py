"""What a file may hold about the driver, and about what must stay true wherever parts go."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Annotated

from pydantic import Field, ValidationInfo, WithJsonSchema
from pydantic.functional_validators import BeforeValidator

from planner.files.values import Degrees, Entry, KeepsText, Length, Slug, Text, one_of, read_length, refuse
from planner.finding.words import quoted
from planner.model.catalog import Person, Sex
from planner.units import Size

_PERSON = re.compile(r"(\d{1,3}(?:\.\d+)?) ?(?:st|nd|rd|th)? +(?:percentile +)?(woman|man)")
_COORDINATES = 3

Place = str | tuple[Size, Size, Size]
"""A place as it is written: part.port, or x, y, z."""


class Stance(StrEnum):
    """How the vehicle sits on its suspension."""

    RIDE_HEIGHT = "ride height"
    BUMP = "bump"


def _person(value: object) -> Person:
    match = _PERSON.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        hint = "write the percentile and woman or man, such as `5th woman` or `95th man`"
        raise refuse("bad-person", "{key}: " + quoted(value) + " names no size of person", hint)
    return Person(percentile=float(match[1]), sex=Sex(match[2]))


def _place(value: object, info: ValidationInfo) -> Place:
    if isinstance(value, str):
        return value
    if not isinstance(value, list) or len(value) != _COORDINATES:
        hint = "write `[x, y, z]`, or a part and one of its ports such as `seat.hip`"
        raise refuse("bad-place", "{key}: " + quoted(value) + " is no place", hint)
    x, y, z = (read_length(v, info) for v in value)
    return (x, y, z)


PersonText = Annotated[
    Person,
    BeforeValidator(_person),
    WithJsonSchema({"type": "string", "description": "a size of person: 5th woman, 95th man"}),
]
PlaceText = Annotated[
    Place,
    BeforeValidator(_place),
    WithJsonSchema(
        {
            "description": "a place: [x, y, z], or a part and its port such as seat.hip",
            "oneOf": [
                {"type": "string"},
                {"type": "array", "items": {"type": ["number", "string"]}, "minItems": 3, "maxItems": 3},
            ],
        }
    ),
]
StanceText = Annotated[Stance, one_of(Stance)]
Share = Annotated[float, Field(ge=-1e6, le=1e6)]


class PeopleFile(Entry):
    """The people a vehicle is made to fit."""

    from_: PersonText = Field(alias="from")
    """The one with the shortest foot, such as `5th woman`."""
    to: PersonText
    """The one with the longest, such as `95th man`."""


class DriverFile(Entry):
    """Where the driver sits: what reaches are measured from."""

    heel: PlaceText | None = None
    """The heel on the floor with the foot on the pedals: a place, or part.port."""
    hip: PlaceText | None = None
    """The hip joint of the driver seated: a place, or part.port."""
    people: PeopleFile | None = None
    """Whose feet must reach: published sizes, barefoot."""
    shoe: Length | None = None
    """What your driving shoe adds between heel and ball of the foot."""
    foot: Length | None = None
    """Instead of `people`: your own foot, heel to ball, measured in the shoe you drive in."""
    points: dict[Slug, PlaceText] = Field(default_factory=dict)
    """Other places of the driver's body, such as `right-shoulder`."""


class RelationFile(Entry):
    """Something that must stay true wherever parts go."""

    part: Text
    """The part it is about, or part.port where a place counts."""
    keeps: KeepsText
    """What it keeps to: above, below, within, apart, off the ground, in foot reach, in hand reach, straight run, ..."""
    by: Length | None = None
    """By how much."""
    of: Text | None = None
    """The other part, or part.port where a place counts."""
    within: Degrees | None = None
    """Most lean of what stays upright, or most that a straight run may stand off `along`, in degrees."""
    along: Annotated[list[Share], Field(min_length=3, max_length=3)] | None = None
    """Direction that a straight run must follow, in the part's own frame."""
    passes: list[Text] = Field(default_factory=list)
    """Parts that a straight run goes through or along."""
    from_: Text | None = Field(default=None, alias="from")
    """The driver's point from which a hand reaches."""
    at: StanceText | None = None
    """`bump` holds it with the suspension at bump; else at ride height."""
    why: Text | None = None
    """Why it matters."""
