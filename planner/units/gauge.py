"""Standard wire gauge: the thickness of sheet and wire by number.

Source: BS 3737:1964 (Imperial standard wire gauge); values from memory.
"""

from __future__ import annotations

import re
from fractions import Fraction

GAUGE = re.compile(r"(\d+(?:/0)?)\s*swg", re.IGNORECASE)
"""How a gauge is written; its one group is the number."""

_THOU_BY_GAUGE: dict[str, str] = {
    "7/0": "500",
    "6/0": "464",
    "5/0": "432",
    "4/0": "400",
    "3/0": "372",
    "2/0": "348",
    "1/0": "324",
    "0": "324",
}
_FROM_ONE = (
    "300 276 252 232 212 192 176 160 144 128 116 104 92 80 72 64 56 48 40 36 32 28 24 22 20 18 "
    "16.4 14.8 13.6 12.4 11.6 10.8 10 9.2 8.4 7.6 6.8 6 5.2 4.8 4.4 4 3.6 3.2 2.8 2.4 2 1.6 1.2 1"
)
_THOU_BY_GAUGE |= {str(number): thou for number, thou in enumerate(_FROM_ONE.split(), start=1)}


def swg_mm(gauge: str) -> float | None:
    """Thickness [mm] of standard wire gauge ``gauge`` ("18", "7/0"), or None when there is no such gauge.

    Examples
    --------
    >>> swg_mm("18")
    1.2192
    """
    thou = _THOU_BY_GAUGE.get(gauge)
    return None if thou is None else float(Fraction(thou) * Fraction("0.0254"))
