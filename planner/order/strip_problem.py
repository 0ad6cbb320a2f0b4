"""A work list made ready for the strip-down search: gates as precedence, and only the features that can matter.

A feature that starts in the state everybody asks of it, and may end there, is never touched in a least plan:
leaving its toggles out of any plan keeps every demand true. The features that *can* matter are therefore the
least set M with

    p in M  if  goal(p) is the other state, or a task, or a toggle of a q in M, demands p in the other state.

Everything else stays as it is, and demands on it are true for good.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from planner.model.work import After, Demand, Feature, Toggle, WorkList


def toggle_number(feature: Feature, count: int) -> Toggle | None:
    """Return the ``count``-th toggle of a feature, from 1: odd ones leave the start state, even ones go back."""
    to_on = feature.start == (count % 2 == 0)
    return feature.toggle(on=to_on)


def state_after(feature: Feature, count: int) -> bool:
    """State of a feature after ``count`` toggles."""
    return feature.start == (count % 2 == 0)


def toggle_price(toggle: Toggle) -> int:
    """Effort of one toggle with its owner's own price on it [min x hands]."""
    return toggle.minutes * toggle.hands + (toggle.dislike_min or 0)


def without_banned(work: WorkList) -> WorkList:
    """Leave out the toggles their owner never wants made: they do not exist."""

    def allowed(toggle: Toggle | None) -> Toggle | None:
        return toggle if toggle is not None and toggle.dislike_min is not None else None

    features = {
        p: replace(f, turn_on=allowed(f.turn_on), turn_off=allowed(f.turn_off)) for p, f in work.features.items()
    }
    return replace(work, features=features)


def most_toggles(feature: Feature) -> int | None:
    """How often the feature can change at all: None means as often as you like.

    A missing toggle ends the row; with a goal only a number of the right parity ends in it, so 1 becomes 0 when
    it must end as it starts. A goal that cannot be reached gives -1.
    """
    if toggle_number(feature, 1) is None:
        return 0 if feature.goal in (None, feature.start) else -1
    if toggle_number(feature, 2) is None:
        return 0 if feature.goal == feature.start else 1
    return None


def unknown_references(work: WorkList) -> tuple[str, ...]:
    """References to tasks and features the work list does not hold, in words; such a step could never be done."""
    words = []
    for task in work.tasks.values():
        words += [
            f"`{task.id}` waits for `{a.task}`, which is not in the work list"
            for a in task.after
            if a.task not in work.tasks
        ]
        words += _unknown(task.id, task.demands, work)
    for feature in work.features.values():
        for toggle in feature.toggles:
            words += [
                f"`{toggle.title}` waits for `{t}`, which is not in the work list"
                for t in toggle.after
                if t not in work.tasks
            ]
            words += _unknown(toggle.title, [*toggle.demands, *(d for way in toggle.ways for d in way)], work)
    return tuple(dict.fromkeys(words))


def _unknown(name: str, demands: Iterable[Demand], work: WorkList) -> Iterator[str]:
    for demand in demands:
        if demand.feature not in work.features:
            yield f"`{name}` asks for `{demand.feature}`, which is not in the work list"


def with_gates(work: WorkList) -> WorkList:
    """Turn every checkpoint that is a task into precedence over the tasks it blocks."""
    gates: dict[str, list[str]] = {}
    for task in work.tasks.values():
        point = work.checkpoints.get(task.checkpoint) if task.checkpoint else None
        for blocked in point.blocked if point and not point.each_time else ():
            gates.setdefault(blocked, []).append(task.id)
    tasks = dict(work.tasks)
    for blocked, by in gates.items():
        if blocked in tasks:
            task = tasks[blocked]
            known = {a.task for a in task.after}
            more = tuple(After(task=t) for t in by if t not in known and t != blocked)
            tasks[blocked] = replace(task, after=task.after + more)
    return replace(work, tasks=tasks)


def movable(work: WorkList) -> frozenset[str]:
    """Ids of the features that can matter (the set M of the module's docstring)."""
    found = {f.id for f in work.features.values() if f.goal not in (None, f.start)}
    found |= {d.feature for t in work.tasks.values() for d in t.demands if d.on != work.features[d.feature].start}
    queue = sorted(found)
    while queue:
        for toggle in work.features[queue.pop()].toggles:
            for demand in (*toggle.demands, *(d for way in toggle.ways for d in way)):
                if demand.on != work.features[demand.feature].start and demand.feature not in found:
                    found.add(demand.feature)
                    queue.append(demand.feature)
    return frozenset(found)


def prepared(work: WorkList) -> WorkList:
    """Gates turned into precedence, what is banned or cannot matter left out, one-way alternatives folded in.

    Any plan of the result is a plan of ``work`` and the least costs are equal.
    """
    work = without_banned(with_gates(work))
    kept = movable(work)
    features = {}
    for id_, feature in work.features.items():
        if id_ in kept:
            on, off = (_pruned(t, kept) if t else None for t in (feature.turn_on, feature.turn_off))
            features[id_] = replace(feature, turn_on=on, turn_off=off)
    tasks = {id_: replace(t, demands=_kept(t.demands, kept)) for id_, t in work.tasks.items()}
    return replace(work, features=features, tasks=tasks)


def _kept(demands: tuple[Demand, ...], kept: frozenset[str]) -> tuple[Demand, ...]:
    return tuple(dict.fromkeys(d for d in demands if d.feature in kept))


def _pruned(toggle: Toggle, kept: frozenset[str]) -> Toggle | None:
    """Leave out demands on features that stay; what all ways ask for becomes a plain demand.

    None when what it asks for contradicts itself: it can never be made.
    """
    own = Demand(feature=toggle.feature, on=not toggle.on)
    demands = _kept(toggle.demands, kept)
    ways = [_kept(way, kept) for way in toggle.ways]
    if ways:
        ways = [way for way in ways if not _contradict((own, *demands, *way))]
        if not ways:
            return None
        shared = [d for d in ways[0] if all(d in way for way in ways[1:])]
        demands = tuple(dict.fromkeys((*demands, *shared)))
        ways = [tuple(d for d in way if d not in demands) for way in ways]
    if _contradict((own, *demands)):
        return None
    if any(not way for way in ways):
        ways = []
    return replace(toggle, demands=demands, ways=tuple(dict.fromkeys(ways)))


def _contradict(demands: tuple[Demand, ...]) -> bool:
    """Whether a feature is asked to be in both states at once."""
    return len({(d.feature, d.on) for d in demands}) > len({d.feature for d in demands})
