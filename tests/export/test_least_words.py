"""How near the strip-down is to the least is told in the sum that was proved, which holds the owner's own prices."""

from __future__ import annotations

from dataclasses import replace

from planner.export.plan_words import least_words
from planner.model.effects import Proof
from planner.model.plan import Strip

PRICED = Strip(proof=Proof.FOUND, steps=(), cost=2715, bound=2650, dislike=120)


def test_the_least_is_not_told_as_more_than_what_was_found() -> None:
    """2715 - 120 = 2595 min are worked, less than the 2650 of the proved sum: both are told in that sum."""
    assert least_words(PRICED) == "best found: 45 h 15 min, your own prices on it included, 44 h 10 min at least"


def test_without_prices_the_least_stands_alone() -> None:
    plain = replace(PRICED, cost=2715, dislike=0)
    assert least_words(plain) == "best found, 44 h 10 min at least"
    assert least_words(replace(plain, proof=Proof.PROVED)) == "proved the least there is"


def test_what_is_proved_with_prices_says_so() -> None:
    assert least_words(replace(PRICED, proof=Proof.PROVED, bound=2715)).endswith("your own prices on it included")
