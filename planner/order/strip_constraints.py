"""Constraints and objective of the strip-down model; the symbols are those of strip_model."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from planner.model.work import Demand, Toggle
from planner.order.strip_bounds import Node
from planner.order.strip_model import StripModel, weight, wild_weight
from planner.order.strip_problem import state_after, toggle_number

if TYPE_CHECKING:
    # Not every version of the library has the name where the program runs.
    from ortools.sat.python.cp_model_helper import Literal


def constrain(made: StripModel) -> None:
    """Add all constraints; without an objective any plan is an answer."""
    _rows_of_toggles(made)
    _precedence(made)
    for id_, task in made.work.tasks.items():
        for demand in task.demands:
            _demand(made, Node(id_), demand, [])
    for node, present in made.present.items():
        _toggle_demands(made, node, present)


def _rows_of_toggles(made: StripModel) -> None:
    r"""Toggles of a feature come in a row, as many as forced and in pairs where the end state is set.

    .. math:: x_{pk} \le x_{p,k-1}, \quad e_{p,k-1} < e_{pk}, \quad x_{pk} = 1 \; (k \le F_p), \quad w_p \le x_{pK}

    With a goal the number present is of the parity of the goal, or w_p holds.
    """
    model = made.model
    for p, feature in made.work.features.items():
        cap = made.caps[p]
        row = [made.present[Node(p, k)] for k in range(1, cap + 1)]
        for k in range(2, cap + 1):
            model.add(made.position[Node(p, k - 1)] < made.position[Node(p, k)])
            model.add_implication(row[k - 1], row[k - 2])
        for k in range(1, min(made.bounds.forced[p], cap) + 1):
            model.add(row[k - 1] == 1)
        wild = made.wild.get(p)
        if wild is not None and row:
            model.add_implication(wild, row[-1])
        if feature.goal is not None:
            for k in range(cap + 1):
                if state_after(feature, k) != feature.goal:
                    _not_the_end(made, p, k)


def _not_the_end(made: StripModel, p: str, k: int) -> None:
    """Exactly k toggles of p would end in the wrong state: k present means one more is, or the wild."""
    clause = [*_at_least(made, p, k + 1)]
    if k:
        clause.append(made.present[Node(p, k)].negated())
    made.model.add_bool_or(clause)


def _at_least(made: StripModel, p: str, count: int) -> list[Literal]:
    """Literals of which one holds when p makes at least ``count`` toggles; none when it cannot."""
    if count <= made.caps[p]:
        return [made.present[Node(p, count)]]
    wild = made.wild.get(p)
    return [] if wild is None else [wild]


def _precedence(made: StripModel) -> None:
    r"""Tasks after tasks, and toggles after the tasks they wait for.

    .. math:: t_i < t_j, \qquad x_{pk} \Rightarrow t_i < e_{pk}

    A toggle that is not present can stand at the end, so the second needs no condition.
    """
    for id_, task in made.work.tasks.items():
        for after in task.after:
            made.model.add(made.position[Node(after.task)] < made.position[Node(id_)])
    for node, present in made.present.items():
        toggle = toggle_number(made.work.features[node.ref], node.number)
        for task_id in toggle.after if toggle else ():
            before, here = made.position[Node(task_id)], made.position[node]
            made.model.add(before < here).only_enforce_if(present)


def _toggle_demands(made: StripModel, node: Node, present: cp_model.IntVar) -> None:
    """Require of a present toggle that all its demands hold, and one of its ways."""
    toggle = toggle_number(made.work.features[node.ref], node.number)
    if toggle is None:
        made.model.add(present == 0)
        return
    for demand in toggle.demands:
        _demand(made, node, demand, [present])
    require_a_way(made.model, node, toggle, present, lambda demand, when: _demand(made, node, demand, when))


def require_a_way(
    model: cp_model.CpModel,
    node: Node,
    toggle: Toggle,
    present: cp_model.IntVar,
    require: Callable[[Demand, list[Literal]], None],
) -> None:
    r"""One of the ways of a present toggle is open: a literal z for each way.

    .. math:: x \Rightarrow \bigvee_w z_w

    ``require`` asks for a demand whenever the literals it is given hold.
    """
    if not toggle.ways:
        return
    choices = []
    for number, way in enumerate(toggle.ways):
        choice = model.new_bool_var(f"z {node.ref} {node.number} {number}")
        choices.append(choice)
        for demand in way:
            require(demand, [choice])
    model.add_bool_or([*choices, present.negated()])


def _demand(made: StripModel, node: Node, demand: Demand, when: list[Literal]) -> None:
    r"""One stretch of the demanded state holds the node, or it is wild.

    .. math:: z \Rightarrow \bigvee_k y_{npk} \vee y_{npw}

    over the k that give the state, from b(n, p) on. ``last`` also forbids the toggle that would end the stretch.
    """
    p = demand.feature
    feature = made.work.features[p]
    off = [literal.negated() for literal in when]
    if p == node.ref and node.number:
        _own_demand(made, node, demand, off)
        return
    first = made.bounds.before.get((node, p), 0)
    choices = [
        _stretch(made, node, p, k) for k in range(first, made.caps[p] + 1) if state_after(feature, k) == demand.on
    ]
    if demand.last:
        for k in range(first, made.caps[p] + 1):
            if state_after(feature, k) == demand.on:
                for over in _at_least(made, p, k + 1):
                    made.model.add_bool_or([over.negated(), _stretch(made, node, p, k).negated(), *off])
    wild = _wild_stretch(made, node, p)
    made.model.add_bool_or([*choices, *wild, *off])


def _own_demand(made: StripModel, node: Node, demand: Demand, off: list[Literal]) -> None:
    """Settle a toggle's demand on its own feature, whose state just before it is known.

    ``last`` means that it is the last toggle.
    """
    p, k = node
    if state_after(made.work.features[p], k - 1) != demand.on:
        made.model.add_bool_or(off)
    elif demand.last:
        for literal in _at_least(made, p, k + 1):
            made.model.add_bool_or([literal.negated(), *off])


def _stretch(made: StripModel, node: Node, p: str, k: int) -> cp_model.IntVar:
    r"""Literal y_npk: node stands after the k-th toggle of p and before the next.

    .. math:: y \Rightarrow x_{pk}, \; e_{pk} < pos_n < e_{p,k+1}, \; \text{and } k + a(n, p) \text{ toggles are
    made}
    """
    key = (node, p, k)
    if key in made.met:
        return made.met[key]
    literal = made.model.new_bool_var(f"y {node.ref} {node.number} {p} {k}")
    made.met[key] = literal
    here = made.position[node]
    if k:
        made.model.add_implication(literal, made.present[Node(p, k)])
        made.model.add(made.position[Node(p, k)] < here).only_enforce_if(literal)
    if k < made.caps[p]:
        made.model.add(here < made.position[Node(p, k + 1)]).only_enforce_if(literal)
    more = made.bounds.after.get((node, p), 0)
    if more:
        made.model.add_bool_or([*_at_least(made, p, k + more), literal.negated()])
    return literal


def _wild_stretch(made: StripModel, node: Node, p: str) -> list[Literal]:
    """Literal of standing after the K_p-th toggle of a wild feature, where either state may be had.

    None without a wild.
    """
    if p not in made.wild:
        return []
    cap = made.caps[p]
    key = (node, p, cap + 1)
    if key not in made.met:
        literal = made.model.new_bool_var(f"y {node.ref} {node.number} {p} wild")
        made.met[key] = literal
        made.model.add_implication(literal, made.wild[p])
        if cap:
            made.model.add(made.position[Node(p, cap)] < made.position[node]).only_enforce_if(literal)
    return [made.met[key]]


def set_objective(made: StripModel, bound: int, below: int | None = None) -> None:
    r"""Least effort: not under a proved bound, and less than ``below``, the cost of a plan that is there.

    .. math:: \min \sum_{pk} c_{pk} x_{pk} + \sum_p c_{pw} w_p

    with c_pw the least cost of going on after the cap: a lower bound on any plan that does.
    """
    features = made.work.features
    terms: list[cp_model.LinearExprT] = [
        *(weight(features[n.ref], n.number, made.scale) * x for n, x in made.present.items()),
        *(wild_weight(features[p], made.caps[p], made.scale) * w for p, w in made.wild.items()),
    ]
    if terms:
        made.model.minimize(sum(terms))
        if bound:
            made.model.add(sum(terms) >= bound * made.scale)
        if below is not None:
            made.model.add(sum(terms) < below * made.scale)
