"""Bags of bolts: a part's bag carries the number of the step that took it off, and goes back with the part."""

from __future__ import annotations

from collections.abc import Mapping

from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key
from planner.model.work import Feature

_STATE = ":"
"""In the id of every feature that is no part in a place."""


def bag_of(agreed: Agreed, standing: Standing, key: str) -> str:
    """What to say about the bag at a step; empty where no bag is filled or wanted."""
    step = step_of_key(key)
    feature = agreed.work.features.get(step.ref)
    if step.on is None or feature is None or not feature.subject or _STATE in step.ref:
        return ""
    if not step.on:
        return f"bag and label: {agreed.named[key]} {feature.subject}" if key in agreed.named else ""
    bag = _filled(agreed.work.features, agreed.named, standing).get(feature.subject)
    where = standing.kept.get(feature.subject) or standing.kept.get(str(bag) if bag is not None else "")
    told = f"bolts: bag {bag} {feature.subject}" if bag is not None else ""
    return f"{told}, put away: {where}" if told and where else told


def bags_waiting(features: Mapping[str, Feature], named: Mapping[str, int], standing: Standing) -> dict[str, int]:
    """Number of the bag of each part that is in no home now.

    Parameters
    ----------
    features : mapping of id to Feature
        Of the whole work list.
    named : mapping of step key to int
        The numbers that steps go by.
    """
    there = {f.subject for f in features.values() if _STATE not in f.id and standing.states.get(f.id, f.start)}
    return {part: bag for part, bag in _filled(features, named, standing).items() if part not in there}


def _filled(features: Mapping[str, Feature], named: Mapping[str, int], standing: Standing) -> dict[str, int]:
    """Number of the bag each part's bolts are in: of the step that took it off last, out of whichever home."""
    last: dict[str, int] = {}
    for key, _ in sorted(standing.done.items(), key=lambda one: one[1].n):
        step = step_of_key(key)
        if step.on is False and key in named and _STATE not in step.ref and step.ref in features:
            last[features[step.ref].subject] = named[key]
    return {subject: bag for subject, bag in last.items() if subject}
