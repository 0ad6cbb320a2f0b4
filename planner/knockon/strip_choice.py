"""The cheapest set of parts that must come off once, seen without any order of work.

The plan proper (order/) decides how often and when; this is what `moves` can say before there is a plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ortools.sat.python import cp_model

from planner.knockon.access import riders_of
from planner.knockon.scene import Item
from planner.knockon.solving import one_thread
from planner.model.effects import Access, Way


def cheapest_off(
    wanted: Iterable[str],
    access: dict[str, Access],
    items: dict[str, Item],
    leave_in: Mapping[str, int | None] | None = None,
) -> tuple[frozenset[str], dict[str, Way]]:
    """Present bodies that must come off so that all wanted ones can come out or go in.

    Minimises the hand-minutes of the bodies that are not wanted for themselves, with what the owner would rather work
    than undo a part or link (``leave_in``, None: never); a body is undone after everything in its way and every rider,
    so the answer holds no ring.

    Returns
    -------
    frozenset of str, dict of str to Way
        The present bodies that come off (wanted ones included), and the way chosen for each body that has to pass.
        A body without any way is left out of the second.
    """
    wanted = sorted(set(wanted) & set(access))
    model = cp_model.CpModel()
    off = {b: model.new_bool_var(b) for b in access}
    rank = {b: model.new_int_var(0, len(access), f"rank {b}") for b in access}
    taken: dict[tuple[str, int], cp_model.IntVar] = {}
    for body in wanted:
        model.add(off[body] == 1)
    for body, needs in access.items():
        for other in sorted(_first_off(body, needs, access, items)):
            model.add_implication(off[body], off[other])
            model.add(rank[body] > rank[other]).only_enforce_if(off[body])
        choices = []
        for k, way in enumerate(needs.ways):
            choice = model.new_bool_var(f"{body} {way.direction}")
            taken[body, k] = choice
            choices.append(choice)
            for other in sorted(_standing(way.blockers, access, items)):
                model.add_implication(choice, off[other])
                model.add(rank[body] > rank[other]).only_enforce_if(choice)
        if choices:
            model.add(sum(choices) == 1).only_enforce_if(off[body])
    price = {b: _effort(items[b]) + _dislike(items[b], leave_in or {}) for b in off}
    model.minimize(sum(1000 * price[b] * v for b, v in off.items()) + sum(off.values()) + sum(taken.values()))
    solver = one_thread()
    solver.parameters.max_deterministic_time = 5.0
    if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return frozenset(b for b in wanted if items[b].present), {}
    chosen = {b: access[b].ways[k] for (b, k), v in taken.items() if solver.boolean_value(v)}
    return (
        frozenset(b for b in off if solver.boolean_value(off[b]) and items[b].present),
        {b: w for b, w in chosen.items() if solver.boolean_value(off[b])},
    )


def _first_off(body: str, needs: Access, access: dict[str, Access], items: dict[str, Item]) -> set[str]:
    riders = riders_of(items[body], items) if items[body].present else []
    return _standing(frozenset(riders) | needs.rooms, access, items)


def _standing(bodies: frozenset[str], access: dict[str, Access], items: dict[str, Item]) -> set[str]:
    """Those that are there now: what has not been fitted yet is in nobody's way."""
    return {b for b in bodies if b in access and items[b].present}


def _effort(item: Item) -> int:
    return (item.part.off_min + item.part.on_min) * item.part.hands if item.present else 0


def _dislike(item: Item, leave_in: Mapping[str, int | None]) -> int:
    """What leaving it in is worth to the owner [hand-min]."""
    wish = leave_in.get(item.subject, 0) if item.present else 0
    return NEVER_MIN if wish is None else wish


NEVER_MIN = 100_000
"""More than any job takes [hand-min]."""
