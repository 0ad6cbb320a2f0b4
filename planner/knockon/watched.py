"""Which of the owner's own tasks bring heat or sparks to the vehicle by their own word."""

from __future__ import annotations

from planner.model.catalog import Catalog, CheckpointRule, When
from planner.model.job import OwnTask


def watch_rules(catalog: Catalog) -> tuple[CheckpointRule, ...]:
    """The checks that any heat or sparks on the vehicle call for."""
    return tuple(r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers))


def watch_states(catalog: Catalog) -> tuple[str, ...]:
    """The conditions in which somebody watches for fire."""
    named = dict.fromkeys(c for rule in watch_rules(catalog) for c in rule.conditions)
    return tuple(c for c in named if c in catalog.conditions)


def is_watched(task: OwnTask, catalog: Catalog) -> bool:
    """Whether an own task that is no mending asks for somebody who watches for fire: it is hot on the vehicle."""
    return task.mending is None and bool({*task.conditions} & {*watch_states(catalog)})
