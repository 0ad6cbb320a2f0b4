"""Amounts with a doubt: the doubt takes the value's unit, and nothing is guessed."""

from __future__ import annotations

import pytest

from planner.units import (
    Amount,
    UnitError,
    parse_doubtful,
    parse_force,
    parse_mass,
    parse_plain,
    parse_pressure,
    parse_volume,
)


@pytest.mark.parametrize(
    ("text", "parse", "value", "doubt"),
    [
        ("320 MPa +/- 20", parse_pressure, 320, 20),
        ("100 bar +/- 5", parse_pressure, 10, 0.5),
        ("100 bar +/- 0.2 MPa", parse_pressure, 10, 0.2),
        ("690 kg \u00b1 10", parse_mass, 690, 10),
        ("22 ml +- 2", parse_volume, 22_000, 2_000),
        ("2 kN +/- 100 N", parse_force, 2000, 100),
        ("0.38 +/- 0.03", parse_plain, 0.38, 0.03),
        ("0.38", parse_plain, 0.38, 0),
        (10, parse_pressure, 10, 0),
        ("5 +/- 1/4", parse_pressure, 5, 0.25),
    ],
)
def test_a_value_and_its_doubt(text: str, parse, value: float, doubt: float) -> None:  # noqa: ANN001  # any of them
    found = parse_doubtful(text, parse)
    assert (found.value, found.doubt) == pytest.approx((value, doubt))
    assert isinstance(found, Amount)


@pytest.mark.parametrize(
    ("text", "parse"),
    [
        ("320 +/- 20 MPa", parse_pressure),
        ("320 MPa +/- ", parse_pressure),
        ("320 MPa +/- 20 +/- 3", parse_pressure),
        ("320 MPa +/- -20", parse_pressure),
        ("320 MPa +/- 20 mm", parse_pressure),
        ("320 mm +/- 20", parse_pressure),
        ("0.4 mm", parse_plain),
        ("half", parse_plain),
        (True, parse_plain),
        (None, parse_force),
        ("-3 kN", parse_force),
    ],
)
def test_what_is_none_is_refused(text: object, parse) -> None:  # noqa: ANN001  # any of them
    with pytest.raises(UnitError):
        parse_doubtful(text, parse)  # type: ignore[arg-type]


def test_a_pound_force_is_exact() -> None:
    """One pound-force is 4.4482216152605 N by definition."""
    assert parse_force("1 lbf") == 4.4482216152605
