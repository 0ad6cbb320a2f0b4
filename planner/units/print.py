"""Printing quantities the way their owner reads them."""

from __future__ import annotations

import math

MM_PER_INCH = 25.4
_NEAR_IN = 0.005
"""A length this near to a 32nd is printed as one: half of the last decimal that would be printed instead."""


def format_length(mm: float, units: str) -> str:
    """Print a length in the owner's units.

    Millimetres get a decimal only when they need one. Inches are read off a tape in 32nds; a length that is
    not within 0.005 in of one is printed in hundredths, so that the print is never out by more than that.

    Parameters
    ----------
    mm : float [mm]
    units : {"mm", "inch"}

    Examples
    --------
    >>> format_length(620, "mm"), format_length(22.24, "mm")
    ('620 mm', '22.2 mm')
    >>> format_length(24.4375 * 25.4, "inch"), format_length(-12.7, "inch"), format_length(30.0, "inch")
    ('24 7/16 in', '-1/2 in', '1.18 in')
    """
    if units != "inch":
        return f"{_trimmed(mm, 1)} mm"
    inches = mm / MM_PER_INCH
    if not math.isfinite(inches):
        return f"{inches} in"
    parts = round(abs(inches) * 32)
    if abs(abs(inches) - parts / 32) > _NEAR_IN:
        return f"{_trimmed(inches, 2)} in"
    whole, rest = divmod(parts, 32)
    shared = math.gcd(rest, 32)
    fraction = f"{rest // shared}/{32 // shared}" if rest else ""
    words = " ".join(filter(None, [str(whole) if whole or not rest else "", fraction]))
    return f"{'-' if inches < 0 and parts else ''}{words} in"


def _trimmed(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def format_minutes(minutes: int) -> str:
    """Print a length of time in hours and minutes.

    Examples
    --------
    >>> format_minutes(80), format_minutes(120), format_minutes(5)
    ('1 h 20 min', '2 h', '5 min')
    """
    hours, rest = divmod(abs(minutes), 60)
    words = " ".join(filter(None, [f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else ""]))
    return f"-{words}" if minutes < 0 else words
