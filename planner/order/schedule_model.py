r"""The sessions model: real start times within the bays of the calendar.

For each step i a start s_i in the union of the intervals [opens_b, closes_b - d_i] of the bays it may be done in,
a literal x_ib for each of them, and for a task that may be split a piece of p_ib minutes in each bay:

.. math::

    \sum_b x_{ib} = 1, \quad x_{ib} \Rightarrow opens_b \le s_i \le closes_b - d_i, \quad
    s_j \ge s_i + d_i + lag_{ij}, \quad \sum_i h_i d_i x_{ib} + f_b \le H_b (closes_b - opens_b)

with the hands as a cumulative resource and f_b the share of work that must be done somewhere (``filler_min``).
Steps that cannot be done side by side with each other share a row of their own a bay. A stretch in which a hold is
broken begins and ends in one era.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.order.bay_literals import count_bays, eras_at_the_end, eras_within, missing_hands
from planner.order.schedule_net import LEAST_PIECE_MIN, Net, Place
from planner.order.schedule_windows import Windows


@dataclass(slots=True, kw_only=True)
class SessionModel:
    """A model under construction with its variables."""

    model: cp_model.CpModel
    net: Net
    windows: Windows
    start: list[cp_model.IntVar] = field(default_factory=list)
    end: list[cp_model.LinearExprT] = field(default_factory=list)
    inside: list[dict[int, cp_model.IntVar]] = field(default_factory=list)
    """Of each step, the literal of each bay."""
    pieces: dict[int, dict[int, tuple[cp_model.IntVar, cp_model.IntVar]]] = field(default_factory=dict)
    """Of a step that may be split, start and minutes of its piece in each bay."""
    used: dict[int, cp_model.IntVar] = field(default_factory=dict)
    """Whether a bay is worked in; made when asked for."""


def model_of(net: Net, windows: Windows, filler_min: int = 0) -> SessionModel:
    """Make the model of a net within its calendar; any solution is a schedule.

    Parameters
    ----------
    net : Net
    windows : Windows
        None of them empty.
    filler_min : int [hand-min]
        Work besides the steps that some session must hold.
    """
    made = SessionModel(model=cp_model.CpModel(), net=net, windows=windows)
    intervals: list[cp_model.IntervalVar] = []
    hands: list[int] = []
    loads: list[int] = []
    for step in range(net.size):
        found = _split(made, step) if net.splits[step] else [_whole(made, step)]
        intervals += found
        hands += [net.hands[step]] * len(found)
        loads += [net.loads[step]] * len(found)
    for step, waits in enumerate(net.before):
        for other, lag in waits.items():
            made.model.add(made.start[step] >= made.end[other] + lag)
    _hands(made, intervals, hands)
    if net.apart:
        made.model.add_cumulative(intervals, loads, max(loads))
    _rooms(made, filler_min)
    _stretches(made)
    return made


def _whole(made: SessionModel, step: int) -> cp_model.IntervalVar:
    """A step in one bay."""
    model, net, windows = made.model, made.net, made.windows
    minutes = net.minutes[step]
    spans = {}
    for b in windows.bays[step]:
        bay = net.calendar.bays[b]
        low, high = max(bay.opens, windows.earliest[step]), min(net.closes(step, bay), windows.latest[step]) - minutes
        spans[b] = (low, high)
    start = model.new_int_var_from_domain(
        cp_model.Domain.from_intervals([list(s) for s in spans.values()]), f"s {step}"
    )
    literals = {b: model.new_bool_var(f"x {step} {b}") for b in spans}
    model.add_exactly_one(literals.values())
    for b, (low, high) in spans.items():
        model.add_linear_constraint(start, low, high).only_enforce_if(literals[b])
    made.start.append(start)
    made.end.append(start + minutes)
    made.inside.append(literals)
    return model.new_fixed_size_interval_var(start, minutes, f"i {step}")


def _split(made: SessionModel, step: int) -> list[cp_model.IntervalVar]:
    """A task in pieces, one a bay; only the last may be shorter than the least."""
    model, net, windows = made.model, made.net, made.windows
    minutes, least = net.minutes[step], min(LEAST_PIECE_MIN, net.minutes[step])
    first, last = windows.earliest[step], windows.latest[step]
    start = model.new_int_var(first, last, f"s {step}")
    end = model.new_int_var(first, last, f"e {step}")
    literals, intervals, pieces = {}, [], {}
    more = None
    for b in reversed(windows.bays[step]):
        bay = net.calendar.bays[b]
        low, high = max(bay.opens, first), min(net.closes(step, bay), last)
        here, size = (
            model.new_bool_var(f"x {step} {b}"),
            model.new_int_var(0, min(minutes, high - low), f"p {step} {b}"),
        )
        begin = model.new_int_var(low, high, f"b {step} {b}")
        stop = model.new_int_var(low, high, f"a {step} {b}")
        intervals.append(model.new_optional_interval_var(begin, size, stop, here, f"i {step} {b}"))
        model.add(size == 0).only_enforce_if(here.negated())
        model.add(size >= min(1, minutes)).only_enforce_if(here)
        model.add(start <= begin).only_enforce_if(here)
        model.add(end >= stop).only_enforce_if(here)
        if more is not None:
            model.add(size >= least).only_enforce_if([here, more])
            later = model.new_bool_var(f"m {step} {b}")
            model.add_max_equality(later, [here, more])
            more = later
        else:
            more = here
        literals[b], pieces[b] = here, (begin, size)
    model.add_bool_or(literals.values())
    model.add(sum(size for _, size in pieces.values()) == minutes)
    made.start.append(start)
    made.end.append(end)
    made.inside.append(literals)
    made.pieces[step] = pieces
    return intervals


def _hands(made: SessionModel, intervals: list[cp_model.IntervalVar], hands: list[int]) -> None:
    """No more hands at work than there are; bays with fewer than the most lose the rest to a fixed block."""
    model, most = made.model, made.net.calendar.most_hands
    if 2 * min(hands, default=1) > most:
        model.add_no_overlap(intervals)
        return
    taken = missing_hands(model, made.net.calendar)
    model.add_cumulative([*intervals, *(t for t, _ in taken)], [*hands, *(m for _, m in taken)], most)
    # Steps of which no two fit side by side anywhere.
    alone = [i for i, h in zip(intervals, hands, strict=True) if 2 * h > most]
    if len(alone) > 1:
        model.add_no_overlap(alone)


def amounts(made: SessionModel, step: int, bay: int) -> cp_model.LinearExprT:
    """Minutes of a step done in a bay."""
    if step in made.pieces:
        return made.pieces[step][bay][1]
    return made.inside[step][bay] * made.net.minutes[step]


def _rooms(made: SessionModel, filler_min: int) -> None:
    """A knapsack row a bay: hand-minutes, and the minutes of steps that must be done one by one."""
    model, net = made.model, made.net
    within: dict[int, list[int]] = {}
    for step, literals in enumerate(made.inside):
        for b in literals:
            within.setdefault(b, []).append(step)
    fillers = []
    for b, bay in enumerate(net.calendar.bays):
        steps = within.get(b, [])
        work = cp_model.LinearExpr.sum([amounts(made, i, b) * net.hands[i] for i in steps])
        if filler_min:
            filler = model.new_int_var(0, bay.room * bay.hands, f"f {b}")
            fillers.append(filler)
            work = work + filler
        model.add(work <= bay.room * bay.hands)
        alone = [i for i in steps if 2 * net.hands[i] > bay.hands]
        if bay.hands > 1 and alone:
            model.add(sum(amounts(made, i, b) for i in alone) <= bay.room)
    if filler_min:
        model.add(sum(fillers) == filler_min)


def _stretches(made: SessionModel) -> None:
    """Both ends of a stretch that breaks a hold lie in one era."""
    for stretch in made.net.stretches:
        begins = _passed(made, stretch.eras, stretch.begin, first=True)
        ends = _passed(made, stretch.eras, stretch.end, first=False)
        for era in sorted(begins.keys() | ends.keys()):
            begun, ended = begins.get(era), ends.get(era)
            if begun is None or ended is None:
                for literal in (begun, ended):
                    if literal is not None:
                        made.model.add(literal == 0)
            else:
                made.model.add(begun == ended)


def _passed(made: SessionModel, eras: Sequence[int], step: int | None, *, first: bool) -> dict[int, cp_model.IntVar]:
    """Literal of each era in which a step may be; of no step, of the first or the last of all."""
    if step is None:
        return eras_at_the_end(made.model, eras, made.inside, first=first)
    return eras_within(made.model, eras, made.inside[step], str(step))


def count_used(made: SessionModel) -> cp_model.LinearExpr:
    """Number of bays worked in."""
    return count_bays(made.model, made.inside, made.used)


def hint(made: SessionModel, places: Sequence[Place]) -> None:
    """Let the solver start from places, which need not fit the model in all."""
    begins: dict[int, int] = {}
    chosen: set[tuple[int, int]] = set()
    for place in places:
        begins.setdefault(place.step, place.start)
        chosen.add((place.step, place.bay))
        if place.step in made.pieces and place.bay in made.pieces[place.step]:
            begin, size = made.pieces[place.step][place.bay]
            made.model.add_hint(begin, place.start)
            made.model.add_hint(size, place.end - place.start)
    for step, start in begins.items():
        made.model.add_hint(made.start[step], start)
        for b, literal in made.inside[step].items():
            made.model.add_hint(literal, (step, b) in chosen)
    bays = {p.bay for p in places}
    for b, literal in made.used.items():
        made.model.add_hint(literal, b in bays)


def places_in(made: SessionModel, solver: cp_model.CpSolver) -> list[Place]:
    """Read the places from a solution."""
    places = []
    for step, literals in enumerate(made.inside):
        for b, literal in literals.items():
            if not solver.boolean_value(literal):
                continue
            if step in made.pieces:
                begin, size = (solver.value(v) for v in made.pieces[step][b])
            else:
                begin, size = solver.value(made.start[step]), made.net.minutes[step]
            places.append(Place(step=step, bay=b, start=begin, end=begin + size))
    return sorted(places, key=lambda p: (p.start, p.step))


def changed_days(made: SessionModel, days: Mapping[int, int]) -> cp_model.LinearExprT:
    """Number of steps not done on the day they had (days since the calendar's first)."""
    terms: list[cp_model.LinearExprT] = []
    for step, day in days.items():
        same = [lit for b, lit in made.inside[step].items() if made.net.calendar.bays[b].day == day]
        terms.append(1 - same[0] if len(same) == 1 and step not in made.pieces else _none_of(made, step, same))
    return sum(terms)


def _none_of(made: SessionModel, step: int, literals: Sequence[cp_model.IntVar]) -> cp_model.IntVar:
    moved = made.model.new_bool_var(f"moved {step}")
    made.model.add_bool_or([moved, *literals])
    return moved
