"""The choice of homes as a CP-SAT model: one option for each active part, least total cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from planner.knockon.budget import WORK_PER_S, Budget
from planner.knockon.options import Option
from planner.knockon.solving import one_thread

PartOption = tuple[str, int]
"""A part and the index of one of its options."""
_ROWS_PER_S = 100_000
"""Building so many rows is counted as a second."""
_LEAST_S = 0.05


@dataclass(slots=True, kw_only=True)
class HomesModel:
    """Variables and rows over the options of the active parts.

    ``take[p, i]`` is 1 when part p takes its option i; exactly one is taken per part. The objective is the sum of
    option costs and of the link fates the taken options bring about.
    """

    options: dict[str, tuple[Option, ...]]
    kept: Mapping[str, np.ndarray]
    """Which options of each part may be taken; the others have no variable, and rows pass them over."""
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    take: dict[PartOption, cp_model.IntVar] = field(default_factory=dict)
    terms: list[cp_model.LinearExprT] = field(default_factory=list)
    _all: list[tuple[PartOption, Option]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Make the variables, one taken for each part, and let options rest on those they need."""
        for part, options in sorted(self.options.items()):
            there = np.flatnonzero(self.kept[part]).tolist()
            for i in there:
                option = options[i]
                variable = self.model.new_bool_var(f"{part}.{i}")
                self.take[part, i] = variable
                self.terms.append(option.cost * variable)
                self._all.append(((part, i), option))
            self.model.add_exactly_one(self.take[part, i] for i in there)
        for choice, option in self._all:
            if option.needs is not None and option.needs.part in self.options:
                self.model.add_implication(self.take[choice], self.take[option.needs.part, option.needs.index])

    def forbid(self, choice: PartOption) -> None:
        """Rule one option out."""
        self.model.add(self.take[choice] == 0)

    def forbid_pairs(self, p: str, q: str, clashes: np.ndarray) -> None:
        """Forbid the pairs of options of two parts that conflict, shape (options of p, options of q).

        Options of one part exclude each other: all that the same ones of the other part bar share one row.
        """
        for several, others in self._alike(p, q, clashes):
            self.model.add_at_most_one([*(self.take[p, i] for i in several), *(self.take[q, j] for j in others)])

    def forbid_all(self, choices: Sequence[PartOption]) -> None:
        """Forbid that all of some options of different parts are taken together."""
        self.model.add(sum(self.take[c] for c in choices) <= len(choices) - 1)

    def forbid_fates(self, fates: Sequence[Sequence[PartOption]]) -> None:
        """Forbid that of each of some sets of options, each of one part, one is taken."""
        self.model.add(sum(self.take[c] for choices in fates for c in choices if c in self.take) <= len(fates) - 1)

    def at_most(self, cost: int) -> None:
        """Allow no choice that costs more; to be said when every row is there."""
        self.model.add(sum(self.terms) <= cost)

    def fate(self, name: str, cost: int) -> cp_model.IntVar:
        """A literal that costs ``cost`` when it is forced to hold."""
        literal = self.model.new_bool_var(name)
        self.terms.append(cost * literal)
        return literal

    def brings(self, choices: Sequence[PartOption], payers: Iterable[cp_model.IntVar]) -> None:
        """Any of some options of one part makes one of ``payers`` hold; without payers it may not be taken at all."""
        taken = [self.take[c] for c in choices if c in self.take]
        if taken:
            self.model.add(sum(taken) <= sum(payers))

    def brings_both(self, p: str, q: str, together: np.ndarray, payers: Sequence[cp_model.IntVar]) -> None:
        """Two options taken together, where ``together`` (options of p, options of q) is true, do the same."""
        paid = sum(payers)
        for several, others in self._alike(p, q, together):
            taken = [*(self.take[p, i] for i in several), *(self.take[q, j] for j in others)]
            self.model.add(sum(taken) - 1 <= paid)

    def demands(self, payers: Iterable[cp_model.IntVar]) -> None:
        """One of ``payers`` holds whatever is chosen."""
        self.model.add(sum(payers) >= 1)

    def solve(self, budget: Budget, *, share: float = 1.0, gap: float = 0.0) -> Solved | None:
        """Least total cost, None when no choice satisfies the rows.

        Parameters
        ----------
        budget : Budget
            What is left; what is done is taken from it.
        share : float
            How much of what is left may be used.
        gap : float
            Good enough: this much (of the cost) above the bound.
        """
        self.model.minimize(sum(self.terms))
        budget.spend(len(self.model.proto.constraints) / _ROWS_PER_S)
        limit_s = max(share * budget.left_s, _LEAST_S)
        solver = one_thread()
        solver.parameters.linearization_level = 2
        # Looking ahead and merging rows took ten times as long as the search: the rows are cliques already.
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.merge_at_most_one_work_limit = 0.0
        solver.parameters.relative_gap_limit = gap
        solver.parameters.max_deterministic_time = limit_s * WORK_PER_S
        # A slow machine may need longer for the same work; beyond this its owner has waited enough.
        solver.parameters.max_time_in_seconds = 2 * limit_s
        status = solver.solve(self.model)
        budget.spend(solver.response_proto.deterministic_time / WORK_PER_S)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return None if status == cp_model.INFEASIBLE else Solved(chosen={}, cost=0, bound=0, proved=False)
        chosen = {
            part: next(
                i for i in range(len(options)) if self.kept[part][i] and solver.boolean_value(self.take[part, i])
            )
            for part, options in self.options.items()
        }
        cost, bound = round(solver.objective_value), round(solver.best_objective_bound)
        return Solved(chosen=chosen, cost=cost, bound=bound, proved=status == cp_model.OPTIMAL and bound >= cost)

    def _alike(self, p: str, q: str, pairs: np.ndarray) -> Iterator[tuple[list[int], list[int]]]:
        """Options of p that are true for the same options of q, those together, and these."""
        among = pairs & self.kept[p][:, None] & self.kept[q][None, :]
        alike: dict[bytes, list[int]] = {}
        for i in np.flatnonzero(among.any(axis=1)).tolist():
            alike.setdefault(among[i].tobytes(), []).append(i)
        for several in alike.values():
            yield several, np.flatnonzero(among[several[0]]).tolist()

    def all_choices(self) -> Iterator[tuple[PartOption, Option]]:
        """Every option of every active part."""
        yield from self._all


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """An answer: option index per part; ``chosen`` is empty (and not proved) when time ran out first."""

    chosen: dict[str, int]
    cost: int
    bound: int
    proved: bool
