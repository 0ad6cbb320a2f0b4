"""Chances of the dates against textbook formulas, numeric integrals and published networks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, time, timedelta

import numpy as np
import pytest
from packed_side_by_side import SATURDAY, side_by_side
from test_pack import catalog, job, on
from worklists import feature, task, work_list

from planner.model.job import Job, Repeating
from planner.model.plan import Odds
from planner.model.work import Again, Buy, Spread, Task, WorkList
from planner.order.calendar import calendar_of
from planner.order.chance import COSTED, TRIED, odds
from planner.order.chance_draw import draw_fails, draw_minutes, grained
from planner.order.chance_model import Act, Course, Fail, Times, course_of
from planner.order.chance_run import simulate

RUNS = 40_000
ERRORS = 4.0
"""Standard errors that a simulated mean may be off: one case in 16,000 is further off by chance."""


def times(low: float, likely: float, high: float) -> Times:
    return Times(ref="t", title="t", low=low, likely=likely, high=high, guessed=False)


def pert(low: float, likely: float, high: float) -> tuple[float, float]:
    """Mean and variance of the beta of three-point estimates (module docstring of `chance_draw`)."""
    mean = (low + 4 * likely + high) / 6
    return mean, (mean - low) * (high - mean) / 7


def three(id_: str, low: int, likely: int, high: int, **more: object) -> Task:
    return replace(task(id_, likely, **more), spread=Spread(low_min=low, high_min=high))  # type: ignore[arg-type]


def long_day(hands: int = 1, days: int = 1) -> Job:
    sessions = [on(SATURDAY + timedelta(days=n), 0, 23, hands=hands) for n in range(days)]
    return job(*sessions, setup_min=0)


def asked(work: WorkList, what: Job, **more: int) -> Odds:
    plan = side_by_side(work, what)
    assert plan is not None
    return odds(work, plan, what, catalog(), today=SATURDAY, **more)


def finishes(work: WorkList, what: Job, runs: int = RUNS, seed: int = 7) -> np.ndarray:
    plan = side_by_side(work, what)
    assert plan is not None
    course = course_of(work, plan, calendar_of(what, catalog(), SATURDAY))
    dice = np.random.default_rng(seed)
    minutes = draw_minutes(course.times, runs, dice)
    return simulate(course, minutes, draw_fails(course.fails, runs, dice)).finish


def near(sample: np.ndarray, mean: float, variance: float | None = None) -> bool:
    """Whether the mean, and the variance when given, are within the standard errors of the sample."""
    n = len(sample)
    fits = abs(sample.mean() - mean) <= ERRORS * sample.std() / math.sqrt(n)
    if variance is None:
        return bool(fits)
    fourth = ((sample - sample.mean()) ** 4).mean()
    error = math.sqrt(max(fourth - sample.var() ** 2, 0) / n)
    return bool(fits and abs(sample.var() - variance) <= ERRORS * error)


@pytest.mark.parametrize("points", [(10, 20, 60), (10, 10, 30), (5, 30, 30), (7, 7.5, 8), (0, 40, 100)])
def test_drawn_times_have_mean_and_variance_of_their_three_points(points: tuple[float, float, float]) -> None:
    drawn = draw_minutes([times(*points)], RUNS, np.random.default_rng(3))[0]
    assert near(drawn, *pert(*points))
    assert points[0] <= drawn.min() <= drawn.max() <= points[2]


def test_a_time_that_is_sure_is_drawn_as_it_is() -> None:
    assert set(draw_minutes([times(30, 30, 30)], 50, np.random.default_rng(3))[0]) == {30.0}


def test_steps_in_a_row_add_their_means_and_variances() -> None:
    points = [(10, 20, 60), (30, 45, 50), (5, 5, 90)]
    work = work_list([], [three(f"t{n}", *p, after=[f"t{n - 1}"] if n else []) for n, p in enumerate(points)])
    mean, variance = (sum(v) for v in zip(*(pert(*p) for p in points), strict=True))
    assert near(finishes(work, long_day()), mean, variance)
    # One pair of hands does in a row what might be done side by side.
    loose = work_list([], [three(f"t{n}", *p) for n, p in enumerate(points)])
    assert near(finishes(loose, long_day()), mean, variance)


def beta_cdf(low: float, likely: float, high: float, at: np.ndarray) -> np.ndarray:
    """Distribution function of three-point times, from its density by the trapezium rule."""
    x = np.linspace(0, 1, 20_001)
    alpha, beta = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
    density = x ** (alpha - 1) * (1 - x) ** (beta - 1)
    summed = np.concatenate([[0], np.cumsum((density[1:] + density[:-1]) / 2)])
    return np.interp((at - low) / (high - low), x, summed / summed[-1])


def test_two_side_by_side_end_with_the_longer() -> None:
    one, other = (20, 40, 90), (10, 50, 70)
    work = work_list([], [three("a", *one), three("b", *other)])
    at = np.linspace(0, 100, 200_001)
    both = beta_cdf(*one, at) * beta_cdf(*other, at)
    # E(T) and E(T^2) of a time that is not negative, from 1 - F.
    step = at[1] - at[0]
    mean = float(((1 - both) * step).sum())
    square = float((2 * at * (1 - both) * step).sum())
    found = finishes(work, long_day(hands=2))
    assert near(found, mean, square - mean**2)
    assert abs((found <= 60).mean() - np.interp(60, at, both)) < ERRORS * math.sqrt(0.25 / RUNS)


def course(befores: Iterable[tuple[int, ...]], what: Job) -> Course:
    """One pair of hands for each act, and each in its own row of times."""
    acts = tuple(Act(times=n, hands=1, before=tuple((m, 0) for m in before)) for n, before in enumerate(befores))
    return Course(
        times=tuple(times(1, 1, 1) for _ in acts), acts=acts, fails=(), calendar=calendar_of(what, catalog(), SATURDAY)
    )


@pytest.mark.parametrize(
    ("draw", "mean", "variance"),
    [
        # The largest of two: 2/3 and 1/18 for uniform times, 3/2 and 5/4 for exponential ones (order statistics).
        (lambda dice, shape: 60 * dice.random(shape), 60 * 2 / 3, 60**2 / 18),
        (lambda dice, shape: 30 * dice.exponential(size=shape), 30 * 1.5, 30**2 * 1.25),
    ],
)
def test_the_larger_of_two_by_order_statistics(
    draw: Callable[[np.random.Generator, tuple[int, int]], np.ndarray], mean: float, variance: float
) -> None:
    minutes = grained(draw(np.random.default_rng(11), (2, RUNS)))
    found = simulate(course([(), ()], long_day(hands=2)), minutes, np.zeros((0, RUNS), dtype=np.bool_)).finish
    assert near(found, mean, variance)


def normal_times(points: Iterable[tuple[float, float, float]], runs: int) -> np.ndarray:
    """Times as the textbooks take them: normal, mean (a + 4 m + b) / 6, deviation (b - a) / 6."""
    dice = np.random.default_rng(5)
    return grained(np.array([(a + 4 * m + b) / 6 + (b - a) / 6 * dice.standard_normal(runs) for a, m, b in points]))


def normal_share(z: float) -> float:
    return (1 + math.erf(z / math.sqrt(2))) / 2


ADVERTISING = {
    "A": (5, 6, 7), "B": (8, 8, 11), "C": (6, 8, 11), "D": (9, 12, 15), "E": (5, 6, 9), "F": (5, 6, 7), "G": (2, 3, 7),
    "H": (4, 4, 5), "I": (5, 7, 8),
}  # fmt: skip
ADVERTISING_AFTER = {"C": "A", "E": "C", "F": "D", "G": "F", "H": "B", "I": "H"}
"""Three-path network of an advertising firm (published coursework, coursehero p2vl9tn): A-C-E, D-F-G, B-H-I."""


def test_near_critical_paths_count() -> None:
    """The published answer looks at one path, 0.9686; with all three it is 0.9677."""
    runs = 400_000
    names = list(ADVERTISING)
    befores = [(names.index(ADVERTISING_AFTER[n]),) if n in ADVERTISING_AFTER else () for n in names]
    found = simulate(
        course(befores, long_day(hands=3)),
        normal_times(ADVERTISING.values(), runs),
        np.zeros((0, runs), dtype=np.bool_),
    )
    by_path = {}
    for path in ("ACE", "DFG", "BHI"):
        mean = sum((a + 4 * m + b) / 6 for a, m, b in (ADVERTISING[n] for n in path))
        deviation = math.sqrt(sum(((b - a) / 6) ** 2 for a, _, b in (ADVERTISING[n] for n in path)))
        by_path[path] = normal_share((24 - mean) / deviation)
    assert round(by_path["DFG"], 4) == pytest.approx(0.9686, abs=1e-4)
    assert math.prod(by_path.values()) == pytest.approx(0.9677, abs=1e-4)
    error = ERRORS * math.sqrt(0.9677 * (1 - 0.9677) / runs)
    assert error < 0.0012
    one_path = (found.end_min(names.index("G")) <= 24).mean()
    all_paths = (found.finish <= 24).mean()
    assert one_path == pytest.approx(0.9686, abs=error)
    assert all_paths == pytest.approx(0.9677, abs=error)
    # In the same runs: that another path is late alone is 0.9686 - 0.9677 of them.
    few = by_path["DFG"] - math.prod(by_path.values())
    assert one_path - all_paths == pytest.approx(few, abs=ERRORS * math.sqrt(few / runs))


HOUSE = {
    "A": (1, 2, 3), "B": (2, 3.5, 8), "C": (6, 9, 18), "D": (4, 5.5, 10), "E": (1, 4.5, 5), "F": (4, 4, 10),
    "G": (5, 6.5, 11), "H": (5, 8, 17), "I": (3, 7.5, 9), "J": (3, 9, 9), "K": (4, 4, 4), "L": (1, 5.5, 7),
    "M": (1, 2, 3), "N": (5, 5.5, 9),
}  # fmt: skip
HOUSE_AFTER = {
    "A": "", "B": "A", "C": "B", "D": "C", "E": "C", "F": "E", "G": "D", "H": "EG", "I": "C", "J": "FI", "K": "J",
    "L": "J", "M": "H", "N": "KL",
}  # fmt: skip
"""Reliable Construction of Hillier & Lieberman (PERT/CPM chapter; activity table from memory, results published):
critical A-B-C-E-F-J-L-N, 44 weeks, variance 9, P(T <= 47) = 0.8413 along it."""


def test_reliable_construction_along_its_critical_path_and_in_full() -> None:
    runs = 200_000
    minutes = normal_times(HOUSE.values(), runs)
    names = list(HOUSE)
    nothing = np.zeros((0, runs), dtype=np.bool_)
    full = course([tuple(names.index(p) for p in HOUSE_AFTER[n]) for n in names], long_day(hands=5))
    finish = simulate(full, minutes, nothing).finish
    chain = [names.index(n) for n in "ABCEFJLN"]
    along = minutes[chain].sum(axis=0)
    assert near(along, 44, 9)
    assert (along <= 47).mean() == pytest.approx(0.8413, abs=ERRORS * math.sqrt(0.13 / runs))
    # Every chain by itself, worked out run by run: the largest of the six is the finish.
    chains = ["ABCDGHM", "ABCEHM", "ABCEFJKN", "ABCEFJLN", "ABCIJKN", "ABCIJLN"]
    longest = np.max([minutes[[names.index(n) for n in c]].sum(axis=0) for c in chains], axis=0)
    assert np.array_equal(finish, longest)
    assert (finish <= 47).mean() < 0.8413


def test_time_left_by_a_step_that_must_wait_is_used() -> None:
    """`b` waits for Sunday when `a` leaves less than 100 of the 180 minutes; `c` is done on Saturday all the same."""
    work = work_list([], [three("a", 40, 60, 150), three("b", 100, 100, 100), three("c", 20, 20, 20)])
    what = job(on(SATURDAY, 9, 12), on(SATURDAY + timedelta(days=1), 9, 12), setup_min=0)
    a = draw_minutes([times(40, 60, 150)], RUNS, np.random.default_rng(7))[0]
    sunday = 1440 + 540
    on_saturday = np.where(a <= 60, 540 + a + 120, sunday + 20)
    assert np.array_equal(finishes(work, what), np.where(a <= 80, on_saturday, sunday + 100))
    told = asked(work, what, runs=RUNS)
    assert dict(told.critical) == {"a": 1.0, "b": 1.0, "c": float((a <= 80).mean())}


def test_a_step_longer_than_any_session_goes_on_in_the_next_and_is_told() -> None:
    # 200 min a session; 300 min of work end 100 min into the second one.
    weekly = (Repeating(weekday=5, start=time(9), end=time(12, 20)),)
    work = work_list([], [three("weld", 190, 195, 330)])
    what = job(weekly=weekly, setup_min=0)
    found = finishes(work, what)
    lengths = draw_minutes([times(190, 195, 330)], RUNS, np.random.default_rng(7))[0]
    late = lengths > 200
    assert 0.2 < late.mean() < 0.8
    assert np.array_equal(found[~late], 540 + lengths[~late])
    assert np.array_equal(found[late], 7 * 1440 + 540 + lengths[late] - 200)
    told = asked(work, what, runs=RUNS)
    assert [d for d, _ in told.days] == [SATURDAY, SATURDAY + timedelta(days=7)]
    assert told.days[0][1] == (~late).mean()
    assert any("`weld` took longer than any session" in n and f"{late.mean():.1%}" in n for n in told.notes)


def test_a_step_that_does_not_fit_into_what_is_left_waits_whole() -> None:
    # The second step has 60 min on the first day and 80 on the next.
    work = work_list([], [three("a", 20, 20, 20), three("b", 50, 55, 80, after=["a"])])
    what = job(on(SATURDAY, 9, 10), on(SATURDAY + timedelta(days=1), 9, 11), setup_min=0)
    minutes = draw_minutes([times(20, 20, 20), times(50, 55, 80)], RUNS, np.random.default_rng(7))
    what = replace(what, sessions=(replace(what.sessions[0], end=time(10, 20)), what.sessions[1]))
    found = finishes(work, what)
    fits = minutes[1] <= 60
    assert np.array_equal(found, np.where(fits, 560, 1440 + 540) + minutes[1])


def test_goes_of_a_trial_fit() -> None:
    """With chance p of a fail and three goes at most there are 1 + p + p^2 of them on the mean."""
    p = 0.3
    make = three("make", 40, 40, 40)
    trial = replace(three("trial", 10, 10, 10, after=["make"]), again=Again(chance=p, redo=("make",), most=3))
    paint = three("paint", 25, 25, 25, after=["trial"])
    work = work_list([], [make, trial, paint])
    found = finishes(work, long_day())
    shares = {75: 1 - p, 125: p * (1 - p), 175: p * p}
    assert set(found) == set(shares)
    for minutes, share in shares.items():
        assert (found == minutes).mean() == pytest.approx(share, abs=ERRORS * math.sqrt(share * (1 - share) / RUNS))
    assert near(found, 25 + 50 * (1 + p + p * p))
    told = asked(work, long_day())
    assert any("trial fit fails" in n for n in told.notes)


def test_a_second_go_is_drawn_anew_and_keeps_its_waits() -> None:
    glue = three("glue", 10, 20, 60)
    trial = replace(three("trial", 5, 5, 5, after=[("glue", 90)]), again=Again(chance=1.0, redo=("glue",), most=2))
    found = finishes(work_list([], [glue, trial]), long_day())
    mean, variance = pert(10, 20, 60)
    assert near(found, 2 * (mean + 90 + 5), 2 * variance)


def test_a_trial_that_asks_for_a_task_that_is_not_there() -> None:
    trial = replace(task("trial"), again=Again(chance=0.5, redo=("nothing",)))
    with pytest.raises(ValueError, match="nothing"):
        finishes(work_list([], [trial]), long_day(), runs=10)


def test_parcels_and_waits_go_by_the_wall_clock() -> None:
    kit = Buy(id="kit", what="kit", price=1, lead_days=2, for_part="")
    work = work_list([], [three("fit", 10, 20, 30, purchases=["kit"]), three("paint", 10, 20, 30)], buys=[kit])
    found = finishes(work, long_day(days=4), runs=500)
    assert found.min() >= 2 * 1440 + 10
    assert found.max() <= 2 * 1440 + 30
    cured = work_list([], [three("paint", 10, 20, 30), three("fit", 5, 5, 5, after=[("paint", 1500)])])
    drawn = draw_minutes([times(10, 20, 30)], 500, np.random.default_rng(7))[0]
    assert np.array_equal(finishes(cured, long_day(days=3), runs=500), drawn + 1505)


def test_what_doubt_costs_in_a_row() -> None:
    """In one long row a sure step saves its mean less its most likely time, whatever the others do."""
    points = {"a": (10, 20, 100), "b": (10, 20, 30), "c": (5, 30, 200)}
    told = asked(work_list([], [three(i, *p) for i, p in points.items()]), long_day(), runs=RUNS)
    assert [ref for ref, _ in told.costs][:2] == ["c", "a"]
    for ref, days in told.costs:
        mean, variance = pert(*points[ref])
        assert days * 1440 == pytest.approx(mean - points[ref][1], abs=ERRORS * math.sqrt(variance / COSTED))
    assert dict(told.critical) == {"a": 1.0, "b": 1.0, "c": 1.0}


def test_doubt_off_the_binding_chain_costs_nothing() -> None:
    told = asked(work_list([], [three("long", 500, 500, 600), three("short", 10, 20, 90)]), long_day(hands=2))
    assert [ref for ref, _ in told.costs] == ["long"]
    assert told.critical == (("long", 1.0),)


def test_equal_steps_side_by_side_bind_half_the_time_each() -> None:
    told = asked(work_list([], [three("a", 10, 20, 60), three("b", 10, 20, 60)]), long_day(hands=2), runs=RUNS)
    shares = dict(told.critical)
    assert sum(shares.values()) == pytest.approx(1)
    assert shares["a"] == pytest.approx(0.5, abs=ERRORS * math.sqrt(0.25 / RUNS))


def test_days_are_told_as_the_runs_have_them() -> None:
    """Five mornings: how many are needed follows from the sum of the times alone, for work that may be split."""
    tasks = [replace(three(f"t{n}", 60, 90, 200), splits=True) for n in range(6)]
    what = job(*(on(SATURDAY + timedelta(days=n), 9, 12) for n in range(5)), setup_min=0)
    what = replace(what, finish_by=SATURDAY + timedelta(days=3))
    told = asked(work_list([], tasks), what, runs=5000)
    sums = draw_minutes([times(60, 90, 200)] * 6, 5000, np.random.default_rng(7)).sum(axis=0)
    shares = {SATURDAY + timedelta(days=n): float((sums <= 180 * (n + 1)).mean()) for n in range(5)}
    for day, share in told.days:
        assert share == pytest.approx(shares[day])
    assert told.by == pytest.approx(shares[SATURDAY + timedelta(days=3)])
    assert told.late == pytest.approx(1 - shares[SATURDAY + timedelta(days=4)])
    for percent, day in ((0.5, told.p50), (0.8, told.p80), (0.95, told.p95)):
        assert day == min((d for d, s in shares.items() if s >= percent), default=None)


def test_running_out_of_sessions_is_late() -> None:
    work = work_list([], [three("a", 50, 55, 120)])
    what = replace(job(on(SATURDAY, 9, 10), setup_min=0), finish_by=date(2027, 1, 1))
    told = asked(work, what, runs=4000)
    lengths = draw_minutes([times(50, 55, 120)], 4000, np.random.default_rng(7))[0]
    assert told.late == pytest.approx((lengths > 60).mean())
    assert told.by == pytest.approx(1 - told.late)
    assert told.p95 is None


def test_same_seed_same_answer() -> None:
    work = work_list([feature("seat")], [task("cut", 60, demands=["not seat"])])
    told = asked(work, long_day(), runs=300)
    assert told == asked(work, long_day(), runs=300)
    assert told.costs != asked(work, long_day(), runs=300, seed=8).costs
    assert any("2 of 2 steps" in n and "starting guess" in n for n in told.notes)


def test_how_many_steps_were_tried_is_told() -> None:
    work = work_list([], [three(f"t{n}", 10, 20, 40) for n in range(TRIED + 3)])
    told = asked(work, long_day(), runs=200)
    assert len(told.costs) == TRIED
    assert any(f"{TRIED} of {TRIED + 3} steps" in n for n in told.notes)


def test_a_plan_without_steps_has_no_dates() -> None:
    work = work_list([], [task("a")])
    plan = side_by_side(work, long_day())
    assert plan is not None
    with pytest.raises(ValueError, match="without steps"):
        odds(work, replace(plan, slots=()), long_day(), catalog(), today=SATURDAY)


def test_fails_in_a_row_happen_together() -> None:
    happens = draw_fails([Fail(chance=0.5, after=None), Fail(chance=0.5, after=0)], RUNS, np.random.default_rng(1))
    assert not (happens[1] & ~happens[0]).any()
    assert happens[1].mean() == pytest.approx(0.25, abs=ERRORS * math.sqrt(0.19 / RUNS))
