"""What belongs together is set once: the brake of a wheel, however many of its parts were disturbed."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from planner.model.catalog import When
from planner.model.vehicle import Component
from planner.model.work import Task
from planner.work.bodies import Ground
from planner.work.tasks import TaskBook, setting_id


def set_once(ground: Ground, book: TaskBook) -> None:
    """Make one of the settings of parts that carry or touch each other, where the catalog says so.

    Whatever waits for work on any of these parts waits for it, disturbed or not: a circuit is bled after the shoes are
    set, and a drum is no member of it.
    """
    for template in ground.catalog.templates.values():
        if not template.once or template.trigger.when is not When.DISTURBED:
            continue
        for parts in _together(ground.knockons.after, frozenset(template.trigger.of)):
            for number in range(1, len(template.steps) + 1):
                _make_one(ground, book, parts, number)


def _together(after: dict[str, Component], kinds: frozenset[str]) -> list[list[str]]:
    """Parts of some kinds, those that carry or touch each other together; what is in a circuit first."""
    those = {i: p for i, p in after.items() if p.kind in kinds}
    tied: nx.Graph[str] = nx.Graph()
    tied.add_nodes_from(those)
    for i, part in those.items():
        tied.add_edges_from((i, other) for other in (part.mounted_on, *part.touches) if other in those)
    groups = nx.connected_components(tied)
    return sorted(sorted(group, key=lambda i: (not those[i].systems, i)) for group in groups)


def _make_one(ground: Ground, book: TaskBook, parts: list[str], number: int) -> None:
    found = {part: setting_id(part, number) for part in parts if setting_id(part, number) in book.tasks}
    if not found:
        return
    first, *others = found
    kept = _joined(ground, list(found), [book.tasks[i] for i in found.values()])
    gone = {found[part] for part in others}
    for part in others:
        book.tasks.pop(found[part])
    book.tasks = {i: _instead(t, gone, kept.id) for i, t in book.tasks.items()}
    book.tasks[found[first]] = kept
    for part in parts:
        book.of_subject[part] = [t for t in book.of_subject[part] if t not in {*gone, kept.id}] + [kept.id]


def _joined(ground: Ground, parts: list[str], tasks: list[Task]) -> Task:
    kept = tasks[0]
    named = " and ".join(ground.name(part) for part in parts)
    return replace(
        kept,
        title=kept.title.replace(ground.name(parts[0]), named, 1),
        demands=tuple(dict.fromkeys(d for task in tasks for d in task.demands)),
        after=tuple(dict.fromkeys(a for task in tasks for a in task.after)),
        why="; ".join(dict.fromkeys(task.why for task in tasks)),
    )


def _instead(task: Task, gone: set[str], kept: str) -> Task:
    """A task that waits for the setting that is made instead of others."""
    if not any(entry.task in gone for entry in task.after):
        return task
    after = (replace(entry, task=kept) if entry.task in gone else entry for entry in task.after)
    return replace(task, after=tuple(dict.fromkeys(after)))
