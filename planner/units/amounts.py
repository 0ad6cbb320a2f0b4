"""Reading quantities: lengths with their doubt, times, angles and masses."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from planner.finding.words import quoted
from planner.units.error import UnitError
from planner.units.gauge import swg_mm
from planner.units.number import NUMBER, checked, plain_text, read_number
from planner.units.registry import ANGLE, FORCE, LENGTH, MASS, PRESSURE, TIME, VOLUME, Quantity, convert

Bare = Literal["mm", "inch"]

LONGEST_MM = 1_000_000.0
"""Nothing a vehicle workshop measures is longer than a kilometre."""

_PAIR = re.compile(rf"({NUMBER})\s*([^\d\s.,+/-][^\d\s.,+/]*)\s*")
_BARE = re.compile(NUMBER)
_DOUBT = re.compile(r"\s*(?:\+\s*/\s*-|\+-|\u00b1)\s*")
_GAUGE = re.compile(r"(\d+(?:/0)?)\s*swg", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Size:
    """A length and how sure it is: ``doubt_mm`` either way, None when the value does not say."""

    mm: float
    doubt_mm: float | None = None


@dataclass(frozen=True, slots=True)
class _Amount:
    """A number with the unit written after it; ``unit`` is empty for a bare one."""

    parts: tuple[tuple[float, str], ...]
    sign: float

    @property
    def is_bare(self) -> bool:
        return self.parts[0][1] == ""

    def worth(self, quantity: Quantity, bare: str) -> float:
        """Value in the base unit; ``bare`` is the unit of a bare number."""
        return self.sign * sum(convert(number, unit or bare, quantity) for number, unit in self.parts)


def _split(text: str, quantity: Quantity) -> _Amount:
    """Take apart the numbers and units of ``text``: "1 h 30 min" has two of each.

    Raises
    ------
    UnitError
        When it does not have that form.
    """
    sign, body = 1.0, text
    if text[:1] in "+-":
        sign, body = (-1.0 if text[0] == "-" else 1.0), text[1:].strip()
    if _BARE.fullmatch(body):
        return _Amount(parts=((read_number(body), ""),), sign=sign)
    parts: list[tuple[float, str]] = []
    at = 0
    while at < len(body):
        found = _PAIR.match(body, at)
        if found is None:
            raise _unreadable(text, quantity)
        parts.append((read_number(found[1]), found[2]))
        at = found.end()
    if not parts:
        raise _unreadable(text, quantity)
    return _Amount(parts=tuple(parts), sign=sign)


def _unreadable(text: str, quantity: Quantity) -> UnitError:
    shown = quoted(text)
    message = f"{shown} is not {quantity.article} {quantity.name}"
    if re.search(r"\d,\d", text):
        return UnitError(message, "write decimals with a point, and no comma in thousands")
    if re.search(r"\d_\d", text):
        return UnitError(message, "write the digits without `_`")
    if quantity is TIME and re.fullmatch(r"\d+:\d+", text):
        return UnitError(message, "write hours and minutes such as `1 h 30 min`")
    if text.endswith("%"):
        return UnitError(message, f"write {quantity.article} {quantity.name}, not a share")
    return UnitError(message, f"write {quantity.article} {quantity.name} such as {quantity.example}")


def _of_number(value: object, quantity: Quantity) -> float | None:
    """Value of a bare number; None for text.

    Raises
    ------
    UnitError
        When it is neither a number nor text, or no usable number.
    """
    if isinstance(value, str):
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise UnitError(
            f"{quoted(value)} is not {quantity.article} {quantity.name}",
            f"write {quantity.article} {quantity.name} such as {quantity.example}",
        )
    return checked(value, value)


def parse_length(value: str | float, *, bare: Bare) -> Size:
    """Read a length.

    Parameters
    ----------
    value : str, int or float
        ``620``, ``620 mm``, ``1 1/4 in``, ``1' 6"``, ``20 thou``, ``18 swg``, ``620 mm +/- 5 mm``. A doubt
        without a unit is in the unit of the value.
    bare : {"mm", "inch"}
        Unit of a number that has none.

    Returns
    -------
    Size
        In millimetres; 1 in = 25.4 mm exactly (international inch, 1959).

    Raises
    ------
    UnitError
        When it is no length, of another dimension, or beyond a kilometre.

    Examples
    --------
    >>> parse_length("1 1/4 in", bare="mm")
    Size(mm=31.75, doubt_mm=None)
    >>> parse_length("620 +/- 5", bare="mm")
    Size(mm=620.0, doubt_mm=5.0)
    """
    number = _of_number(value, LENGTH)
    if number is not None:
        return Size(_limited(convert(number, bare, LENGTH), value))
    text = plain_text(str(value))
    halves = _DOUBT.split(text)
    if len(halves) == 1:
        return Size(_limited(_one_length(text, bare), text))
    if len(halves) > 2 or not all(halves):  # noqa: PLR2004  a value and its doubt
        raise UnitError(f"{quoted(text)} is not a length with its doubt", "write it such as `620 mm +/- 5 mm`")
    return _with_doubt(text, halves[0], halves[1], bare)


def _with_doubt(text: str, main: str, doubt: str, bare: Bare) -> Size:
    if _GAUGE.fullmatch(main) or _GAUGE.fullmatch(doubt):
        return _checked_doubt(_one_length(main, bare), _one_length(doubt, bare), text)
    first, second = _split(main, LENGTH), _split(doubt, LENGTH)
    second_unit = bare if first.is_bare else first.parts[-1][1]
    if first.is_bare and not second.is_bare and convert(1, second.parts[0][1], LENGTH) != convert(1, bare, LENGTH):
        # "620 +/- 0.5 cm" in a millimetre file may mean either; a wrong guess is a part in the wrong place.
        raise UnitError(f"{quoted(text)} has a unit for its doubt only", "write the unit after both numbers")
    return _checked_doubt(first.worth(LENGTH, bare), second.worth(LENGTH, second_unit), text)


def _checked_doubt(mm: float, doubt_mm: float, text: str) -> Size:
    if doubt_mm < 0:
        raise UnitError(
            f"the doubt in {quoted(text)} is negative", "doubt is a size either way: write it without a sign"
        )
    return Size(_limited(mm, text), _limited(doubt_mm, text))


def _one_length(text: str, bare: Bare) -> float:
    gauge = _GAUGE.fullmatch(text)
    if gauge is None:
        return _split(text, LENGTH).worth(LENGTH, bare)
    mm = swg_mm(gauge[1])
    if mm is None:
        raise UnitError(
            f"there is no wire gauge {quoted(gauge[1])}",
            "standard wire gauge runs from `7/0 swg` to `50 swg`",
        )
    return mm


def _limited(mm: float, shown: object) -> float:
    if not abs(mm) <= LONGEST_MM:
        raise UnitError(f"{quoted(shown)} is longer than a kilometre", "check the unit")
    return mm


def _read(value: str | float, quantity: Quantity, bare: str) -> float:
    number = _of_number(value, quantity)
    if number is not None:
        return convert(number, bare, quantity)
    text = plain_text(str(value))
    if _DOUBT.search(text):
        raise UnitError(f"{quoted(text)} has a doubt, but only lengths carry one", f"write {quantity.example}")
    return _split(text, quantity).worth(quantity, bare)


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
