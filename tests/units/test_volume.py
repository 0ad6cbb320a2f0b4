"""Volumes: litres, parts of them, and imperial measure (Weights and Measures Act 1985: a gallon is 4.54609 l)."""

from __future__ import annotations

import pytest

from planner.units import UnitError, parse_volume


@pytest.mark.parametrize(
    ("text", "mm3"),
    [
        ("3 l", 3e6),
        (3, 3e6),
        ("0.5 litre", 5e5),
        ("750 ml", 7.5e5),
        ("12 cc", 1.2e4),
        ("1 gallon", 4.54609e6),
        ("1 pint", 4.54609e6 / 8),
    ],
)
def test_volumes(text: str | float, mm3: float) -> None:
    assert parse_volume(text) == pytest.approx(mm3, rel=1e-12)


@pytest.mark.parametrize(("text", "told"), [("-1 l", "negative volume"), ("3 kg", "measures a mass"), ("3 quarks", "")])
def test_no_volumes(text: str, told: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_volume(text)
    assert told in caught.value.message
