"""Checkpoints that are answered with yes or no: yes is always the good answer."""

from __future__ import annotations

import re

import pytest
from cli.shed import catalog

from planner.model.catalog import CheckpointRule

ASKED = [r for r in catalog().rules.values() if r.low is None and r.high is None]
DENIES = re.compile(r"\b(?:no|not|cannot|never|nothing|none|nobody|nowhere)\b")


@pytest.mark.parametrize("rule", ASKED, ids=lambda r: r.id)
def test_a_limit_without_numbers_says_what_is_good(rule: CheckpointRule) -> None:
    """To "cannot be turned (yes or no)" each owner gives another answer."""
    assert not DENIES.search(rule.limit), rule.limit
