"""Why there is no plan: a set of wishes that cannot hold together, with none to spare.

A work list is taken apart into wishes: each demand and each wait of a task, each demand, choice of ways and
wait of a toggle, each goal, each toggle its owner never wants made. Without any wish there is always a plan. With
the test "is there a plan under these wishes only" (exact, see strip_hunt), halving finds a subset that is impossible
while every smaller part of it is possible:

    core(B, C) = C                              when C is a single wish
    core(B, C1 + C2) = core(B + D2, C1) + D2    with D2 = core(B + C1, C2),  and nothing from C once B is
    impossible

Source: U. Junker, QUICKXPLAIN: preferred explanations and relaxations for over-constrained problems, AAAI 2004
(value from memory). A test that ran out of time counts as possible, so the set stays impossible but may then
hold a wish too many.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from planner.model.work import Demand, Feature, Task, Toggle, WorkList
from planner.order.strip_hunt import can_be_done
from planner.order.strip_problem import movable, prepared, toggle_number, with_gates

CANNOT = "these cannot all hold; leave out any one of them and there is an order:"
TEST_S = 3.0
"""Longest time for one test [s]."""


class Sort(StrEnum):
    """What a wish is about, the most given of them first: of several sets, the later sorts are blamed less."""

    TOGGLE_DEMAND = "toggle demand"
    TOGGLE_WAYS = "toggle ways"
    TOGGLE_AFTER = "toggle after"
    TASK_AFTER = "task after"
    TASK_DEMAND = "task demand"
    GOAL = "goal"
    NEVER = "never"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One thing that is asked. ``owner`` is a task or a feature, ``on`` the direction of its toggle."""

    sort: Sort
    owner: str
    on: bool | None = None
    demand: Demand | None = None
    other: str = ""
    """The task waited for."""


def wishes_of(work: WorkList) -> tuple[Wish, ...]:
    """Everything a work list asks, checkpoints that block tasks included, the most given first."""
    work = with_gates(work)
    found: list[Wish] = []
    for id_, task in work.tasks.items():
        found += [Wish(sort=Sort.TASK_AFTER, owner=id_, other=a.task) for a in task.after]
        found += [Wish(sort=Sort.TASK_DEMAND, owner=id_, demand=d) for d in task.demands]
    for p, feature in work.features.items():
        for toggle in feature.toggles:
            found += [Wish(sort=Sort.TOGGLE_DEMAND, owner=p, on=toggle.on, demand=d) for d in toggle.demands]
            found += [Wish(sort=Sort.TOGGLE_WAYS, owner=p, on=toggle.on)] if toggle.ways else []
            found += [Wish(sort=Sort.TOGGLE_AFTER, owner=p, on=toggle.on, other=t) for t in toggle.after]
            found += [Wish(sort=Sort.NEVER, owner=p, on=toggle.on)] if toggle.dislike_min is None else []
        found += [Wish(sort=Sort.GOAL, owner=p)] if feature.goal is not None else []
    sorts = list(Sort)
    return tuple(sorted(dict.fromkeys(found), key=lambda w: sorts.index(w.sort)))


def only(work: WorkList, wishes: Sequence[Wish]) -> WorkList:
    """Return the work list with no other wishes than these."""
    work, kept = with_gates(work), set(wishes)
    tasks = {id_: _task(t, kept) for id_, t in work.tasks.items()}
    features = {}
    for p, feature in work.features.items():
        on, off = (_toggle(t, kept) if t else None for t in (feature.turn_on, feature.turn_off))
        goal = feature.goal if Wish(sort=Sort.GOAL, owner=p) in kept else None
        features[p] = replace(feature, goal=goal, turn_on=on, turn_off=off)
    return replace(work, tasks=tasks, features=features, checkpoints={})


def _task(task: Task, kept: set[Wish]) -> Task:
    return replace(
        task,
        after=tuple(a for a in task.after if Wish(sort=Sort.TASK_AFTER, owner=task.id, other=a.task) in kept),
        demands=tuple(d for d in task.demands if Wish(sort=Sort.TASK_DEMAND, owner=task.id, demand=d) in kept),
    )


def _toggle(toggle: Toggle, kept: set[Wish]) -> Toggle:
    p, on = toggle.feature, toggle.on
    return replace(
        toggle,
        demands=tuple(d for d in toggle.demands if Wish(sort=Sort.TOGGLE_DEMAND, owner=p, on=on, demand=d) in kept),
        ways=toggle.ways if Wish(sort=Sort.TOGGLE_WAYS, owner=p, on=on) in kept else (),
        after=tuple(t for t in toggle.after if Wish(sort=Sort.TOGGLE_AFTER, owner=p, on=on, other=t) in kept),
        dislike_min=None if Wish(sort=Sort.NEVER, owner=p, on=on) in kept else toggle.dislike_min or 0,
    )


def trouble_of(work: WorkList) -> tuple[Wish, ...]:
    """Find wishes that cannot hold together; leave out any one of them and the others can."""
    work = next((part for part in _alone(work) if not can_be_done(prepared(part), TEST_S)), work)

    def possible(wishes: Sequence[Wish]) -> bool:
        return can_be_done(prepared(only(work, wishes)), TEST_S)

    def core(given: list[Wish], doubtful: list[Wish], *, grown: bool) -> list[Wish]:
        if grown and not possible(given):
            return []
        if len(doubtful) == 1:
            return doubtful
        first, second = doubtful[: len(doubtful) // 2], doubtful[len(doubtful) // 2 :]
        of_second = core(given + first, second, grown=True)
        return core(given + of_second, first, grown=bool(of_second)) + of_second

    wishes = list(wishes_of(work))
    return tuple(core([], wishes, grown=False)) if wishes else ()


def _alone(work: WorkList) -> list[WorkList]:
    """What each task or goal asks by itself, with the demands of the toggles; those that touch least come first.

    One that is impossible by itself makes for a shorter reason than the whole work list.
    """
    given = {Sort.TOGGLE_DEMAND, Sort.TOGGLE_WAYS, Sort.NEVER}
    base = only(work, [w for w in wishes_of(work) if w.sort in given])
    parts = [replace(base, tasks={t.id: replace(t, after=())}) for t in work.tasks.values()]
    for p, feature in work.features.items():
        if feature.goal is not None:
            features = base.features | {p: replace(base.features[p], goal=feature.goal)}
            parts.append(replace(base, tasks={}, features=features))
    return sorted(parts, key=lambda part: len(movable(part)))


def trouble_words(work: WorkList) -> tuple[str, ...]:
    """Say the wishes that cannot hold together, one line each."""
    lines = [_words(with_gates(work), wish) for wish in trouble_of(work)]
    return (CANNOT, *lines)


def _words(work: WorkList, wish: Wish) -> str:
    """Say one wish."""
    if wish.sort is Sort.GOAL:
        feature = work.features[wish.owner]
        return f"`{feature.name}` must be {_state(feature.goal is True)} at the end" + _stuck(
            feature, on=bool(feature.goal)
        )
    if wish.on is None:
        name = f"`{work.tasks[wish.owner].title}`"
    else:
        toggle = _of(work.features[wish.owner], on=wish.on)
        name = f"`{toggle.title}`"
        if wish.sort is Sort.NEVER:
            return f"{name} is never to be done, as you wish"
        if wish.sort is Sort.TOGGLE_WAYS:
            ways = [" and ".join(_asks(work, d) for d in way) for way in toggle.ways]
            return f"{name} needs one of: " + "; or ".join(ways)
    if wish.demand is not None:
        feature = work.features[wish.demand.feature]
        return f"{name} needs {_asks(work, wish.demand)}" + _stuck(feature, on=wish.demand.on)
    return f"{name} comes after `{work.tasks[wish.other].title}`"


def _of(feature: Feature, *, on: bool) -> Toggle:
    toggle = feature.toggle(on=on)
    if toggle is None:
        raise ValueError(f"`{feature.id}` has no such toggle")
    return toggle


def _asks(work: WorkList, demand: Demand) -> str:
    again = ", not to be changed again" if demand.last else ""
    return f"`{work.features[demand.feature].name}` {_state(demand.on)}{again}"


def _state(on: bool) -> str:  # noqa: FBT001 - it is the state itself
    return "on" if on else "off"


def _stuck(feature: Feature, *, on: bool) -> str:
    """Add that there is no way into the state asked for, when the feature does not start in it."""
    if on == feature.start or toggle_number(feature, 1) is not None:
        return ""
    return f" (it is {_state(feature.start)} and there is no way to change that)"
