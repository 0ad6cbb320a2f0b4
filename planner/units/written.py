"""What is written of a quantity, taken apart: numbers, each with its unit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from planner.finding.words import quoted
from planner.units.error import UnitError
from planner.units.number import NUMBER, checked, read_number
from planner.units.registry import TIME, Quantity, convert

_PAIR = re.compile(rf"({NUMBER})\s*([^\d\s.,+/-][^\d\s.,+/]*)\s*")
_BARE = re.compile(NUMBER)


@dataclass(frozen=True, slots=True)
class Written:
    """Numbers, each with the unit written after it (empty for a bare one), and the sign of them all."""

    parts: tuple[tuple[float, str], ...]
    sign: float

    @property
    def is_bare(self) -> bool:
        """Whether it is one number without a unit."""
        return self.parts[0][1] == ""

    def worth(self, quantity: Quantity, bare: str) -> float:
        """Value in the base unit; ``bare`` is the unit of a bare number."""
        return self.sign * sum(convert(number, unit or bare, quantity) for number, unit in self.parts)


def taken_apart(text: str, quantity: Quantity) -> Written:
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
        return Written(parts=((read_number(body), ""),), sign=sign)
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
    return Written(parts=tuple(parts), sign=sign)


def _unreadable(text: str, quantity: Quantity) -> UnitError:
    shown = quoted(text)
    message = f"{shown} is not {quantity.article} {quantity.name}"
    if re.search(r"\d,\d", text):
        return UnitError(message, _without_commas(text))
    if re.search(r"\d_\d", text):
        return UnitError(message, "write the digits without `_`")
    if quantity is TIME and re.fullmatch(r"\d+:\d+", text):
        return UnitError(message, "write hours and minutes such as `1 h 30 min`")
    if text.endswith("%"):
        return UnitError(message, f"write {quantity.article} {quantity.name}, not a share")
    return UnitError(message, f"write {quantity.article} {quantity.name} such as {quantity.example}")


def _without_commas(text: str) -> str:
    """Say how to write numbers with commas: what was meant, where a comma can only be one of decimals."""
    one = re.fullmatch(r"\D*\d+,(\d+)\D*", text)
    if one is None:
        return "write decimals with a point, and no comma in thousands"
    pointed = quoted(text.replace(",", "."))
    if len(one[1]) != 3:  # noqa: PLR2004  digits of a thousand
        return f"write decimals with a point: {pointed}"
    return f"write {pointed} for decimals, {quoted(text.replace(',', ''))} for thousands"


def bare_number(value: object, quantity: Quantity) -> float | None:
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
