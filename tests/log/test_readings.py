"""What counts as a reading of a checkpoint, and what it comes to in the checkpoint's own unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from planner.log import fold
from planner.log.frozen import from_plain, to_plain
from planner.log.signing import ReadingError, read, watched_too_long
from planner.model.log import SignedLine, Verdict
from planner.model.standing import Basis
from planner.model.work import Checkpoint, WorkList

PASSED, FAILED = Verdict.PASSED, Verdict.FAILED


def point(
    unit: str, low: float | None = None, high: float | None = None, also: tuple[str, ...] | None = ()
) -> Checkpoint:
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
        also=also,
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


PEDAL = replace(
    point("mm", low=0.0, high=5.0, also=("it is never spongy",)),
    limit="sinks not more than 5 mm in 1 min, it is never spongy",
)
TANK = replace(
    point("joints that weep", low=0.0, high=0.0, also=("level not under the mark",)),
    limit="no drop at any joint, level not under the mark",
)


def test_a_number_passes_no_limit_that_asks_for_more_than_it_says() -> None:
    """A spongy pedal may sink by nothing. Limits as the shipped rules have them."""
    with pytest.raises(ReadingError, match=r'so: it is never spongy\. Write "4 mm yes" if it is, "4 mm no" if not'):
        read(PEDAL, "4 mm")
    assert read(PEDAL, "4 mm yes") == read(PEDAL, "4 and pass") == read(PEDAL, "4, ok") == (PASSED, 4.0)
    assert read(PEDAL, "4 no") == (FAILED, 4.0)
    assert read(PEDAL, "6 yes") == read(PEDAL, "6") == (FAILED, 6.0)
    with pytest.raises(ReadingError, match=r'so: level not under the mark\. Write "yes"'):
        read(TANK, "0")
    assert read(TANK, "yes") == (PASSED, None)
    assert read(TANK, "2") == (FAILED, 2.0)


@pytest.mark.parametrize("limit", ["at least 15 mm, and free all the way", "no drop and the pedal does not sink"])
def test_of_a_plan_that_does_not_say_what_a_number_covers_all_is_said_yes_to(limit: str) -> None:
    """Earlier versions kept no list: nobody guesses from the words what the number leaves out."""
    known = replace(point("mm", low=15.0, high=20.0, also=None), limit=limit)
    assert from_plain(Checkpoint, to_plain(known)) == known
    with pytest.raises(ReadingError, match=f"is so: {limit}"):
        read(known, "16")
    assert read(known, "16 yes") == (PASSED, 16.0)
    assert read(known, "14 yes") == (FAILED, 14.0)
    # Nothing but a number is held against a number, and a list that is empty stays one.
    assert read(point("", also=None), "yes") == (PASSED, None)
    assert from_plain(Checkpoint, to_plain(point("mm", low=15.0))).also == ()


def test_what_was_signed_by_a_number_alone_stays_signed() -> None:
    """Before limits had lists a number was enough for some of them: what was written then keeps its meaning."""
    at = datetime(2026, 12, 20, 13, 20)  # noqa: DTZ001  # wall clock of one workshop
    line = SignedLine(n=1, at=at, checkpoint="check", key="", verdict=PASSED, limit="", text="4", value=4.0, by="AB")
    work = WorkList(features={}, tasks={}, checkpoints={"check": PEDAL}, buys={})
    standing = fold([line], Basis(work=work))
    assert standing.is_passed("check")
    with pytest.raises(ReadingError, match="never spongy"):
        read(PEDAL, line.text)


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
