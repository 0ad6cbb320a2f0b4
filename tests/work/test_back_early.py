"""A part that is with somebody else is waited for until it is back, not until the day that was thought."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from workshop import part, scuttle, worked

from planner.model.job import Grow
from planner.model.log import DoneLine, OrderedLine
from planner.model.standing import Standing
from planner.model.work import WorkList
from planner.work import left_of

LEAD_DAYS = 21
HANDED = "fuel-tank.2"
BUY = "buy:fuel-tank"
HANDED_ON = date(2026, 12, 5)
FIRST = date(2026, 12, 6)


def altered() -> WorkList:
    """A tank that is made larger by somebody who takes three weeks."""
    v = scuttle()
    tank = part("fuel-tank", "fuel-tank", (60, -700, 500), systems=("fuel",))
    v = replace(v, components={**v.components, tank.id: tank})
    grown = Grow(part="fuel-tank", by_mm=(0.0, 30.0, 0.0), lead_days=LEAD_DAYS, lead_told=True)
    return worked(v, grown)[0]


def left(*, arrived: frozenset[str] = frozenset(), ordered: dict[str, OrderedLine] | None = None) -> WorkList:
    """What is left on the day after the tank was handed over."""
    at = datetime.combine(HANDED_ON, time(10))
    done = {f"fuel-tank.{n}": DoneLine(n=n, at=at, key=f"fuel-tank.{n}", guess_min=10, work="planning") for n in (1, 2)}
    standing = Standing(done=done, finished=frozenset(done), arrived=arrived, ordered=ordered or {})
    return left_of(altered(), standing, FIRST)


def waits(work: WorkList) -> dict[str, int]:
    """Waits by the clock for the tank, in days from the first."""
    return {i: b.lead_days for i, b in work.buys.items() if not b.goods and HANDED in i}


def test_it_is_waited_for_as_long_as_was_said() -> None:
    """Handed over on the 5th, 21 days, from the 6th: 20."""
    assert list(waits(left()).values()) == [LEAD_DAYS - 1]


def test_what_is_back_is_not_waited_for() -> None:
    work = left(arrived=frozenset({BUY}))
    assert waits(work) == {}
    assert BUY not in work.buys
    assert all(BUY not in t.purchases and not any(HANDED in p for p in t.purchases) for t in work.tasks.values())


def test_a_day_that_is_known_counts_before_the_one_that_was_thought() -> None:
    line = OrderedLine(n=3, at=datetime.combine(HANDED_ON, time(12)), buy=BUY, due=date(2026, 12, 10))
    work = left(ordered={BUY: line})
    assert waits(work) == {}
    assert work.buys[BUY].lead_days == 4
    assert any(BUY in t.purchases for t in work.tasks.values())
