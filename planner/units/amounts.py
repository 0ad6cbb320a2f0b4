"""Reading times, angles, masses, volumes, pressures, forces and temperatures."""

from __future__ import annotations

import math
import re

from planner.finding.words import quoted
from planner.units.error import UnitError
from planner.units.number import DOUBT, NUMBER, checked, plain_text, read_number
from planner.units.registry import ANGLE, FORCE, MASS, PRESSURE, TIME, VOLUME, Quantity, convert
from planner.units.written import bare_number, taken_apart


def _read(value: str | float, quantity: Quantity, bare: str) -> float:
    number = bare_number(value, quantity)
    if number is not None:
        return convert(number, bare, quantity)
    text = plain_text(str(value))
    if DOUBT.search(text):
        raise UnitError(f"{quoted(text)} has a doubt, but only lengths carry one", f"write {quantity.example}")
    return taken_apart(text, quantity).worth(quantity, bare)


def _not_negative(amount: float, value: object, quantity: Quantity) -> float:
    if amount < 0:
        raise UnitError(f"{quoted(value)} is a negative {quantity.name}", "write it without the minus sign")
    return amount


def _whole_up(amount: float) -> int:
    """Round to the next whole number up, forgiving what binary fractions add."""
    return math.ceil(round(amount, 6))


def parse_minutes(value: str | float) -> int:
    """Read a length of time [min]: ``20``, ``20 min``, ``1 h 30 min``, ``2 days``; part minutes count whole.

    Raises
    ------
    UnitError
        When it is no time, or negative.

    Examples
    --------
    >>> parse_minutes("1 h 30 min"), parse_minutes(20), parse_minutes("1.5 h")
    (90, 20, 90)
    """
    return _whole_up(_not_negative(_read(value, TIME, "min"), value, TIME))


def parse_days(value: str | float) -> int:
    """Read a number of days: ``9``, ``9 days``, ``2 weeks``; part days count whole.

    Raises
    ------
    UnitError
        When it is no time, or negative.

    Examples
    --------
    >>> parse_days("9 days"), parse_days("2 weeks"), parse_days("36 h")
    (9, 14, 2)
    """
    return _whole_up(_not_negative(_read(value, TIME, "days"), value, TIME) / TIME.worth["day"][0])


def parse_angle(value: str | float) -> float:
    """Read an angle [deg]: ``18``, ``18 deg``, ``0.3 rad``.

    Raises
    ------
    UnitError
        When it is no angle.

    Examples
    --------
    >>> parse_angle("18 deg"), parse_angle(-90)
    (18.0, -90.0)
    """
    return _read(value, ANGLE, "deg")


def parse_mass(value: str | float) -> float:
    """Read a mass [kg]: ``2.4``, ``2.4 kg``, ``850 g``, ``9 st 6 lb``.

    Raises
    ------
    UnitError
        When it is no mass, or negative.

    Examples
    --------
    >>> parse_mass("850 g"), parse_mass("1 lb")
    (0.85, 0.45359237)
    """
    return _not_negative(_read(value, MASS, "kg"), value, MASS)


def parse_volume(value: str | float) -> float:
    """Read a volume [mm3]: ``3`` (litres), ``3 l``, ``750 ml``, ``1.5 pints``.

    Raises
    ------
    UnitError
        When it is no volume, or negative.

    Examples
    --------
    >>> parse_volume("3 l"), parse_volume("750 ml")
    (3000000.0, 750000.0)
    """
    return _not_negative(_read(value, VOLUME, "l"), value, VOLUME)


def parse_pressure(value: str | float) -> float:
    """Read a pressure [MPa]: ``10`` (MPa), ``100 bar``, ``1450 psi``.

    Raises
    ------
    UnitError
        When it is no pressure, or negative.

    Examples
    --------
    >>> parse_pressure("100 bar"), parse_pressure(10)
    (10.0, 10.0)
    """
    return _not_negative(_read(value, PRESSURE, "MPa"), value, PRESSURE)


def parse_force(value: str | float) -> float:
    """Read a force [N]: ``2000`` (N), ``2 kN``, ``450 lbf``.

    Raises
    ------
    UnitError
        When it is no force, or negative.

    Examples
    --------
    >>> parse_force("2 kN"), parse_force(500)
    (2000.0, 500.0)
    """
    return _not_negative(_read(value, FORCE, "N"), value, FORCE)


_TEMPERATURE = re.compile(rf"([+-]?{NUMBER})\s*(deg\s*C|\u00b0\s*C|C|deg\s*F|\u00b0\s*F|F)?")


def parse_temperature(value: str | float) -> float:
    """Read a temperature [degC]: ``90``, ``90 degC``, ``195 degF``.

    Raises
    ------
    UnitError
        When it is no temperature.

    Examples
    --------
    >>> parse_temperature("90 degC"), parse_temperature("212 degF"), parse_temperature(-10)
    (90.0, 100.0, -10.0)
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        return checked(value, value)
    found = _TEMPERATURE.fullmatch(plain_text(value)) if isinstance(value, str) else None
    if found is None:
        raise UnitError(f"{quoted(value)} is not a temperature", "write a temperature such as `90 degC` or `195 degF`")
    sign, number = (-1.0 if found[1][0] == "-" else 1.0), read_number(found[1].lstrip("+-"))
    # By definition 0 degC is 32 degF and 100 degC is 212 degF.
    return (sign * number - 32.0) * 5.0 / 9.0 if (found[2] or "C").endswith("F") else sign * number
