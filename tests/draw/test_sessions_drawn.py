"""Session bars: each as long as its step and where its hour is, by whose hands, with what binds and what waits."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from small_plans import (
    HOSTILE,
    MONDAY,
    feature,
    in_a_row,
    long_job,
    needs,
    plan_of,
    session,
    slot,
    task,
    work_of,
)
from svg_reading import box_of, faults, labels, shapes

from planner.draw import draw_sessions, draw_sessions_words
from planner.model.plan import Chain, Plan, Tie
from planner.model.work import After, Buy, WorkList

DAYS = [session(0, 9, 12), session(1, 9, 12), session(5, 13, 17, hands=2)]


@pytest.fixture
def weekend() -> tuple[WorkList, Plan, Chain]:
    """Two hands on Saturday; the glue of Monday cures overnight and is waited for; Tuesday is idle."""
    work = work_of(
        [feature("door"), feature("boot", hands=2)],
        [
            task("glue", needs("door", on=False), keep_min=720),
            task("sand", after=[After(task="glue", lag_min=720)]),
            task("look", checkpoint="c", purchases=("lens",)),
            task("wash"),
        ],
        [Buy(id="lens", what="a lens <for> the lamp", price=1.0, lead_days=4, for_part="")],
    )
    plan = plan_of(
        DAYS,
        [
            slot(DAYS, 0, "-door", "09:00", 60),
            slot(DAYS, 0, "glue", "10:00", 120),
            slot(DAYS, 2, "sand", "13:00", 60),
            slot(DAYS, 2, "wash", "13:00", 30),
            slot(DAYS, 2, "-boot", "14:00", 30),
            slot(DAYS, 2, "+boot", "14:30", 30),
            slot(DAYS, 2, "look", "15:00", 5),
            slot(DAYS, 2, "+door", "15:05", 55),
        ],
        arrives={"lens": MONDAY + timedelta(days=4)},
    )
    ties = (
        Tie(slot=0, sort="start", text="the first"),
        Tie(slot=1, sort="step", text="waits for the door", after=0),
        Tie(slot=7, sort="step", text="the last", after=1),
    )
    return work, plan, Chain(ties=ties, float_min=(0,) * 8)


def bars(svg: str) -> dict[str, list[tuple[float, float, float, float]]]:
    found: dict[str, list[tuple[float, float, float, float]]] = {}
    for data, d in shapes(svg, "step"):
        found.setdefault(data["step"], []).append(box_of(d))
    return found


def test_bars_lie_at_their_hours(weekend: tuple[WorkList, Plan, Chain]) -> None:
    svg = draw_sessions(*weekend)
    hours = {w.text: w.x for w in labels(svg) if w.text.endswith(":00")}
    hour = hours["15:00"] - hours["14:00"]
    at = bars(svg)
    assert at["1"][0][2] - at["1"][0][0] == pytest.approx(hour, abs=0.02)
    assert at["2"][0][2] - at["2"][0][0] == pytest.approx(2 * hour, abs=0.02)
    assert at["1"][0][2] == pytest.approx(hours["10:00"], abs=0.02)
    assert at["5"][0][0] == pytest.approx(hours["14:00"], abs=0.02)
    assert at["7"][0][2] - at["7"][0][0] == pytest.approx(hour / 12, abs=0.02)


def test_hands_have_rows_of_their_own(weekend: tuple[WorkList, Plan, Chain]) -> None:
    at = bars(draw_sessions(*weekend))
    sand, wash, boot = at["3"][0], at["4"][0], at["5"][0]
    lane = sand[3] - sand[1]
    assert abs(sand[1] - wash[1]) == pytest.approx(lane, abs=0.02)
    assert boot[3] - boot[1] == pytest.approx(2 * lane, abs=0.02)
    assert boot[1] == pytest.approx(min(sand[1], wash[1]), abs=0.02)


def test_each_step_has_its_number_once(weekend: tuple[WorkList, Plan, Chain]) -> None:
    words = [w.text for w in labels(draw_sessions(*weekend, numbers=tuple(range(11, 19))))]
    assert sorted(w for w in words if w[:2].isdigit() and w[2:] in {"D", "O", "P", "Q"}) == [
        "11O", "12D", "13D", "14D", "15O", "16P", "17Q", "18P",
    ]  # fmt: skip


def test_a_change_that_is_checked_on_the_spot_has_two_letters() -> None:
    stands = feature("state:stands", start=False)
    assert stands.turn_on is not None
    work = work_of([replace(stands, turn_on=replace(stands.turn_on, checks=("rocked",)))])
    svg = draw_sessions(work, in_a_row(DAYS, ["+state:stands", "-state:stands"]))
    assert {"1PQ", "2O"} <= {w.text for w in labels(svg)}


def test_what_binds_is_marked(weekend: tuple[WorkList, Plan, Chain]) -> None:
    svg = draw_sessions(*weekend)
    assert [d["step"] for d, _ in shapes(svg, "binds")] == ["1", "2", "8"]
    assert svg.count('class="k-binds"') == 3 + 1  # and in the legend
    assert shapes(draw_sessions(*weekend[:2]), "binds") == []


def test_waits_arrivals_and_the_end_are_told_in_their_row(weekend: tuple[WorkList, Plan, Chain]) -> None:
    words = [w.text for w in labels(draw_sessions(*weekend))]
    assert "2 is left alone until Tue 5 May 00:00; 3, 8 not before" in words
    assert "a lens <for> the lamp is here by Fri 8 May, for 7" in words
    assert "finished Sat 9 May 16:00" in words
    assert "1 session with nothing to do" in words


@pytest.mark.parametrize(("arrives", "row"), [(0, 1), (1, 2), (4, 2), (5, 2), (6, None)])
def test_a_parcel_is_told_in_the_first_row_from_its_day_on(
    weekend: tuple[WorkList, Plan, Chain], arrives: int, row: int | None
) -> None:
    # Sessions are on Monday (steps 1 and 2), idle on Tuesday, and on Saturday, five days later.
    work, plan, _ = weekend
    told = draw_sessions_words(work, replace(plan, arrives={"lens": MONDAY + timedelta(days=arrives)}))
    heads = [n for n, line in enumerate(told) if "pairs of hands" in line and not line.startswith(" ")]
    heads += [n for n, line in enumerate(told) if line.endswith("1 pair of hands")]
    parcel = next((n for n, line in enumerate(told) if "is here by" in line), None)
    place = None if parcel is None else sum(h < parcel for h in heads)
    assert place == row
    assert sum("is here by" in line for line in told) == (row is not None)


def test_the_end_is_a_line_at_its_hour(weekend: tuple[WorkList, Plan, Chain]) -> None:
    svg = draw_sessions(*weekend)
    hours = {w.text: w.x for w in labels(svg) if w.text.endswith(":00")}
    ((_, d),) = shapes(svg, "finish")
    assert box_of(d)[0] == pytest.approx(hours["16:00"], abs=0.02)


@pytest.mark.parametrize(("by", "after"), [(MONDAY, "2"), (MONDAY + timedelta(days=4), "2"), (date(2026, 6, 1), "8")])
def test_the_day_to_meet_is_a_line_between_rows(weekend: tuple[WorkList, Plan, Chain], by: date, after: str) -> None:
    svg = draw_sessions(*weekend, by=by)
    ((_, d),) = shapes(svg, "meet")
    at = bars(svg)
    assert at[after][0][3] < box_of(d)[1]
    assert all(box[1] > box_of(d)[1] for n, (box, *_) in at.items() if int(n) > int(after))


def test_the_twin_tells_every_step(weekend: tuple[WorkList, Plan, Chain]) -> None:
    told = draw_sessions_words(*weekend, by=MONDAY + timedelta(days=2))
    assert "  2 D 10:00-12:00 (2 h) Do glue; binds the finish" in told
    assert "      waits for the door" in told
    assert "  5 O 14:00-14:30 (30 min, 2 pairs of hands) Take boot off" in told
    assert "  7 Q 15:00-15:05 (5 min) Do look" in told
    assert "to be finished by Wed 6 May 2026" in told
    assert told.index("to be finished by Wed 6 May 2026") < told.index("Sat 9 May 2026, 13:00-17:00, 2 pairs of hands")
    assert sum(line.startswith("  ") and line.strip()[0].isdigit() for line in told) == 8 + 1  # and the wait


@pytest.mark.parametrize("wide", [180.0, 277.0])
def test_small_and_large_plans_are_in_order(weekend: tuple[WorkList, Plan, Chain], wide: float) -> None:
    assert faults(draw_sessions(*weekend, by=MONDAY, wide_mm=wide)) == []
    work, plan = long_job(133, HOSTILE)
    svg = draw_sessions(work, plan, wide_mm=wide)
    assert faults(svg) == []
    assert len(bars(svg)) == 399


@pytest.mark.parametrize("minutes", [1, 3])
def test_a_crowded_session_has_numbers_for_all(minutes: int) -> None:
    many = 120
    work = work_of([], [task(f"t{n}") for n in range(many)])
    svg = draw_sessions(work, in_a_row([session(0, 8, 18)], [f"t{n}" for n in range(many)], minutes))
    assert faults(svg) == []
    covered: set[int] = set()
    for word in (w.text for w in labels(svg)):
        ends = [e.removesuffix("D") for e in word.split("-")]
        if all(e.isdigit() for e in ends) and word.endswith("D"):
            covered |= set(range(int(ends[0]), int(ends[-1]) + 1))
    assert covered == set(range(1, many + 1))


def test_nothing_planned_is_said() -> None:
    svg = draw_sessions(work_of(), plan_of([], []))
    assert "Nothing is planned." in [w.text for w in labels(svg)]
    assert faults(svg) == []
    assert "nothing is planned" in draw_sessions_words(work_of(), plan_of([], []))


def test_the_same_twice(weekend: tuple[WorkList, Plan, Chain]) -> None:
    assert draw_sessions(*weekend) == draw_sessions(*weekend)


def test_every_hour_is_named_where_there_is_room() -> None:
    """A page's width has 9.7 mm for each of 13 hours, and the longest name takes 8.6 mm."""
    long_day = [session(0, 9, 22)]
    svg = draw_sessions(work_of([], [task("t")]), in_a_row(long_day, ["t"]), wide_mm=180.0)
    assert faults(svg) == []
    assert {w.text for w in labels(svg)} >= {f"{hour}:00" for hour in range(9, 23)}
