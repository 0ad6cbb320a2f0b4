"""Units: text to plain numbers at the door, numbers to text on the way out."""

from planner.units.amounts import (
    parse_angle,
    parse_days,
    parse_force,
    parse_mass,
    parse_minutes,
    parse_pressure,
    parse_temperature,
    parse_volume,
)
from planner.units.doubtful import Amount, parse_doubtful, parse_plain
from planner.units.error import UnitError
from planner.units.lengths import Bare, Size, parse_length
from planner.units.print import MM_PER_INCH, format_length, format_minutes

__all__ = [
    "MM_PER_INCH",
    "Amount",
    "Bare",
    "Size",
    "UnitError",
    "format_length",
    "format_minutes",
    "parse_angle",
    "parse_days",
    "parse_doubtful",
    "parse_force",
    "parse_length",
    "parse_mass",
    "parse_minutes",
    "parse_plain",
    "parse_pressure",
    "parse_temperature",
    "parse_volume",
]
