"""Times, days, angles and masses. International pound = 0.45359237 kg exactly; stone = 14 lb."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.units import UnitError, format_minutes, parse_angle, parse_days, parse_mass, parse_minutes


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        (20, 20),
        ("20 min", 20),
        ("1 h 30 min", 90),
        ("2 h", 120),
        ("1.5 h", 90),
        ("1/2 h", 30),
        ("90 s", 2),
        ("2 days", 2880),
        (0, 0),
    ],
)
def test_minutes(text: str | float, minutes: int) -> None:
    assert parse_minutes(text) == minutes


@pytest.mark.parametrize(
    ("text", "days"), [(9, 9), ("9 days", 9), ("2 weeks", 14), ("1 week 2 days", 9), ("36 h", 2), ("1 fortnight", 14)]
)
def test_days(text: str | float, days: int) -> None:
    assert parse_days(text) == days


@pytest.mark.parametrize(
    ("text", "degrees"), [(18, 18.0), ("18 deg", 18.0), ("-90\u00b0", -90.0), ("1 rad", 180 / math.pi)]
)
def test_angles(text: str | float, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(degrees, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        (2.4, 2.4),
        ("850 g", 0.85),
        ("1 lb", 0.45359237),
        ("9 st 6 lb", 132 * 0.45359237),
        ("16 oz", 0.45359237),
        ("1 tonne", 1000.0),
    ],
)
def test_masses(text: str | float, kg: float) -> None:
    assert parse_mass(text) == pytest.approx(kg, rel=1e-12)


@pytest.mark.parametrize(
    ("parse", "value", "words"),
    [
        (parse_minutes, "20 mm", "`mm` measures a length, not a time"),
        (parse_minutes, "1:30", "is not a time"),
        (parse_minutes, -5, "negative time"),
        (parse_days, "9 kg", "`kg` measures a mass, not a time"),
        (parse_angle, "5 mm", "`mm` measures a length, not an angle"),
        (parse_mass, "9 bar", "`bar` measures a pressure, not a mass"),
        (parse_angle, "2 kN", "`kN` measures a force, not an angle"),
        (parse_angle, "5 percent", "`percent` does not measure an angle"),
        (parse_mass, "-1 kg", "negative mass"),
        (parse_mass, "5 +/- 1 kg", "only lengths carry one"),
        (parse_mass, "5 kgs", "unit `kgs` is not known"),
    ],
)
def test_what_is_refused(parse: Callable[[str | float], float], value: str | float, words: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(value)
    assert words in caught.value.message
    assert caught.value.hint


@pytest.mark.parametrize(
    ("minutes", "text"), [(80, "1 h 20 min"), (120, "2 h"), (5, "5 min"), (0, "0 min"), (-65, "-1 h 5 min")]
)
def test_minutes_as_they_are_printed(minutes: int, text: str) -> None:
    assert format_minutes(minutes) == text
