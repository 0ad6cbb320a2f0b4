"""Odds: the line rises on the days and to the shares it is given, and every mark stands on its day."""

import re
from datetime import date, timedelta

import pytest
from small_plans import HOSTILE, MONDAY, in_a_row, plan_of, session
from svg_reading import box_of, faults, labels, shapes

from planner.draw import draw_odds, draw_odds_words
from planner.model.plan import Odds, Plan

DAYS = (MONDAY, MONDAY + timedelta(days=3), MONDAY + timedelta(days=5))


def odds_of(*shares: float, days: tuple[date, ...] = DAYS, **more: object) -> Odds:
    told = {"p50": days[len(days) // 2], "p80": days[-1], "p95": None, "late": 1 - shares[-1], "by": None} | more
    return Odds(runs=1000, days=tuple(zip(days, shares, strict=True)), costs=(), critical=(), **told)  # type: ignore[arg-type]


@pytest.fixture
def plan() -> Plan:
    return plan_of([session(0)], [])


def corners(svg: str) -> list[tuple[float, float]]:
    (d,) = re.findall(r'class="k-rise"[^>]* d="([^"]*)"', svg)
    return [(float(x), float(y)) for x, y in re.findall(r"[ML](\S+) (\S+?)(?=[LM]|$)", d)]


def test_the_line_rises_to_each_share_on_its_day(plan: Plan) -> None:
    svg = draw_odds(plan, odds_of(0.25, 0.75, 0.9))
    scale = {w.text: (w.top + w.bottom) / 2 for w in labels(svg) if w.text.endswith("%") and w.x < 25}
    high = scale["0%"] - scale["100%"]
    rise = corners(svg)
    tops = [rise[n] for n in (2, 4, 6)]
    shares = [(rise[0][1] - y) / high for _, y in tops]
    assert shares == pytest.approx([0.25, 0.75, 0.9], abs=0.002)
    # Three days and then two: the steps lie in that proportion.
    x = [x for x, _ in tops]
    assert (x[1] - x[0]) / (x[2] - x[1]) == pytest.approx(3 / 2, abs=0.01)
    assert rise[-1][1] == pytest.approx(tops[-1][1])


def test_marks_stand_on_their_days(plan: Plan) -> None:
    svg = draw_odds(plan, odds_of(0.25, 0.75, 0.9, by=0.75), by=DAYS[1] + timedelta(days=1))
    at = {data["mark"]: box_of(d)[0] for data, d in shapes(svg, "mark")}
    rise = corners(svg)
    assert set(at) == {"H", "E", "M"}
    foot = {data["mark"]: d.rpartition("L")[2].split()[0] for data, d in shapes(svg, "mark")}
    assert float(foot["H"]) == pytest.approx(rise[4][0])
    assert float(foot["E"]) == pytest.approx(rise[6][0])
    assert float(foot["M"]) == pytest.approx((rise[4][0] + rise[6][0]) / 2, abs=0.02)


def test_the_twin_tells_every_day_mark_and_note(plan: Plan) -> None:
    told = draw_odds_words(plan, odds_of(0.25, 0.75, 0.9, by=0.75, notes=("guessed", HOSTILE)), by=DAYS[1])
    text = "\n".join(told)
    for words in (
        "by Mon 4 May 2026: 25 %",
        "by Thu 7 May 2026: 75 %",
        "by Sat 9 May 2026: 90 %",
        "half of them: Thu 7 May 2026",
        "8 in 10: Sat 9 May 2026",
        "the day to meet: Thu 7 May 2026; 75 %",
        "10 % of them ran out of sessions",
        "guessed",
    ):
        assert words in text
    assert not set("\x1b\x00\u202e") & set(text)
    assert all("\n" not in line for line in told)


def test_nearly_all_is_not_told_as_all(plan: Plan) -> None:
    told = "\n".join(draw_odds_words(plan, odds_of(0.0004, 0.5, 0.9996)))
    assert "by Mon 4 May 2026: under 0.1 %" in told
    assert "by Sat 9 May 2026: over 99.9 %" in told


@pytest.mark.parametrize("gap", [1, 2, 30, 400])
def test_nothing_lies_over_anything_or_off_the_paper(gap: int) -> None:
    days = tuple(MONDAY + timedelta(days=gap * n) for n in range(12))
    shares = tuple((n + 1) / 12 for n in range(12))
    full = in_a_row([session(0)], [])
    svg = draw_odds(full, odds_of(*shares, days=days, p95=days[11], by=0.5), by=days[0] - timedelta(days=1))
    assert faults(svg) == []


def test_all_marks_on_one_day_are_moved_apart(plan: Plan) -> None:
    odds = odds_of(1.0, days=(MONDAY,), p50=MONDAY, p80=MONDAY, p95=MONDAY, by=1.0)
    svg = draw_odds(plan, odds, by=MONDAY)
    assert faults(svg) == []
    assert {d["mark"] for d, _ in shapes(svg, "mark")} == {"H", "E", "N", "M"}


def test_nothing_finished_is_said(plan: Plan) -> None:
    none = Odds(runs=10, days=(), late=1.0, p50=None, p80=None, p95=None, by=None, costs=(), critical=())
    svg = draw_odds(plan, none)
    assert "No simulated job was finished." in [w.text for w in labels(svg)]
    assert faults(svg) == []


def test_the_same_twice(plan: Plan) -> None:
    assert draw_odds(plan, odds_of(0.2, 0.5, 1.0)) == draw_odds(plan, odds_of(0.2, 0.5, 1.0))
