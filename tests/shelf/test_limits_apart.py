"""What a checkpoint's number says, and what is said yes to behind it: each rule as it was read by eye."""

from __future__ import annotations

import re

import pytest
from cli.shed import catalog

from planner.model.catalog import CheckpointRule

COUNTED = [r for r in catalog().rules.values() if r.low is not None or r.high is not None]
ONE_THING = {
    "brake-free-play": "what the play is for",
    "brake-rod-play": "whose figure counts",
    "bulkhead-sealed": "lights and drops are both leaks, which are counted",
    "chain-slack": "one movement",
    "clutch-free-play": "whose figure counts, for a cable and for a cylinder",
    "clutch-rod-play": "one gap has two sides",
    "exhaust-tight": "what does instead of the distance",
    "fuel-leak": "both are joints that weep, which are counted",
    "fuel-pressed": "both are joints that weep, which are counted",
    "hub-play": "whose figure counts",
    "nothing-loose": "each is a thing left over, which are counted",
    "stands-rock": "each is a movement, which is read",
    "weld-look": "each is a faulty weld, which is read",
}
"""Limits with more than one clause that one number says all of, and why it does."""
SEVERAL = re.compile(r"[,;]| and | but | so that | or (?:what|as) ")


@pytest.mark.parametrize("rule", COUNTED, ids=lambda r: r.id)
def test_a_limit_with_a_number_is_one_thing_and_each_other_is_in_its_list(rule: CheckpointRule) -> None:
    """Who reads 4 mm has not said that the pedal is never spongy."""
    assert not SEVERAL.search(rule.limit) or rule.id in ONE_THING, rule.limit
    assert not any(re.search(r";| and (?:no|never|it)\b", thing) for thing in rule.also)


def test_nothing_is_excused_that_needs_no_excuse() -> None:
    assert {r.id for r in COUNTED if SEVERAL.search(r.limit)} == ONE_THING.keys()
    free_play = catalog().rules["clutch-free-play"]
    assert free_play.also == (), "10 to 25 mm says all of it: no yes is asked for behind it"
