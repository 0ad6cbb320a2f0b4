"""Lengths against exact definitions.

International inch = 25.4 mm exactly, foot = 12 in, yard = 3 ft (international yard and pound agreement, 1959).
Standard wire gauge: BS 3737:1964, millimetre values as printed in trade tables; values from memory.
"""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.units import Size, UnitError, format_length, parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        (620, 620.0),
        (620.5, 620.5),
        ("620", 620.0),
        ("-320", -320.0),
        ("\u2212320 mm", -320.0),
        ("620mm", 620.0),
        ("62 cm", 620.0),
        ("0.62 m", 620.0),
        ("1 m 20 cm", 1200.0),
        ("1 in", 25.4),
        ("1 1/4 in", 31.75),
        ("1-1/4 in", 31.75),
        ("1\u00bc in", 31.75),
        ("5/16 in", 7.9375),
        ("24.4 in", 619.76),
        ("1'6\"", 18 * 25.4),
        ("1' 6 1/2\"", 18.5 * 25.4),
        ("2 ft 3 in", 27 * 25.4),
        ("20 thou", 0.508),
        ("2 yard", 2 * 36 * 25.4),
        ("10 micron", 0.01),
    ],
)
def test_a_length_in_a_millimetre_file(text: str | float, mm: float) -> None:
    assert parse_length(text, bare="mm").mm == pytest.approx(mm, rel=1e-12)
    assert parse_length(text, bare="mm").doubt_mm is None


@pytest.mark.parametrize(("text", "mm"), [(24, 609.6), ("24 7/16", 620.7125), ("1/2", 12.7), ("620 mm", 620.0)])
def test_a_bare_number_is_in_the_unit_of_the_file(text: str | float, mm: float) -> None:
    assert parse_length(text, bare="inch").mm == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "bare", "size"),
    [
        ("620 mm +/- 5 mm", "mm", Size(620.0, 5.0)),
        ("620 +/- 5", "mm", Size(620.0, 5.0)),
        ("620 mm \u00b1 5", "mm", Size(620.0, 5.0)),
        ("62 cm +- 1", "mm", Size(620.0, 10.0)),
        ("620 +/- 5 mm", "mm", Size(620.0, 5.0)),
        ("10 +/- 1/2", "inch", Size(254.0, 12.7)),
        ("10 in +/- 2 mm", "mm", Size(254.0, 2.0)),
        ("-320 +/- 2", "mm", Size(-320.0, 2.0)),
    ],
)
def test_a_length_with_its_doubt(text: str, bare: str, size: Size) -> None:
    assert parse_length(text, bare=bare) == size  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("gauge", "mm"),
    [
        ("7/0", 12.7),
        ("10", 3.251),
        ("14", 2.032),
        ("16", 1.626),
        ("18", 1.219),
        ("20", 0.914),
        ("22", 0.711),
        ("24", 0.559),
        ("50", 0.0254),
    ],
)
def test_wire_gauges_as_printed_in_trade_tables(gauge: str, mm: float) -> None:
    assert parse_length(f"{gauge} swg", bare="mm").mm == pytest.approx(mm, abs=0.0005)


def test_wire_gauges_grow_thinner() -> None:
    names = ["7/0", "6/0", "5/0", "4/0", "3/0", "2/0", *map(str, range(51))]
    sizes = [parse_length(f"{name} swg", bare="mm").mm for name in names]
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) == len(sizes)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("620 kg", "`kg` measures a mass, not a length"),
        ("620 psi", "`psi` measures a pressure, not a length"),
        ("620 amp", "`amp` does not measure a length"),
        ("620 mmm", "unit `mmm` is not known"),
        ("620 MM", "unit `MM` is not known"),
        ("22,2 mm", "is not a length"),
        ("1_000", "is not a length"),
        ("nan", "is not a length"),
        (".inf", "is not a length"),
        ("1e400", "no usable number"),
        ("1/0 in", "divides by zero"),
        ("99 swg", "no wire gauge"),
        ("2 km", "longer than a kilometre"),
        ("620 +/- -5", "negative"),
        ("620 +/- 0.5 cm", "unit for its doubt only"),
        ("620 +/-", "not a length with its doubt"),
        ("", "is empty"),
        ("9" * 400, "too long"),
        (True, "`true` is not a length"),
        (None, "is not a length"),
        ([1], "is not a length"),
        (math.nan, "no usable number"),
        (math.inf, "no usable number"),
        pytest.param(10**400, "no usable number", id="four hundred digits"),
        pytest.param(10**5000, "no usable number", id="five thousand digits"),
    ],
)
def test_what_is_no_length_is_refused_in_words(value: object, words: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_length(value, bare="mm")  # type: ignore[arg-type]
    assert words in caught.value.message


def test_a_misspelt_unit_gets_a_guess() -> None:
    with pytest.raises(UnitError) as caught:
        parse_length("620 MM", bare="mm")
    assert caught.value.hint == "did you mean `mm`?"


@given(st.text(max_size=30) | st.floats() | st.integers())
def test_any_value_is_read_or_refused(value: str | float) -> None:
    try:
        size = parse_length(value, bare="mm")
    except UnitError:
        return
    assert math.isfinite(size.mm)


@given(st.floats(min_value=-20000, max_value=20000), st.sampled_from(["mm", "inch"]))
def test_what_is_printed_reads_back(mm: float, units: str) -> None:
    text = format_length(mm, units)
    worst = {"mm": 0.05, "inch": 0.005 * 25.4}[units]
    assert parse_length(text, bare="mm").mm == pytest.approx(mm, abs=worst + 1e-6)


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (620, "mm", "620 mm"),
        (22.24, "mm", "22.2 mm"),
        (-0.01, "mm", "0 mm"),
        (620.7125, "inch", "24 7/16 in"),
        (12.7, "inch", "1/2 in"),
        (-12.7, "inch", "-1/2 in"),
        (0, "inch", "0 in"),
        (254, "inch", "10 in"),
        (30, "inch", "1.18 in"),
        (25.39, "inch", "1 in"),
    ],
)
def test_lengths_as_they_are_printed(mm: float, units: str, text: str) -> None:
    assert format_length(mm, units) == text


def test_plain_lengths_do_without_pint() -> None:
    code = (
        "import sys; from planner.units import parse_length, parse_minutes; "
        "parse_length('620 mm', bare='mm'); parse_length('24 7/16 in', bare='mm'); parse_minutes('1 h 30 min'); "
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("62,5 cm", "write decimals with a point: `62.5 cm`"),
        ("1,25", "write decimals with a point: `1.25`"),
        ("1,2505 in", "write decimals with a point: `1.2505 in`"),
        ("1,250 mm", "write `1.250 mm` for decimals, `1250 mm` for thousands"),
        ("1,250,5", "write decimals with a point, and no comma in thousands"),
        ("1,250.5", "write decimals with a point, and no comma in thousands"),
    ],
)
def test_a_comma_is_answered_with_what_was_meant(text: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_length(text, bare="mm")
    assert caught.value.hint == hint


def test_every_unit_that_is_listed_can_be_read() -> None:
    with pytest.raises(UnitError) as caught:
        parse_length("1?", bare="mm")
    listed = caught.value.hint.split("`")[1::2]
    assert {"mm", "in", "ft", "thou", '"', "'", "swg"} <= set(listed)
    for unit in listed:
        assert parse_length(f"7 {unit}", bare="mm").mm > 0
