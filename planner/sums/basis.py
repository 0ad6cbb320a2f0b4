"""What a sum rests on: where the formula is from, what is taken for granted, what the figure does not cover."""

from __future__ import annotations

from dataclasses import dataclass

G = 9.80665
"""Standard gravity [m/s2] (ISO 80000-3)."""

JUDGEMENT = (
    "a check for a home builder's judgement, not an approval: local rules, inspection and a competent engineer decide"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """Printed with every figure that can hurt."""

    source: str
    assumed: tuple[str, ...] = ()
    not_covered: tuple[str, ...] = ()


def positive(**values: float) -> None:
    """Refuse figures that are not above nothing, or not finite.

    Raises
    ------
    ValueError
        Names the figure and its value.
    """
    for name, value in values.items():
        if not 0.0 < value < float("inf"):
            raise ValueError(f"{name.replace('_', ' ')} must be above 0 and finite, not {value:g}")
