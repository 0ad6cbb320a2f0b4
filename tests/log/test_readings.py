"""What counts as a reading of a checkpoint, and what it comes to in the checkpoint's own unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from planner.log.limits import beside_number, things_in
from planner.log.signing import ReadingError, read, watched_too_long
from planner.model.log import SignedLine, Verdict
from planner.model.work import Checkpoint

PASSED, FAILED = Verdict.PASSED, Verdict.FAILED


def point(unit: str, low: float | None = None, high: float | None = None) -> Checkpoint:
    return Checkpoint(
        id="check",
        rule="check",
        title="Check",
        measure="look",
        limit="as told",
        unit=unit,
        low=low,
        high=high,
        subject="",
        blocked=(),
        caution="",
        why="",
        source="common practice, no published source",
        blocks=("road",),
    )


@pytest.mark.parametrize(
    ("unit", "text", "verdict", "value"),
    [
        ("mm of movement", "0mm", PASSED, 0.0),
        ("mm of movement", "2 mm", FAILED, 2.0),
        ("mm of movement", "0,4 mm of movement", PASSED, 0.4),
        ("mm", "0,4", PASSED, 0.4),
        ("mm", "0,125", PASSED, 0.125),
        ("N m", "0.5 Nm", PASSED, 0.5),
        ("joints that weep", "1 joint", PASSED, 1.0),
        ("leaks", "2 leaks", FAILED, 2.0),
        ("V", "0V", PASSED, 0.0),
        ("deg", "1\u00b0", PASSED, 1.0),
        ("%", "1 percent", PASSED, 1.0),
    ],
)
def test_a_number_with_the_checkpoints_own_unit_is_taken(unit: str, text: str, verdict: Verdict, value: float) -> None:
    assert read(point(unit, high=1.0), text) == (verdict, value)


@pytest.mark.parametrize("text", ["5k", "5 kohm", "5 kOhm", "5 k\u03a9", "5k\u2126", "0.005 megohm", "5000 ohms"])
def test_resistances_are_taken_in_the_words_of_a_meter(text: str) -> None:
    """A kilohm is 1000 ohm, a megohm a million (SI prefixes)."""
    assert read(point("ohm", low=1000.0), text) == (PASSED, pytest.approx(5000.0))


@pytest.mark.parametrize(
    ("unit", "text"),
    [
        ("mm", "50 cm"),
        ("mm", "5k"),
        ("N m", "60 N"),
        ("mm of movement", "0 movement"),
        ("ohm", "5 mohm"),
        ("V", "12 kV"),
        ("times out of 10", "9/10"),
        ("mm", "mm"),
    ],
)
def test_another_unit_is_no_reading(unit: str, text: str) -> None:
    """`mohm` may be a thousandth or a million: nobody guesses on which side of a limit that is."""
    with pytest.raises(ReadingError, match="wanted"):
        read(point(unit, low=0.0), text)


def test_a_comma_before_three_digits_may_be_either() -> None:
    with pytest.raises(ReadingError, match=r"may be 1\.2 or 1200: write 1200 without the comma"):
        read(point("mm", high=5.0), "1,200")
    assert read(point("mm", high=5.0), "1,2") == (PASSED, 1.2)


@pytest.mark.parametrize(
    ("limit", "unit", "low", "high"),
    [
        ("no stand lifts, tilts or walks", "mm of movement", 0.0, 0.0),
        ("no fluid on the paper at any joint after 1 min", "joints that weep", 0.0, 0.0),
        ("snaps shut on its idle stop every time", "times out of 10", 10.0, 10.0),
    ],
)
def test_a_limit_told_in_words_takes_yes_and_no_as_well_as_a_count(
    limit: str, unit: str, low: float, high: float
) -> None:
    """`after 1 min` is how long one looks, and no limit. Limits as the shipped rules have them."""
    worded = replace(point(unit, low=low, high=high), limit=limit)
    assert read(worded, "yes") == (PASSED, None)
    assert read(worded, "no") == (FAILED, None)
    assert read(worded, f"{high:g}") == (PASSED, high)
    assert read(worded, f"{high + 1:g}")[0] is FAILED
    with pytest.raises(ReadingError, match=r"yes \(it is so\), no or a number in "):
        read(worded, "perhaps")


@pytest.mark.parametrize("text", ["yes", "no", "ok"])
def test_a_limit_that_tells_its_number_wants_one(text: str) -> None:
    """Who says yes to 15 mm may not have measured."""
    with pytest.raises(ReadingError, match="a number in mm is wanted"):
        read(replace(point("mm", low=15.0), limit="at least 15 mm everywhere"), text)


PEDAL = replace(point("mm", low=0.0, high=5.0), limit="sinks not more than 5 mm in 1 min, and it is never spongy")
TANK = replace(point("joints that weep", low=0.0, high=0.0), limit="no drop at any joint, level not under the mark")


def test_a_number_passes_no_limit_that_asks_for_more_than_it_says() -> None:
    """A spongy pedal may sink by nothing. Limits as the shipped rules have them, and one as an owner would write it."""
    with pytest.raises(ReadingError, match=r'so: it is never spongy\. Write "4 mm yes" if it is, "4 mm no" if not'):
        read(PEDAL, "4 mm")
    assert read(PEDAL, "4 mm yes") == read(PEDAL, "4 and pass") == read(PEDAL, "4, ok") == (PASSED, 4.0)
    assert read(PEDAL, "4 no") == (FAILED, 4.0)
    assert read(PEDAL, "6 yes") == read(PEDAL, "6") == (FAILED, 6.0)
    with pytest.raises(ReadingError, match=r'no drop at any joint; level not under the mark\. Write "yes"'):
        read(TANK, "0")
    assert read(TANK, "yes") == (PASSED, None)
    assert read(TANK, "2") == (FAILED, 2.0)
    with pytest.raises(ReadingError, match="so: pedal does not sink"):
        read(replace(point("drips", low=0.0, high=0.0), limit="0 drips and pedal does not sink"), "0")


@pytest.mark.parametrize(
    ("limit", "things"),
    [
        ("at least 15 mm everywhere", 1),
        ("no stand lifts, tilts or walks", 1),
        ("0.5 to 1.5 mm, so that the cylinder's port opens; here: 1 mm, 2 mm at the pad", 1),
        ("20 to 30 mm up and down at the tightest place", 1),
        ("0.5 to 1.5 mm between rod and piston", 1),
        ("at least 25 mm from anything that melts or burns, or shielded", 1),
        ("no bag, bolt or tool left over, nothing hangs", 2),
        ("fault gone, nothing cracked, bent, loose, chafed or weeping", 2),
        ("at most 5 mm, but never spongy", 2),
        ("at least 5 mm in front; at most 9 mm behind", 2),
    ],
)
def test_what_is_one_thing_and_what_are_two(limit: str, things: int) -> None:
    """Counted by reading them."""
    assert len(things_in(limit)) == things
    assert bool(beside_number(replace(point("mm", low=5.0, high=9.0), limit=limit))) is (things > 1)


def test_no_watch_is_longer_than_the_clock_has_gone_on() -> None:
    """29 CFR 1910.252(a)(2)(iii): half an hour is watched; 20 min at 13:20 are 30 min at 13:30 and not before."""
    watch = point("min", low=30.0)
    at = datetime(2026, 12, 20, 13, 20)  # noqa: DTZ001  # wall clock of one workshop
    short = SignedLine(n=1, at=at, checkpoint="check", key="weld", verdict=FAILED, limit="30 min", value=20.0)

    def told(minutes: float, later_min: int, earlier: SignedLine | None = short, of: Checkpoint = watch) -> str:
        line = replace(short, verdict=PASSED, value=minutes)
        return watched_too_long(of, earlier, line, at + timedelta(minutes=later_min))

    assert "35 min cannot have been watched by 13:30: it was 20 min by 13:20, so it is 30 min at most" in told(35.0, 10)
    assert not told(30.0, 10)
    assert not told(35.0, 15)
    assert not told(35.0, 10, None)
    assert not told(35.0, 10, replace(short, verdict=PASSED))
    assert not told(35.0, 10, of=point("mm", low=30.0))
