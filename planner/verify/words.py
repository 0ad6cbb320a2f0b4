"""How the checker names slots and moments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from planner.model.plan import Slot
from planner.verify.replay import step_words

Numbered = Sequence[tuple[int, Slot]]
"""Slots with their numbers from 1, in the order of time."""


def named(number: int, slot: Slot) -> str:
    """Name a slot by its number and what is done in it."""
    return f"slot {number}, {step_words(slot.step)}"


def clock(moment: datetime) -> str:
    """Give a moment as day and time."""
    return f"{moment:%d %b %H:%M}"
