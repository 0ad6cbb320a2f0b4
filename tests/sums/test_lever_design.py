"""Inverse design against an independent global search: SciPy's differential evolution on the single-lever functions."""

import math

import numpy as np
import pytest

from planner.sums.lever import Lever, LeverError, state_at, summary
from planner.sums.lever_design import SCALES, Band, DesignError, Problem, Range, asked_of, designed

PEDAL = Lever(
    pivot_mm=(905, 650),
    clevis_mm=(911, 572),
    pad_mm=(961, 271),
    mouth_mm=(801, 572),
    push_deg=180,
    rod_mm=110,
    travel_deg=-16,
)


def random_problem(seed: int) -> Problem:
    """A pedal of random place with two to four unknown sizes and bands round what some layout of it gives."""
    dice = np.random.default_rng(seed)
    ranges = [
        Range(name="clevis_arm_mm", low=45, high=110, step=0.5),
        Range(name="clevis_deg", low=-120, high=-70, step=0.5),
        Range(name="mouth_x_mm", low=760, high=830, step=1),
        Range(name="pivot_z_mm", low=600, high=700, step=1),
        Range(name="travel_deg", low=-25, high=-10, step=0.5),
        Range(name="mouth_z_mm", low=540, high=610, step=1),
    ]
    free = [ranges[n] for n in dice.permutation(len(ranges))[: dice.integers(2, 5)]]
    middle = dice.uniform(4.0, 6.5)
    wanted = [
        Band(figure="ratio_mean", low=middle - 0.4, high=middle + 0.4),
        Band(figure="stroke_mm", low=dice.uniform(15, 22), high=dice.uniform(26, 34)),
        Band(figure="rod_most_deg", high=dice.uniform(3, 9)),
        Band(figure="pad_arc_mm", low=80, high=dice.uniform(110, 160)),
    ]
    return asked_of(PEDAL, free, wanted[: dice.integers(2, 5)])


def room_alone(problem: Problem, values: list[float]) -> float:
    """Room of one layout through the single-lever functions only."""
    size = {**problem.fixed, **dict(zip((r.name for r in problem.free), values, strict=True))}

    def polar(arm: str, deg: str) -> tuple[float, float]:
        a = math.radians(size[deg])
        return size["pivot_x_mm"] + size[arm] * math.cos(a), size["pivot_z_mm"] + size[arm] * math.sin(a)

    clevis, seat = polar("clevis_arm_mm", "clevis_deg"), (size["mouth_x_mm"], size["mouth_z_mm"])
    lever = Lever(
        pivot_mm=(size["pivot_x_mm"], size["pivot_z_mm"]),
        clevis_mm=clevis,
        pad_mm=polar("pad_arm_mm", "pad_deg"),
        mouth_mm=seat,
        push_deg=size["push_deg"],
        rod_mm=math.hypot(math.dist(clevis, seat), size["beside_mm"]),
        travel_deg=size["travel_deg"],
        beside_mm=size["beside_mm"],
    )
    try:
        found = summary(lever)
        if min(state_at(lever, 0).ratio, state_at(lever, lever.travel_deg).ratio) <= 0 or found.stroke_mm <= 0:
            return -1e3
    except LeverError:
        return -1e3
    rooms = [
        min(getattr(found, b.figure) - b.low, b.high - getattr(found, b.figure)) / SCALES[b.figure]
        for b in problem.wanted
    ]
    return min(rooms)


def beaten_by(problem: Problem, seed: int, rounds: int) -> float:
    """Room found by differential evolution less the room of our best; above nothing when it did better."""
    optimize = pytest.importorskip("scipy.optimize")
    ours = designed(problem).best
    assert room_alone(problem, list(ours.sizes.values())) == pytest.approx(ours.room, abs=1e-6)
    theirs = optimize.differential_evolution(
        lambda x: -room_alone(problem, list(x)),
        [(r.low, r.high) for r in problem.free],
        seed=seed,
        maxiter=rounds,
        tol=1e-10,
        polish=False,
    )
    return -theirs.fun - ours.room


@pytest.mark.parametrize("seed", range(4))
def test_no_better_layout_is_found_by_another_search(seed: int) -> None:
    assert beaten_by(random_problem(seed), seed, 60) < 2e-3


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 150))
def test_no_better_layout_on_fifty_problems(seed: int) -> None:
    assert beaten_by(random_problem(seed), seed, 300) < 2e-3


def test_the_marked_layout_can_be_marked_out_and_costs_little() -> None:
    problem = random_problem(1)
    found = designed(problem)
    for r in problem.free:
        steps = found.marked.sizes[r.name] / r.step
        assert abs(steps - round(steps)) < 1e-9
    assert found.marked.room <= found.best.room + 1e-9
    assert found.marked.room > found.best.room - 2 * sum(found.drilling.values())


def test_what_binds_is_what_stops_the_room_from_growing() -> None:
    """Widening a band that does not bind gains nothing; widening all that bind gains."""
    problem = asked_of(
        PEDAL,
        [Range(name="clevis_arm_mm", low=50, high=110, step=0.5)],
        [Band(figure="ratio_mean", low=4, high=5.5), Band(figure="stroke_mm", low=24, high=60)],
    )
    found = designed(problem)
    bound = {b.figure for b in found.best.binding}
    assert bound
    free = Problem(
        fixed=problem.fixed,
        free=problem.free,
        wanted=tuple(
            Band(figure=b.figure, low=b.low - 1, high=b.high + 1) if b.figure in bound else b for b in problem.wanted
        ),
    )
    assert designed(free).best.room > found.best.room + 0.1


def test_two_holes_worth_drilling_both_do_what_is_wanted() -> None:
    problem = asked_of(
        PEDAL,
        [Range(name="clevis_arm_mm", low=50, high=110, step=1)],
        [Band(figure="ratio_mean", low=3.8, high=6.2), Band(figure="stroke_mm", low=15)],
    )
    longer, shorter = designed(problem).holes
    assert longer.sizes["clevis_arm_mm"] - shorter.sizes["clevis_arm_mm"] >= 14
    assert shorter.figures["ratio_mean"] > longer.figures["ratio_mean"]
    assert min(longer.room, shorter.room) >= 0


def test_no_layout_is_said_by_a_room_below_nothing() -> None:
    problem = asked_of(
        PEDAL,
        [Range(name="clevis_arm_mm", low=50, high=60, step=1)],
        [Band(figure="ratio_mean", low=2, high=3)],
    )
    found = designed(problem)
    assert found.best.room < 0
    assert found.share == 0
    assert found.best.binding[0].side == "most"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"wanted": ()}, "nothing is wanted"),
        ({"free": (Range(name="pad_arm_mm", low=5, high=1, step=1),)}, "runs from"),
        ({"wanted": (Band(figure="colour", low=1, high=2),)}, "no size or figure"),
        ({"free": ()}, "told 0 times"),
    ],
)
def test_a_question_that_cannot_be_asked(change: dict, words: str) -> None:
    problem = asked_of(
        PEDAL, [Range(name="pad_arm_mm", low=300, high=400, step=1)], [Band(figure="stroke_mm", low=10, high=20)]
    )
    values = {"fixed": problem.fixed, "free": problem.free, "wanted": problem.wanted, **change}
    with pytest.raises(DesignError, match=words):
        designed(Problem(**values))
