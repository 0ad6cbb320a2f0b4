"""Bags of bolts: a part's bag carries the number of the step that took it off, and goes back with the part."""

from __future__ import annotations

from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key


def bag_of(agreed: Agreed, standing: Standing, key: str) -> str:
    """What to say about the bag at a step; empty where no bag is filled or wanted."""
    step = step_of_key(key)
    feature = agreed.work.features.get(step.ref)
    if step.on is None or feature is None or not feature.subject or ":" in step.ref:
        return ""
    if not step.on:
        return f"bag and label: {agreed.named[key]} {feature.subject}" if key in agreed.named else ""
    bag = bag_number(agreed, standing, feature.subject)
    where = standing.kept.get(feature.subject) or standing.kept.get(str(bag) if bag is not None else "")
    told = f"bolts: bag {bag} {feature.subject}" if bag is not None else ""
    return f"{told}, put away: {where}" if told and where else told


def bag_number(agreed: Agreed, standing: Standing, subject: str) -> int | None:
    """Number of the bag a part's bolts are in: of the step that took it off last, out of whichever home."""
    features = agreed.work.features
    off = [
        (line.n, agreed.named[key])
        for key, line in standing.done.items()
        if (step := step_of_key(key)).on is False
        and key in agreed.named
        and ":" not in step.ref
        and step.ref in features
        and features[step.ref].subject == subject
    ]
    return max(off)[1] if off else None
