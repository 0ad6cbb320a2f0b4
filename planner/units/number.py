"""Numbers as people write them in a workshop: decimals, fractions, mixed fractions."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from planner.finding.words import quoted
from planner.units.error import UnitError

LONGEST_TEXT = 60
"""No quantity needs more characters than this."""

NUMBER = r"(?:\d+[ -]+\d+/\d+|\d+/\d+|\d*\.\d+(?:[eE][+-]?\d{1,3})?|\d+\.?(?:[eE][+-]?\d{1,3})?)"
"""Pattern of one number without its sign."""

DOUBT = re.compile(r"\s*(?:\+\s*/\s*-|\+-|\u00b1)\s*")
"""What stands between a value and how sure it is."""

_MIXED = re.compile(r"(?:(\d+)[ -]+)?(\d+)/(\d+)")


def plain_text(text: str) -> str:
    """``text`` with the typographic marks of word processors made plain: minus signs, fractions, spaces.

    Raises
    ------
    UnitError
        When it is longer than any quantity or empty.
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"{quoted(text)} is too long for a quantity", "write a number and its unit")
    out = []
    for character in text:
        if character in "\u2212\u2013":  # minus sign, en dash
            out.append("-")
        elif character in "\u00a0\u2009\u202f\t":
            out.append(" ")
        elif unicodedata.category(character) == "No" and unicodedata.decomposition(character).startswith("<fraction>"):
            out.append(" " + unicodedata.normalize("NFKC", character).replace("\u2044", "/"))
        else:
            out.append(character)
    plain = "".join(out).strip()
    if not plain:
        raise UnitError("the value is empty", "write a number and its unit")
    return plain


def read_number(text: str) -> float:
    """Value of one number that matches :data:`NUMBER`.

    Raises
    ------
    UnitError
        When it divides by zero or is too large to be handled.

    Examples
    --------
    >>> read_number("1 1/4"), read_number("5/16"), read_number("1-1/2"), read_number(".5")
    (1.25, 0.3125, 1.5, 0.5)
    """
    mixed = _MIXED.fullmatch(text)
    if mixed is None:
        return checked(float(text), text)
    whole, top, bottom = (int(part or 0) for part in mixed.groups())
    if bottom == 0:
        raise UnitError(f"{quoted(text)} divides by zero")
    return checked(_float(whole + Fraction(top, bottom), text), text)


def checked(number: float, shown: object) -> float:
    """Pass ``number`` on as a float if it is finite and of a size that can be handled.

    Raises
    ------
    UnitError
        When it is not.
    """
    value = _float(number, shown)
    if not abs(value) <= 1e12:  # noqa: PLR2004  written so that NaN fails too
        raise UnitError(f"{quoted(shown)} is no usable number")
    return value


def _float(number: float | Fraction, shown: object) -> float:
    try:
        return float(number)
    except OverflowError:
        raise UnitError(f"{quoted(shown)} is no usable number") from None
