r"""Strip-down and sessions in one model: the stretches of strip_model with real start times in the calendar.

For every task and for every toggle k = 1..K_p of a feature p a start in the bays it may be done in, a presence
x_pk, and for every demand of n on p a literal for each stretch of the right state:

.. math::

    y_{npk} \Rightarrow x_{pk}, \quad end_{pk} \le start_n, \quad end_n + keep_n \le start_{p,k+1}

A toggle that is not present starts after everything (``never``), so no constraint has to ask for its presence. At
the end of a session that asks for a state, an even or odd number of toggles has been made: a stretch of the wrong
state begins and ends in one era (:class:`~planner.order.schedule_net.Stretch`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from planner.model.work import Demand, Task, Toggle, WorkList
from planner.order.bay_literals import count_bays, eras_at_the_end, eras_within, missing_hands
from planner.order.calendar import Calendar
from planner.order.schedule_net import LEAST_PIECE_MIN, asked_of
from planner.order.strip_bounds import Bounds, Node
from planner.order.strip_constraints import require_a_way
from planner.order.strip_model import may_go_on
from planner.order.strip_problem import state_after, toggle_number, toggle_price

if TYPE_CHECKING:
    # Not every version of the library has the name where the program runs.
    from ortools.sat.python.cp_model_helper import Literal

Span = tuple[int, int]
"""Earliest start and latest end [min]."""


@dataclass(slots=True, kw_only=True)
class JointModel:
    """A model under construction with its variables; ``caps`` are the K_p."""

    model: cp_model.CpModel
    work: WorkList
    """Prepared."""
    calendar: Calendar
    bounds: Bounds
    caps: Mapping[str, int]
    spans: Mapping[Node, Span]
    """Of the nodes of which something is known."""
    ready: Mapping[Node, int]
    pieces_of: dict[Node, Task | Toggle] = field(default_factory=dict)
    start: dict[Node, cp_model.IntVar] = field(default_factory=dict)
    end: dict[Node, cp_model.LinearExprT] = field(default_factory=dict)
    present: dict[Node, cp_model.IntVar] = field(default_factory=dict)
    """Of toggles only."""
    inside: dict[Node, dict[int, cp_model.IntVar]] = field(default_factory=dict)
    """Literal of each bay a node may be done in."""
    parts: dict[Node, dict[int, tuple[cp_model.IntVar, cp_model.IntVar]]] = field(default_factory=dict)
    """Of a task that may be split: start and minutes of its piece in each bay."""
    met: dict[tuple[Node, str, int], cp_model.IntVar] = field(default_factory=dict)
    intervals: list[tuple[cp_model.IntervalVar, int]] = field(default_factory=list)
    apart: set[int] = field(default_factory=set)
    """Places in ``intervals`` of what nothing is done beside."""
    used: dict[int, cp_model.IntVar] = field(default_factory=dict)
    wild: dict[str, cp_model.IntVar] = field(default_factory=dict)
    """Of features that may go on after their cap, in the relaxation: any demand on them counts as met from there on."""

    @property
    def closes(self) -> int:
        """End of the last bay."""
        return self.calendar.bays[-1].closes if self.calendar.bays else 0

    @property
    def never(self) -> int:
        """Start of what is not done: after every end, with every wait."""
        keeps = [t.keep_min for t in self.work.tasks.values()]
        return self.closes + max([0, *keeps]) + 1


def joint_of(
    work: WorkList,
    calendar: Calendar,
    bounds: Bounds,
    caps: Mapping[str, int],
    spans: Mapping[Node, Span],
    ready: Mapping[Node, int],
    *,
    relaxed: bool = False,
) -> JointModel:
    """Make the model: any solution is a plan within the caps.

    ``relaxed``: every plan with any number of toggles is a solution, and others are too.
    """
    made = JointModel(
        model=cp_model.CpModel(), work=work, calendar=calendar, bounds=bounds, caps=caps, spans=spans, ready=ready
    )
    for id_, task in work.tasks.items():
        _timed(made, Node(id_), task)
    for p, feature in work.features.items():
        for k in range(1, caps[p] + 1):
            toggle = toggle_number(feature, k)
            if toggle is not None:
                made.present[Node(p, k)] = made.model.new_bool_var(f"x {p} {k}")
                _timed(made, Node(p, k), toggle)
        if relaxed and may_go_on(feature, caps[p]):
            made.wild[p] = made.model.new_bool_var(f"w {p}")
    _rows(made)
    _precedence(made)
    for id_, task in work.tasks.items():
        for demand in task.demands:
            _demand(made, Node(id_), demand, [])
    for node, present in made.present.items():
        _toggle_demands(made, node, present)
    _resources(made)
    _holds(made)
    return made


def _timed(made: JointModel, node: Node, piece: Task | Toggle) -> None:
    """Give a node its start, its literals and its interval."""
    model, calendar = made.model, made.calendar
    made.pieces_of[node] = piece
    first, last = made.spans.get(node, (0, made.closes))
    first = max(first, made.ready.get(node, 0))
    splits = isinstance(piece, Task) and piece.splits
    need = 0 if splits else piece.minutes
    literals: dict[int, cp_model.IntVar] = {}
    spans: dict[int, Span] = {}
    for b, bay in enumerate(calendar.bays):
        low, high = max(bay.opens, first), min(bay.closes - piece.stay_min, last)
        if bay.hands >= piece.hands and low + need <= high:
            literals[b] = model.new_bool_var(f"in {node.ref} {node.number} {b}")
            spans[b] = (low, high)
    made.inside[node] = literals
    if splits:
        _split(made, node, piece.minutes, spans)
        return
    present = made.present.get(node)
    ranges = [[low, high - need] for low, high in spans.values()]
    if present is not None:
        ranges.append([made.never, made.never])
    if not ranges:
        model.add_bool_or([])
        ranges = [[0, 0]]
    start = model.new_int_var_from_domain(cp_model.Domain.from_intervals(ranges), f"s {node.ref} {node.number}")
    for b, (low, high) in spans.items():
        model.add_linear_constraint(start, low, high - need).only_enforce_if(literals[b])
    if present is None:
        model.add_exactly_one(literals.values())
        interval = model.new_fixed_size_interval_var(start, need, f"i {node.ref}")
    else:
        model.add_exactly_one([*literals.values(), present.negated()])
        model.add(start == made.never).only_enforce_if(present.negated())
        interval = model.new_optional_fixed_size_interval_var(start, need, present, f"i {node.ref} {node.number}")
    made.start[node], made.end[node] = start, start + need
    _takes(made, node, interval)


def _takes(made: JointModel, node: Node, interval: cp_model.IntervalVar) -> None:
    """Note the hands of an interval, and whether nothing is done beside it."""
    if made.pieces_of[node].apart:
        made.apart.add(len(made.intervals))
    made.intervals.append((interval, made.pieces_of[node].hands))


def _split(made: JointModel, node: Node, minutes: int, spans: Mapping[int, Span]) -> None:
    """A task in pieces, one a bay; only the last may be shorter than the least."""
    model, least = made.model, min(LEAST_PIECE_MIN, minutes)
    low = min((s[0] for s in spans.values()), default=0)
    high = max((s[1] for s in spans.values()), default=0)
    start, end = model.new_int_var(low, high, f"s {node.ref}"), model.new_int_var(low, high, f"e {node.ref}")
    made.start[node], made.end[node], made.parts[node] = start, end, {}
    later: list[cp_model.IntVar] = []
    for b in sorted(spans, reverse=True):
        here = made.inside[node][b]
        begin = model.new_int_var(*spans[b], f"b {node.ref} {b}")
        size = model.new_int_var(0, min(minutes, spans[b][1] - spans[b][0]), f"p {node.ref} {b}")
        stop = model.new_int_var(*spans[b], f"a {node.ref} {b}")
        interval = model.new_optional_interval_var(begin, size, stop, here, f"i {node.ref} {b}")
        _takes(made, node, interval)
        model.add(size == 0).only_enforce_if(here.negated())
        model.add(size >= min(1, minutes)).only_enforce_if(here)
        model.add(start <= begin).only_enforce_if(here)
        model.add(end >= stop).only_enforce_if(here)
        for other in later:
            model.add(size >= least).only_enforce_if([here, other])
        later.append(here)
        made.parts[node][b] = (begin, size)
    model.add_bool_or(later)
    model.add(sum(size for _, size in made.parts[node].values()) == minutes)


def _rows(made: JointModel) -> None:
    """Toggles of a feature come in a row, at least the forced ones, and end in its goal."""
    model = made.model
    for p, feature in made.work.features.items():
        row = [Node(p, k) for k in range(1, made.caps[p] + 1) if Node(p, k) in made.present]
        for one, two in pairwise(row):
            model.add(made.end[one] <= made.start[two]).only_enforce_if(made.present[two])
            model.add_implication(made.present[two], made.present[one])
        for k in range(1, made.bounds.forced[p] + 1):
            if Node(p, k) in made.present:
                model.add(made.present[Node(p, k)] == 1)
            else:
                model.add_bool_or([])
        if p in made.wild and row:
            model.add_implication(made.wild[p], made.present[row[-1]])
        for k in range(len(row) + 1):
            if feature.goal is not None and state_after(feature, k) != feature.goal:
                here = [made.present[row[k - 1]].negated()] if k else []
                model.add_bool_or([*here, *_at_least(made, p, k + 1)])


def _at_least(made: JointModel, p: str, count: int) -> list[Literal]:
    """Literal of p making at least ``count`` toggles; none when it cannot."""
    literal = made.present.get(Node(p, count), made.wild.get(p))
    return [] if literal is None else [literal]


def _precedence(made: JointModel) -> None:
    """Tasks after tasks with their waits, toggles after the tasks they wait for."""
    for id_, task in made.work.tasks.items():
        for after in task.after:
            made.model.add(made.start[Node(id_)] >= made.end[Node(after.task)] + after.lag_min)
    for node in made.present:
        toggle = made.pieces_of[node]
        for task_id in toggle.after if isinstance(toggle, Toggle) else ():
            made.model.add(made.start[node] >= made.end[Node(task_id)])


def _toggle_demands(made: JointModel, node: Node, present: cp_model.IntVar) -> None:
    toggle = made.pieces_of[node]
    if not isinstance(toggle, Toggle):
        raise TypeError(f"`{node.ref}` is no toggle")
    for demand in toggle.demands:
        _demand(made, node, demand, [present])
    require_a_way(made.model, node, toggle, present, lambda demand, when: _demand(made, node, demand, when))


def _demand(made: JointModel, node: Node, demand: Demand, when: list[Literal]) -> None:
    """One stretch of the demanded state holds the node; ``last`` also forbids the toggle that would end it."""
    p = demand.feature
    feature = made.work.features[p]
    off = [literal.negated() for literal in when]
    if p == node.ref and node.number:
        if state_after(feature, node.number - 1) != demand.on:
            made.model.add_bool_or(off)
        elif demand.last:
            for literal in _at_least(made, p, node.number + 1):
                made.model.add_bool_or([literal.negated(), *off])
        return
    first = made.bounds.before.get((node, p), 0)
    choices = []
    for k in range(first, made.caps[p] + 1):
        if state_after(feature, k) == demand.on and (not k or Node(p, k) in made.present):
            choices.append(_stretch(made, node, p, k))
            for over in _at_least(made, p, k + 1) if demand.last else ():
                made.model.add_bool_or([over.negated(), choices[-1].negated(), *off])
    made.model.add_bool_or([*choices, *_wild_stretch(made, node, p), *off])


def _wild_stretch(made: JointModel, node: Node, p: str) -> list[Literal]:
    """Literal of standing after the K_p-th toggle of a wild feature; none without a wild."""
    if p not in made.wild:
        return []
    key = (node, p, made.caps[p] + 1)
    if key not in made.met:
        literal = made.model.new_bool_var(f"y {node.ref} {node.number} {p} wild")
        made.met[key] = literal
        made.model.add_implication(literal, made.wild[p])
        if made.caps[p]:
            made.model.add(made.end[Node(p, made.caps[p])] <= made.start[node]).only_enforce_if(literal)
    return [made.met[key]]


def _stretch(made: JointModel, node: Node, p: str, k: int) -> cp_model.IntVar:
    key = (node, p, k)
    if key in made.met:
        return made.met[key]
    literal = made.model.new_bool_var(f"y {node.ref} {node.number} {p} {k}")
    made.met[key] = literal
    piece = made.pieces_of[node]
    keep = piece.keep_min if isinstance(piece, Task) else 0
    if k:
        made.model.add_implication(literal, made.present[Node(p, k)])
        made.model.add(made.end[Node(p, k)] <= made.start[node]).only_enforce_if(literal)
    if Node(p, k + 1) in made.present:
        following = [literal, made.present[Node(p, k + 1)]]
        made.model.add(made.end[node] + keep <= made.start[Node(p, k + 1)]).only_enforce_if(following)
    more = made.bounds.after.get((node, p), 0)
    if more:
        made.model.add_bool_or([*_at_least(made, p, k + more), literal.negated()])
    return literal


def _resources(made: JointModel) -> None:
    """Hands as a cumulative resource, and a knapsack row a bay."""
    model, bays = made.model, made.calendar.bays
    both = [*made.intervals, *missing_hands(model, made.calendar)]
    model.add_cumulative([i for i, _ in both], [h for _, h in both], made.calendar.most_hands)
    most = max([made.calendar.most_hands, *(p.hands for p in made.pieces_of.values())])
    if made.apart:
        model.add_cumulative(
            [i for i, _ in made.intervals],
            [most if n in made.apart else h for n, (_, h) in enumerate(made.intervals)],
            most,
        )
    for b, bay in enumerate(bays):
        here = [n for n, literals in made.inside.items() if b in literals]
        model.add(sum(_minutes_in(made, n, b) * made.pieces_of[n].hands for n in here) <= bay.room * bay.hands)
        alone = [n for n in here if 2 * made.pieces_of[n].hands > bay.hands]
        if bay.hands > 1 and alone:
            model.add(sum(_minutes_in(made, n, b) for n in alone) <= bay.room)
    if made.wild:
        # Going on after the cap takes at least one more toggle, two where the end state is set.
        work = [p.minutes * p.hands * made.present.get(n, 1) for n, p in made.pieces_of.items()]
        more = [_going_on(made, p) * literal for p, literal in made.wild.items()]
        model.add(cp_model.LinearExpr.sum([*work, *more]) <= sum(b.room * b.hands for b in bays))


def _going_on(made: JointModel, p: str) -> int:
    """Least hand-minutes of more toggles than the cap."""
    feature, cap = made.work.features[p], made.caps[p]
    toggles = [toggle_number(feature, cap + i) for i in range(1, 2 + (feature.goal is not None))]
    return sum(t.minutes * t.hands for t in toggles if t is not None)


def _minutes_in(made: JointModel, node: Node, bay: int) -> cp_model.LinearExprT:
    if node in made.parts:
        return made.parts[node][bay][1]
    return made.inside[node][bay] * made.pieces_of[node].minutes


def _holds(made: JointModel) -> None:
    """No stretch of a state that a hold does not want lies across the end of a session that asks."""
    model = made.model
    for (p, on), eras in asked_of(made.work, made.calendar).items():
        if p not in made.work.features:
            continue
        first = eras_at_the_end(model, eras, made.inside.values(), first=True)
        last = eras_at_the_end(model, eras, made.inside.values(), first=False)
        row = [Node(p, k) for k in range(1, made.caps[p] + 1) if Node(p, k) in made.present]
        for k in range(len(row) + 1):
            if state_after(made.work.features[p], k) == on:
                continue
            begins = _eras_of(made, eras, row[k - 1]) if k else first
            ends = _eras_of(made, eras, row[k]) if k < len(row) else {}
            following = made.present[row[k]] if k < len(row) else made.wild.get(p)
            for era, begun in begins.items():
                ended = [ends[era]] if era in ends else []
                if k == len(row) and following is not None:
                    model.add_bool_or([begun.negated(), following, last[era]])
                elif following is not None:
                    model.add_bool_or([begun.negated(), following.negated(), *ended])
                    model.add_bool_or([begun.negated(), following, last[era]])
                else:
                    model.add_implication(begun, last[era])


def _eras_of(made: JointModel, eras: Sequence[int], node: Node) -> dict[int, cp_model.IntVar]:
    return eras_within(made.model, eras, made.inside[node], f"{node.ref} {node.number}")


def effort(made: JointModel) -> cp_model.LinearExpr:
    """Effort of the toggles that are present, with their owner's own price on them [hand-min]."""
    return cp_model.LinearExpr.weighted_sum(list(made.present.values()), [_price(made, n) for n in made.present])


def _price(made: JointModel, node: Node) -> int:
    toggle = made.pieces_of[node]
    return toggle_price(toggle) if isinstance(toggle, Toggle) else 0


def free_toggles(made: JointModel) -> cp_model.LinearExpr:
    """Number of toggles present that cost nothing: none is made for nothing."""
    return cp_model.LinearExpr.sum([x for n, x in made.present.items() if not _price(made, n)])


def last_day(made: JointModel, days: Sequence[int]) -> cp_model.IntVar:
    """Position in ``days`` of the day of the last step."""
    position = {day: i for i, day in enumerate(days)}
    found = made.model.new_int_var(0, max(0, len(days) - 1), "day")
    for literals in made.inside.values():
        for b, literal in literals.items():
            made.model.add(found >= position[made.calendar.bays[b].day]).only_enforce_if(literal)
    return found


def bays_used(made: JointModel) -> cp_model.LinearExpr:
    """Number of bays worked in."""
    return count_bays(made.model, made.inside.values(), made.used)
