"""The smallest set of demands that cannot hold together, and by how much one of them would have to give."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.knockon.demands import Breach, Chance, Chances, Demand
from planner.knockon.solving import one_thread

_SOLVE_WORK = 2.0
"""The solver's own measure of work for one question; it answers nearly all at once."""
_PER_MM = 100
"""Amounts are whole hundredths of a millimetre, rounded up."""


@dataclass(slots=True)
class DemandModel:
    """Which option each stuck part takes, and which demands give: ``gives[d]`` is 1 when demand d need not hold."""

    chances: Chances
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    gives: dict[Demand, cp_model.IntVar] = field(default_factory=dict)
    take: dict[tuple[str, int], cp_model.IntVar] = field(default_factory=dict)
    amount: cp_model.IntVar = field(init=False)

    def __post_init__(self) -> None:
        """One option for each part; a breach asks for one of its demands to give."""
        self.gives = {d: self.model.new_bool_var(str(n)) for n, d in enumerate(self.chances.demands())}
        for part, chances in self.chances.of_part.items():
            for i, chance in enumerate(chances):
                self.take[part, i] = self.model.new_bool_var(f"{part}.{i}")
                for breach in chance.breaches:
                    self._asks([self.take[part, i]], breach)
            self.model.add_exactly_one(self.take[part, i] for i in range(len(chances)))
        for choice, needs in self.chances.rests():
            self.model.add_implication(self.take[choice], self.take[needs])
        for one, other, breach in self.chances.pairs:
            self._asks([self.take[one], self.take[other]], breach)
        for breach in self.chances.always:
            self._asks([], breach)

    def _asks(self, when: list[cp_model.IntVar], breach: Breach) -> None:
        self.model.add_bool_or([*(w.negated() for w in when), *(self.gives[d] for d in breach.demands)])

    def holds(self, demands: Iterable[Demand]) -> tuple[bool, tuple[Demand, ...]]:
        """Whether these demands can hold together, all others giving; if not, some of them that cannot."""
        held = list(demands)
        self.model.clear_assumptions()
        self.model.add_assumptions([self.gives[d].negated() for d in held])
        solver = one_thread()
        solver.parameters.max_deterministic_time = _SOLVE_WORK
        status = solver.solve(self.model)
        if status != cp_model.INFEASIBLE:
            return True, ()
        named = {abs(i) if i >= 0 else abs(i + 1) for i in solver.sufficient_assumptions_for_infeasibility()}
        found = tuple(d for d in held if self.gives[d].index in named)
        return False, found or tuple(held)


def smallest_core(model: DemandModel) -> tuple[Demand, ...]:
    """Demands that cannot hold together, while any of them left out lets the others hold; empty when all can.

    A demand that has to do with fewer homes is left out first, so that what remains tells the most.
    """
    can, core = model.holds(model.gives)
    if can:
        return ()
    for demand in sorted(core, key=_telling):
        rest = tuple(d for d in core if d != demand)
        if demand not in core:
            continue
        can, smaller = model.holds(rest)
        if not can:
            core = smaller
    return tuple(sorted(core))


def _telling(demand: Demand) -> tuple[int, Demand]:
    return (_LAST.get(demand.sort.value, 0), demand)


_LAST = {"kept": 3, "asked for": 2, "space": 1}
"""What a person looks to first is kept in the set for as long as can be."""


def least_giving(chances: Chances, demand: Demand) -> tuple[float, list[Chance]] | None:
    """By how much [mm] one demand alone would have to give, and the homes it is then; None when it does not do alone.

    The amount is that of the best of the homes looked at; 0 for a demand that has no measure.
    """
    model = cp_model.CpModel()
    take: dict[tuple[str, int], cp_model.IntVar] = {}
    amount = model.new_int_var(0, 10**9, "amount")
    for part, several in chances.of_part.items():
        for i, chance in enumerate(several):
            take[part, i] = model.new_bool_var(f"{part}.{i}")
            for breach in chance.breaches:
                _pay(model, amount, [take[part, i]], breach, demand)
        model.add_exactly_one(take[part, i] for i in range(len(several)))
    for choice, needs in chances.rests():
        model.add_implication(take[choice], take[needs])
    for one, other, breach in chances.pairs:
        _pay(model, amount, [take[one], take[other]], breach, demand)
    for breach in chances.always:
        _pay(model, amount, [], breach, demand)
    model.minimize(amount)
    solver = one_thread()
    solver.parameters.max_deterministic_time = _SOLVE_WORK
    if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return None
    taken = [c for (p, i), v in take.items() if solver.boolean_value(v) for c in [chances.of_part[p][i]]]
    return solver.objective_value / _PER_MM, taken


def _pay(
    model: cp_model.CpModel, amount: cp_model.IntVar, when: Collection[cp_model.IntVar], breach: Breach, demand: Demand
) -> None:
    """A breach is either out of the question or paid for by the one demand."""
    if demand not in breach.demands:
        model.add_bool_or([w.negated() for w in when])
    elif breach.mm is not None and breach.demands[-1] == demand:
        model.add(amount >= math.ceil(_PER_MM * breach.mm)).only_enforce_if(list(when))
