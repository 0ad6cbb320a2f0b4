"""The kinds of value a file may hold, and how each is read.

Each says what is wrong in our own words: a :func:`refuse` carries the code, the sentence and the hint to the
finding unchanged. Lengths without a unit are in the file's own unit, which comes in as the validation context
``{"bare": "mm"}``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, time
from enum import StrEnum
from typing import Annotated, Literal, TypeVar, cast

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from planner.finding.words import did_you_mean, listed, quoted
from planner.model.shapes import AXES, Direction, Vec
from planner.model.vehicle import Before, Freedom, Keeps, RoomNeed
from planner.units import (
    Size,
    UnitError,
    parse_angle,
    parse_days,
    parse_length,
    parse_mass,
    parse_minutes,
    parse_temperature,
    parse_volume,
)
from planner.units.day_text import day_written, weekday_of

R = TypeVar("R")

LONGEST_ID = 40
SLUG = re.compile(r"[a-z0-9][a-z0-9-]*")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_COMMA = re.compile(r"(?P<whole>\d{1,9}),(?P<cents>\d{1,2})")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_FACES = {
    "bottom": Direction.DOWN,
    "top": Direction.UP,
    "front": Direction.FORWARDS,
    "rear": Direction.REARWARDS,
    **{d.value: d for d in Direction},
}
"""Sides of a part, each by its face or by the way it looks."""


class Entry(BaseModel):
    """A block of keys: nothing unknown in it, nothing guessed."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, use_attribute_docstrings=True, arbitrary_types_allowed=True
    )


def refuse(code: str, message: str, hint: str = "") -> PydanticCustomError:
    """Make an error that reaches the user as it is.

    Parameters
    ----------
    code : str
        Code of the finding.
    message : str
        May start with ``{key}``, which becomes the name of the key it is about.
    hint : str
    """
    # Called `knockon_...` so that it can never be taken for one of pydantic's own kinds of error.
    return PydanticCustomError("knockon_fault", "{message}", {"code": code, "message": message, "hint": hint})


def _read(parse: Callable[[str | float], R]) -> Callable[[object], R]:
    def read(value: object) -> R:
        try:
            # A value that is neither number nor text is refused by `parse`, with the right words.
            return parse(cast("str | float", value))
        except UnitError as error:
            raise refuse("wrong-unit", "{key}: " + error.message, error.hint) from None

    return read


def read_length(value: object, info: ValidationInfo) -> Size:
    """Read a length; the unit of a bare number is the context's."""
    bare: Literal["mm", "inch"] = (info.context or {}).get("bare", "mm")
    try:
        return parse_length(cast("str | float", value), bare=bare)
    except UnitError as error:
        raise refuse("wrong-unit", "{key}: " + error.message, error.hint) from None


def _price(value: object) -> float:
    if isinstance(value, str) and (found := _COMMA.fullmatch(value.strip())):
        hint = f"write it with a point: {found['whole']}.{found['cents']}"
        raise refuse("wrong-type", "{key}: the comma in " + quoted(value) + " makes it text and no number", hint)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise refuse("wrong-type", "{key} must be a number, found " + quoted(value), "write it without the currency")
    if not 0 <= value <= 1e9:  # noqa: PLR2004  a billion of any currency
        raise refuse("out-of-range", "{key}: " + quoted(value) + " is no believable price", "")
    return float(value)


def _slug(value: object) -> str:
    if not isinstance(value, str) or not SLUG.fullmatch(value):
        hint = "use small letters, digits and dashes, and start with a letter or digit"
        raise refuse("bad-id", f"{quoted(value)} cannot be an id", hint)
    if len(value) > LONGEST_ID:
        raise refuse(
            "bad-id",
            f"the id {quoted(value)} has {len(value)} characters, {LONGEST_ID} are allowed",
            "shorten it",
        )
    return value


def read_day(value: object) -> date:
    """Read a date that says its year, in any form that can mean one day only."""
    if isinstance(value, str) and _DAY.fullmatch(value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise refuse("bad-date", "{key}: there is no day " + quoted(value), "check the calendar") from None
    hint = "write year-month-day such as `2026-12-05`"
    if not isinstance(value, str):
        raise refuse("bad-date", "{key} must be a date, found " + quoted(value), hint)
    try:
        return day_written(value)
    except ValueError as error:
        message = "{key}: " + str(error).replace(repr(value), quoted(value), 1)
        raise refuse("bad-date", message, hint) from None


def _clock(value: object) -> time:
    match = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse("bad-time", "{key} must be a time of day, found " + quoted(value), 'write it such as `"09:00"`')
    return time(int(match[1]), int(match[2]))


def read_weekday(value: object) -> Weekday:
    """Read a day of the week; three letters are enough, and `Saturdays` is one too."""
    place = weekday_of(value) if isinstance(value, str) else None
    if place is not None:
        return tuple(Weekday)[place]
    choices = [day.value for day in Weekday]
    message = "{key}: " + quoted(value) + " is not one of " + listed(choices, " or ")
    raise refuse("unknown-choice", message, did_you_mean(value, choices, otherwise="choose one of them"))


def one_of(kind: type[StrEnum]) -> BeforeValidator:
    """Read a member of ``kind`` from its text."""

    def read(value: object) -> StrEnum:
        if isinstance(value, str) and value in kind._value2member_map_:
            return kind(value)
        choices = [member.value for member in kind]
        message = "{key}: " + quoted(value) + " is not one of " + listed(choices, " or ")
        raise refuse("unknown-choice", message, did_you_mean(value, choices, otherwise="choose one of them"))

    return BeforeValidator(read)


def _faces(value: object) -> tuple[Direction, ...]:
    """Read a side of a part, or a list of them, by its face or by the way it looks."""
    read: list[Direction] = []
    for side in value if isinstance(value, list) else [value]:
        if not isinstance(side, str) or side not in _FACES:
            message = "{key}: " + quoted(side) + " is not one of " + listed(list(_FACES), " or ")
            raise refuse("unknown-choice", message, did_you_mean(side, list(_FACES), otherwise="choose one of them"))
        read.append(_FACES[side])
    return tuple(dict.fromkeys(read))


def side_called(word: str) -> Direction | None:
    """The side of a part by its face or by the way it looks; None where it is none."""
    return _FACES.get(word.lower())


def _way(value: object) -> Vec:
    """Read an axis by its name, or any direction as three numbers; its length is left as it is."""
    if isinstance(value, str) and value in AXES:
        return AXES[value]
    numbers = [float(v) for v in value if _is_number(v)] if isinstance(value, list) else []
    if not isinstance(value, list) or len(numbers) != len(value) or len(numbers) != len(AXES):
        hint = "write x, y or z, or three numbers such as `[0, 0.2, 1]`"
        raise refuse("unknown-choice", "{key}: " + quoted(value) + " is no axis", hint)
    x, y, z = numbers
    if not 1e-6 < math.hypot(x, y, z) < 1e6:  # noqa: PLR2004  beyond that it is a slip of the pen
        raise refuse("unknown-choice", "{key}: " + quoted(value) + " points nowhere", "one of the numbers is not 0")
    return (x, y, z)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


class Units(StrEnum):
    """What a bare number means and what is printed."""

    MM = "mm"
    INCH = "inch"


class Axis(StrEnum):
    """An axis of a part or of the vehicle."""

    X = "x"
    Y = "y"
    Z = "z"


class StlUnits(StrEnum):
    """What a number in an STL file means."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "inch"


class Weekday(StrEnum):
    """A day of the week, Monday first."""

    MONDAY = "monday"
    TUESDAY = "tuesday"
    WEDNESDAY = "wednesday"
    THURSDAY = "thursday"
    FRIDAY = "friday"
    SATURDAY = "saturday"
    SUNDAY = "sunday"


def _shown(types: list[str], text: str, **more: object) -> WithJsonSchema:
    return WithJsonSchema({"type": types if len(types) > 1 else types[0], "description": text, **more})


Length = Annotated[
    Size,
    BeforeValidator(read_length),
    _shown(["number", "string"], "a length: 620, 62 cm, 1 1/4 in, 620 mm +/- 5 mm"),
]
Degrees = Annotated[float, BeforeValidator(_read(parse_angle)), _shown(["number", "string"], "an angle: 18, 18 deg")]
Minutes = Annotated[
    int,
    BeforeValidator(_read(parse_minutes)),
    _shown(["number", "string"], "a time: 20 (minutes), 1 h 30 min"),
]
Days = Annotated[int, BeforeValidator(_read(parse_days)), _shown(["number", "string"], "days: 9, 9 days, 2 weeks")]
Mass = Annotated[float, BeforeValidator(_read(parse_mass)), _shown(["number", "string"], "a mass: 2.4 (kg), 850 g")]
Volume = Annotated[
    float, BeforeValidator(_read(parse_volume)), _shown(["number", "string"], "a volume: 3 (litres), 750 ml")
]
Temperature = Annotated[
    float,
    BeforeValidator(_read(parse_temperature)),
    _shown(["number", "string"], "a temperature: 90, 90 degC, 195 degF"),
]
Price = Annotated[float, BeforeValidator(_price), _shown(["number"], "a price in your currency", minimum=0)]
Currency = Annotated[str, Field(min_length=1, max_length=8)]
Day = Annotated[date, BeforeValidator(read_day), _shown(["string"], "a date: 2026-12-05, 5 dec 2026")]
Clock = Annotated[time, BeforeValidator(_clock), _shown(["string"], 'a time of day: "09:00"', pattern=_CLOCK.pattern)]
Slug = Annotated[
    str,
    BeforeValidator(_slug),
    _shown(["string"], "an id", pattern=f"^{SLUG.pattern}$", maxLength=LONGEST_ID),
]
Text = Annotated[str, Field(min_length=1, max_length=400)]
Hands = Annotated[int, Field(ge=1, le=8)]
Factor = Annotated[float, Field(ge=0.1, le=10)]
Point = Annotated[list[Length], Field(min_length=3, max_length=3)]
FlatPoint = Annotated[list[Length], Field(min_length=2, max_length=2)]
Turns = Annotated[list[Degrees], Field(min_length=3, max_length=3)]
BeforeText = Annotated[Before, one_of(Before)]
FreedomText = Annotated[Freedom, one_of(Freedom)]
KeepsText = Annotated[Keeps, one_of(Keeps)]
NeedText = Annotated[RoomNeed, one_of(RoomNeed)]
SideText = Annotated[Direction, one_of(Direction)]
FacesText = Annotated[
    tuple[Direction, ...],
    BeforeValidator(_faces),
    WithJsonSchema(
        {
            "description": "a side, or a list of sides: bottom, [bottom, left]",
            "oneOf": [
                {"enum": list(_FACES)},
                {"type": "array", "items": {"enum": list(_FACES)}, "minItems": 1},
            ],
        }
    ),
]
"""Sides of a part that stay where they are."""
AxisText = Annotated[Axis, one_of(Axis)]
StlUnitsText = Annotated[StlUnits, one_of(StlUnits)]
WayAxis = Annotated[
    Vec,
    BeforeValidator(_way),
    WithJsonSchema(
        {
            "description": "x, y or z, or a direction as three numbers: [0, 0.2, 1]",
            "oneOf": [
                {"enum": ["x", "y", "z"]},
                {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3},
            ],
        }
    ),
]
UnitsText = Annotated[Units, one_of(Units)]
WeekdayText = Annotated[Weekday, BeforeValidator(read_weekday), _shown(["string"], "a day of the week: saturday, sat")]
