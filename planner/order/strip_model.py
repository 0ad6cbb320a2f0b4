"""Variables of the strip-down model.

For every task a position t_j; for every feature p and toggle k = 1..K_p a presence x_pk and a position e_pk;
for every feature whose row of toggles may go on after K_p, a literal w_p ("wild"): there are more than K_p
toggles, and after the K_p-th any demand on p counts as met. That makes the model a relaxation of the problem
with any number of repeats; without a wild chosen its answer is a true plan.

Positions may be equal: whatever must be in order is kept in order by a strict constraint, so equal ones can
stand in any order. Toggles that are not present are free to stand at the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.model.work import Feature, WorkList
from planner.order.strip_bounds import Bounds, Node, counts_within
from planner.order.strip_problem import most_toggles, toggle_number, toggle_price

SCALE = 10_000
"""One hand-minute in the objective when some toggle is free; a free toggle counts 1, so that none is made for
nothing."""

RAISES = 8


@dataclass(slots=True, kw_only=True)
class StripModel:
    """A model under construction with its variables.

    ``met`` holds one literal for each (node, feature, k): node stands in the stretch of the feature after its
    k-th toggle.
    """

    model: cp_model.CpModel
    work: WorkList
    bounds: Bounds
    caps: dict[str, int]
    scale: int
    position: dict[Node, cp_model.IntVar] = field(default_factory=dict)
    present: dict[Node, cp_model.IntVar] = field(default_factory=dict)
    """Of toggles only."""
    wild: dict[str, cp_model.IntVar] = field(default_factory=dict)
    """Of features that may go on after their cap."""
    met: dict[tuple[Node, str, int], cp_model.IntVar] = field(default_factory=dict)

    @property
    def most_position(self) -> int:
        """Last position: room for every node one after the other."""
        return max(0, len(self.work.tasks) + sum(self.caps.values()) - 1)


def smallest_caps(work: WorkList, bounds: Bounds) -> dict[str, int]:
    """K_p to begin with: the forced count, but one trip out and back for what may be in the way of something."""
    caps = {}
    for p, feature in work.features.items():
        least = 1 if feature.goal != feature.start else 2
        caps[p] = max(bounds.forced[p], least)
        limit = most_toggles(feature)
        if limit is not None:
            caps[p] = min(caps[p], max(limit, 0))
    return caps


def likely_caps(work: WorkList, caps: Mapping[str, int]) -> dict[str, int]:
    """Raise caps until the forced counts under them stay within them: a plan within them is more likely.

    It is no proof of need, so it gives better caps and no bound.
    """
    caps = dict(caps)
    for _ in range(RAISES):
        within = counts_within(work, caps)
        over = {p: count for p, count in within.forced.items() if count > caps[p]}
        if not over or any(not may_go_on(work.features[p], count - 1) for p, count in over.items()):
            break
        caps |= over
    return caps


def may_go_on(feature: Feature, cap: int) -> bool:
    """Whether the feature could make more toggles than ``cap``."""
    limit = most_toggles(feature)
    return limit is None or cap < limit


def objective_scale(work: WorkList) -> int:
    """1 when every toggle costs something, else :data:`SCALE`."""
    prices = (toggle_price(t) for f in work.features.values() for t in f.toggles)
    return 1 if all(prices) else SCALE


def weight(feature: Feature, number: int, scale: int) -> int:
    """Objective coefficient of the ``number``-th toggle of a feature."""
    toggle = toggle_number(feature, number)
    price = toggle_price(toggle) if toggle else 0
    return price * scale if price else 1


def wild_weight(feature: Feature, cap: int, scale: int) -> int:
    """Least extra cost of more than ``cap`` toggles: one more pair, or one more when there is no goal."""
    more = 1 if feature.goal is None else 2
    return sum(weight(feature, cap + i, scale) for i in range(1, more + 1))


def with_variables(work: WorkList, bounds: Bounds, caps: dict[str, int], *, allow_wild: bool) -> StripModel:
    """Model with all its variables and no constraint but the least positions.

    Parameters
    ----------
    work : WorkList
        Prepared (:func:`~planner.order.strip_problem.prepared`).
    bounds : Bounds
    caps : dict of str to int
        K_p of every feature.
    allow_wild : bool
        False gives the restricted model: only plans within the caps.
    """
    made = StripModel(model=cp_model.CpModel(), work=work, bounds=bounds, caps=caps, scale=objective_scale(work))
    last = made.most_position
    for id_ in work.tasks:
        made.position[Node(id_)] = made.model.new_int_var(0, last, f"t {id_}")
    for p, feature in work.features.items():
        for k in range(1, caps[p] + 1):
            made.position[Node(p, k)] = made.model.new_int_var(0, last, f"e {p} {k}")
            made.present[Node(p, k)] = made.model.new_bool_var(f"x {p} {k}")
        if allow_wild and may_go_on(feature, caps[p]):
            made.wild[p] = made.model.new_bool_var(f"w {p}")
    return made
