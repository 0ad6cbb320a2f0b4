"""The kinds of value that only a job file holds: lengths of work, chances, and what is left as it is."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, cast

from pydantic import BeforeValidator, WithJsonSchema

from planner.files.values import Weekday, read_day, read_weekday, refuse
from planner.finding.words import did_you_mean, quoted
from planner.units import UnitError, parse_minutes
from planner.units.day_text import weekday_of

ALWAYS = "always"
"""Said instead of minutes of what is never to be undone."""
THREE = 3
MOST_AGAIN = 0.95
"""A trial that fails more often than this is no trial but a wrong drawing."""
_SHARE = re.compile(r"(\d+(?:\.\d+)?)\s*%")
_HUNDRED = 100.0


def _minutes(value: object) -> int:
    try:
        return parse_minutes(cast("str | float", value))
    except UnitError as error:
        raise refuse("wrong-unit", "{key}: " + error.message, error.hint) from None


def _takes(value: object) -> tuple[int, ...]:
    """Read one time, or three that do not fall: well, most likely, badly."""
    if not isinstance(value, list):
        return (_minutes(value),)
    hint = "write one time, or three: well, most likely, badly, such as `[30 min, 40 min, 90 min]`"
    if len(value) != THREE:
        raise refuse("bad-takes", "{key} needs one time or three, found " + str(len(value)), hint)
    low, likely, high = (_minutes(item) for item in value)
    if not low <= likely <= high:
        raise refuse("bad-takes", "{key}: the three times " + quoted(_listed(value)) + " do not rise", hint)
    return (low, likely, high)


def _listed(items: list[object]) -> str:
    return ", ".join(str(item) for item in items)


def _share(value: object) -> float:
    """Read a chance: ``30 %``, or 0.3."""
    hint = "write it such as `30 %`"
    share: float | None = None
    if isinstance(value, str) and (match := _SHARE.fullmatch(value.strip())):
        share = float(match[1]) / _HUNDRED
    elif isinstance(value, int | float) and not isinstance(value, bool):
        share = float(value)
        hint = f"write `{value:g} %`" if share > 1 else hint
    if share is None:
        raise refuse("bad-chance", "{key} must be a chance, found " + quoted(value), hint)
    if not 0 <= share <= MOST_AGAIN:
        limit = f"{MOST_AGAIN * _HUNDRED:g} %"
        raise refuse("bad-chance", "{key}: " + quoted(value) + f" is not between `0 %` and `{limit}`", hint)
    return share


def _leave(value: object) -> int | None:
    """Read hand-minutes, or None for ``always``."""
    if value == ALWAYS:
        return None
    if isinstance(value, str) and not any(c.isdigit() for c in value):
        hint = did_you_mean(value, [ALWAYS], otherwise="write a time such as `90 min`, or `always`")
        raise refuse("unknown-choice", "{key}: " + quoted(value) + f" is neither a time nor `{ALWAYS}`", hint)
    return _minutes(value)


def _day_or_weekday(value: object) -> date | Weekday:
    if isinstance(value, str) and weekday_of(value) is not None:
        return read_weekday(value)
    if isinstance(value, str) and any(c.isdigit() for c in value):
        return read_day(value)
    days = [day.value for day in Weekday]
    hint = did_you_mean(value, days, otherwise="write a day of the week, or a date such as `2026-12-05`")
    raise refuse("bad-date", "{key}: " + quoted(value) + " is neither a day of the week nor a date", hint)


_TIME = {"type": ["number", "string"], "description": "a time: 20 (minutes), 1 h 30 min"}
Takes = Annotated[
    tuple[int, ...],
    BeforeValidator(_takes),
    WithJsonSchema(
        {
            "description": "a time, or three: when all goes well, most likely, when it goes badly",
            "oneOf": [_TIME, {"type": "array", "items": _TIME, "minItems": THREE, "maxItems": THREE}],
        }
    ),
]
"""Minutes: one figure, or three that do not fall."""
Chance = Annotated[
    float,
    BeforeValidator(_share),
    WithJsonSchema({"type": ["number", "string"], "description": "a chance: 30 %, or 0.3"}),
]
"""Between 0 and 0.95."""
Leave = Annotated[
    int | None,
    BeforeValidator(_leave),
    WithJsonSchema({"type": ["number", "string"], "description": "a time: 90 min; or always"}),
]
"""Hand-minutes; None for always."""
DayOrWeekday = Annotated[
    date | Weekday,
    BeforeValidator(_day_or_weekday),
    WithJsonSchema({"type": "string", "description": "a day of the week, or a date: sunday, 2026-12-24"}),
]
