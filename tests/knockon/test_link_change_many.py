"""The fates of a link for many pairs of ends at a time are those found one at a time."""

import numpy as np
import pytest
from garage import link

from planner.knockon.link_change import change_of, fates_between
from planner.model.shapes import Vec

KINDS: dict[str, dict[str, object]] = {
    "hose": {"slack_mm": 40.0},
    "hose through clips": {"slack_mm": 40.0, "via_mm": ((100.0, 0.0, 0.0), (150.0, 60.0, 0.0))},
    "rod": {"rigid": True, "adjust_mm": 15.0},
    "bent pipe": {"rigid": True, "via_mm": ((100.0, 0.0, 0.0),)},
    "push-rod": {"rigid": True, "adjust_mm": 60.0, "swing_deg": 8.0},
}


@pytest.mark.parametrize("kind", KINDS)
def test_many_are_as_one(kind: str) -> None:
    chance = np.random.default_rng(7)
    one = link("one", "a", "b", **KINDS[kind])
    before: tuple[Vec, Vec] = ((0.0, 0.0, 0.0), (300.0, 40.0, 0.0))
    firsts = np.round(chance.normal(before[0], 30.0, (25, 3)), 1)
    seconds = np.round(chance.normal(before[1], 30.0, (25, 3)), 1)
    firsts[0], seconds[0] = before
    many = fates_between(one, before, firsts, seconds)
    seen = set()
    for i, a in enumerate(firsts.tolist()):
        for j, b in enumerate(seconds.tolist()):
            fate = change_of(one, before, (tuple(a), tuple(b))).fate
            seen.add(fate)
            assert many[i, j] == fate.value
    assert len(seen) >= (2 if kind == "bent pipe" else 3)
