"""What the owner would rather leave in, not enter or not open: a price on the toggles that do it."""

from __future__ import annotations

from dataclasses import replace

from planner.model.work import Feature, Toggle
from planner.work.bodies import Ground


def left_in(ground: Ground, features: dict[str, Feature]) -> dict[str, Feature]:
    """Put the owner's dislike on the toggles that take a body off, open a circuit, or enter a condition.

    A part or link counts in each of its homes. ``None`` means never.
    """
    wishes = ground.job.leave_in
    return {i: _disliked(ground, f, wishes[f.subject]) if f.subject in wishes else f for i, f in features.items()}


def _disliked(ground: Ground, feature: Feature, dislike_min: int | None) -> Feature:
    def priced(toggle: Toggle | None) -> Toggle | None:
        return None if toggle is None else replace(toggle, dislike_min=dislike_min)

    if feature.subject in ground.catalog.conditions:
        return replace(feature, turn_on=priced(feature.turn_on))
    return replace(feature, turn_off=priced(feature.turn_off))
