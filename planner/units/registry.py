"""What units are worth: a short table for the everyday ones, the pint registry for all others.

Building the registry takes longer than reading a whole vehicle, so it waits until a unit asks for it.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.finding.words import listed, nearest, quoted
from planner.units.error import UnitError

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pint


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One kind of quantity: the unit it is kept in and the units everybody uses.

    ``worth`` maps a unit to (top, bottom): one of it is top/bottom of the ``base`` unit, both exact.
    """

    article: str
    name: str
    base: str
    dimension: str
    worth: Mapping[str, tuple[float, float]]
    example: str
    also: tuple[str, ...] = ()
    """Units that are listed beside those that are words."""


LENGTH = Quantity(
    article="a",
    name="length",
    base="mm",
    dimension="[length]",
    worth={
        "mm": (1, 1),
        "cm": (10, 1),
        "m": (1000, 1),
        "in": (254, 10),
        "inch": (254, 10),
        "inches": (254, 10),
        '"': (254, 10),
        "''": (254, 10),
        "\u2033": (254, 10),
        "ft": (3048, 10),
        "foot": (3048, 10),
        "feet": (3048, 10),
        "'": (3048, 10),
        "\u2032": (3048, 10),
        "thou": (254, 10000),
    },
    example="`620 mm` or `24 7/16 in`",
    also=('"', "'", "swg"),
)
TIME = Quantity(
    article="a",
    name="time",
    base="minute",
    dimension="[time]",
    worth={
        "s": (1, 60),
        "min": (1, 1),
        "mins": (1, 1),
        "minute": (1, 1),
        "minutes": (1, 1),
        "h": (60, 1),
        "hour": (60, 1),
        "hours": (60, 1),
        "day": (1440, 1),
        "days": (1440, 1),
        "week": (10080, 1),
        "weeks": (10080, 1),
    },
    example="`20 min` or `1 h 30 min`",
)
ANGLE = Quantity(
    article="an",
    name="angle",
    base="degree",
    dimension="[]",
    worth={"deg": (1, 1), "degree": (1, 1), "degrees": (1, 1), "\u00b0": (1, 1)},
    example="`18 deg`",
)
VOLUME = Quantity(
    article="a",
    name="volume",
    base="mm ** 3",
    dimension="[length] ** 3",
    worth={
        "mm3": (1, 1),
        "ml": (1000, 1),
        "cc": (1000, 1),
        "cm3": (1000, 1),
        "l": (1_000_000, 1),
        "litre": (1_000_000, 1),
        "litres": (1_000_000, 1),
        # Imperial, exact by the Weights and Measures Act 1985: a gallon is 4.54609 l, a pint an eighth of it.
        "pint": (56_826_125, 100),
        "pints": (56_826_125, 100),
        "gallon": (4_546_090, 1),
        "gallons": (4_546_090, 1),
    },
    example="`3 l` or `750 ml`",
)
MASS = Quantity(
    article="a",
    name="mass",
    base="kg",
    dimension="[mass]",
    worth={
        "kg": (1, 1),
        "g": (1, 1000),
        # International avoirdupois pound, exact since 1959: 0.45359237 kg.
        "lb": (45359237, 100000000),
        "lbs": (45359237, 100000000),
        "st": (14 * 45359237, 100000000),
        "stone": (14 * 45359237, 100000000),
        "oz": (45359237, 1600000000),
    },
    example="`2.4 kg`",
)
PRESSURE = Quantity(
    article="a",
    name="pressure",
    base="MPa",
    dimension="[length]^-1 [mass] [time]^-2",
    worth={
        "MPa": (1, 1),
        "kPa": (1, 1000),
        "bar": (1, 10),
        # A pound-force is 4.4482216152605 N, a square inch 645.16 mm2, both exact.
        "psi": (4.4482216152605, 645.16),
    },
    example="`100 bar` or `10 MPa`",
)
FORCE = Quantity(
    article="a",
    name="force",
    base="N",
    dimension="[length] [mass] [time]^-2",
    worth={
        "N": (1, 1),
        "kN": (1000, 1),
        # The pound-force above; a kilogram-force is 9.80665 N, exact.
        "lbf": (4.4482216152605, 1),
        "kgf": (9.80665, 1),
    },
    example="`2000 N` or `2 kN`",
)
QUANTITIES = (LENGTH, TIME, ANGLE, MASS, VOLUME, PRESSURE, FORCE)

_WORD = re.compile(r"[A-Za-z\u00b5\u03bc_]{1,24}")


@functools.cache
def _registry() -> pint.UnitRegistry[float]:
    """Build the one registry of the program."""
    import pint  # noqa: PLC0415  a quarter of a second that most runs never need

    return pint.UnitRegistry(cache_folder=None)


def convert(number: float, unit: str, quantity: Quantity) -> float:
    """Convert ``number`` of ``unit`` to the base unit of ``quantity``.

    Raises
    ------
    UnitError
        When the unit is not known, or measures something else.
    """
    worth = quantity.worth.get(unit)
    if worth is not None:
        return number * worth[0] / worth[1]
    _refuse_everyday(unit, quantity)
    factor = _factor(unit, quantity.base, quantity.dimension)
    if factor is None:
        raise _unknown(unit, quantity)
    return number * factor


def _refuse_everyday(unit: str, quantity: Quantity) -> None:
    """Raise when ``unit`` is an everyday one of another quantity, or such a one with other capitals."""
    for other in QUANTITIES:
        if other is not quantity and unit in other.worth:
            raise UnitError(
                f"`{unit}` measures {other.article} {other.name}, not {quantity.article} {quantity.name}",
                f"write {quantity.article} {quantity.name} such as {quantity.example}",
            )
    if unit.lower() in quantity.worth:
        raise UnitError(f"unit {quoted(unit)} is not known", f"did you mean `{unit.lower()}`?")


def _unknown(unit: str, quantity: Quantity) -> UnitError:
    """Make the error for ``unit``, with the best guess at what was meant."""
    measures = _dimension(unit)
    if measures is not None:
        return UnitError(
            f"{quoted(unit)} does not measure {quantity.article} {quantity.name}",
            f"write {quantity.article} {quantity.name} such as {quantity.example}",
        )
    guess = nearest(unit, [u for u in quantity.worth if u.isalpha()])
    known = listed(dict.fromkeys([*(u for u in quantity.worth if u.isalpha()), *quantity.also]))
    return UnitError(
        f"unit {quoted(unit)} is not known",
        f"did you mean `{guess}`?" if guess else f"units of {quantity.name}: {known}",
    )


@functools.lru_cache(maxsize=256)
def _factor(unit: str, base: str, dimension: str) -> float | None:
    """How many ``base`` one ``unit`` is, or None when pint does not know it as such a measure."""
    if _dimension(unit) != dimension:
        return None
    registry = _registry()
    if dimension == "[]" and registry.parse_units(unit).dimensionless and unit not in ("radian", "rad", "grad", "turn"):
        return None
    return float(registry.Quantity(1, unit).to(base).magnitude)


@functools.lru_cache(maxsize=256)
def _dimension(unit: str) -> str | None:
    """Dimension of a unit word ("[length]", "[]" ...), or None when there is no such unit."""
    if not _WORD.fullmatch(unit):
        return None
    registry = _registry()
    try:
        parsed = registry.parse_units(unit)
        # Offset units (temperatures) have no plain factor; their dimension is all that is asked for.
        dimensions = dict(registry.get_dimensionality(parsed))
    except Exception:  # noqa: BLE001  pint raises many kinds for words that are no unit; all mean the same here
        return None
    if not dimensions:
        return "[]"
    return " ".join(name if power == 1 else f"{name}^{power}" for name, power in sorted(dimensions.items()))
