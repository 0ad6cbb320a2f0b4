"""Wherever a checkpoint without numbers is asked, it is said that yes is the answer that passes."""

from __future__ import annotations

import pytest

from planner.cli.show_next import check_words
from planner.log.signing import ReadingError, read
from planner.model.work import Checkpoint


def asked(low: float | None = None, unit: str = "", limit: str = "turns freely") -> Checkpoint:
    return Checkpoint(
        id="free",
        rule="free",
        subject="",
        title="Free",
        measure="Turn it by hand",
        limit=limit,
        unit=unit,
        low=low,
        high=None,
        blocks=(),
        blocked=(),
        why="",
        source="value from memory",
        caution="",
        also=(),
    )


def test_the_next_step_says_which_answer_passes() -> None:
    assert "Limit: turns freely (yes: it is so, and passes; no: it is not)." in check_words(asked())
    assert "yes" not in check_words(asked(low=5.0, unit="mm", limit="at least 5 mm"))


@pytest.mark.parametrize("text", ["12", "mostly"])
def test_what_is_no_answer_is_told_what_yes_means(text: str) -> None:
    with pytest.raises(ReadingError, match=r"yes (if|\(it is so\))"):
        read(asked(), text)
