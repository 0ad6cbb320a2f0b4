"""The doubt of a sum against all corners of its sizes, tried one by one."""

import itertools
import math
import random

import pytest

from planner.model.figures import Figure
from planner.sums.doubtful import Known, Sum, Values, spread


def corners(work: Sum, known: Known, needs: tuple[str, ...]) -> tuple[float, float]:
    values = known.values()
    found = [
        work({**values, **{n: values[n] + s * known.figures[n].doubt for n, s in zip(needs, signs, strict=True)}})
        for signs in itertools.product((-1, 1), repeat=len(needs))
    ]
    return min(found), max(found)


def test_a_sum_of_terms_is_met_exactly() -> None:
    known = Known(figures={"a": Figure(5, 1), "b": Figure(2, 0.5), "c": Figure(9, 0)})

    def work(v: Values) -> float:
        return 3 * v["a"] - v["b"] ** 2 + v["c"]

    told, least, most = spread(work, known, ("a", "b", "c"))
    assert told == 20
    assert (least, most) == pytest.approx(corners(work, known, ("a", "b", "c")))


def test_small_doubts_are_met_closely() -> None:
    rng = random.Random(5)
    for _ in range(50):
        known = Known(figures={n: Figure(rng.uniform(50, 400), rng.uniform(0, 0.5)) for n in "abcd"})

        def work(v: Values) -> float:
            return v["a"] * v["b"] / v["c"] + math.hypot(v["b"], v["d"])

        told, least, most = spread(work, known, tuple("abcd"))
        low, high = corners(work, known, tuple("abcd"))
        assert (least, most) == pytest.approx((low, high), abs=0.02 * (high - low))
        assert least <= told <= most


def test_an_end_without_an_answer_leaves_that_side_open() -> None:
    known = Known(figures={"a": Figure(1.0, 2.0)})
    _, least, most = spread(lambda v: math.sqrt(v["a"]), known, ("a",))
    assert (least, most) == (-math.inf, math.inf)
