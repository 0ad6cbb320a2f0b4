"""The choice of homes as a CP-SAT model: one option for each active part, least total cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from planner.knockon.options import Option
from planner.model.shapes import Vec

PartOption = tuple[str, int]
"""A part and the index of one of its options."""


@dataclass(slots=True, kw_only=True)
class HomesModel:
    """Variables and rows over the options of the active parts.

    ``take[p, i]`` is 1 when part p takes its option i; exactly one is taken per part. The objective is the sum of
    option costs and of the link fates the taken options bring about.
    """

    options: dict[str, tuple[Option, ...]]
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    take: dict[PartOption, cp_model.IntVar] = field(default_factory=dict)
    terms: list[cp_model.LinearExprT] = field(default_factory=list)
    _boxes: dict[str, np.ndarray] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for part, options in sorted(self.options.items()):
            for i, option in enumerate(options):
                variable = self.model.new_bool_var(f"{part}.{i}")
                self.take[part, i] = variable
                self.terms.append(option.cost * variable)
            self.model.add_exactly_one(self.take[part, i] for i in range(len(options)))
        for part, options in sorted(self.options.items()):
            for i, option in enumerate(options):
                if option.needs is not None and option.needs.part in self.options:
                    self.model.add_implication(self.take[part, i], self.take[option.needs.part, option.needs.index])

    def forbid(self, choice: PartOption) -> None:
        """Rule one option out."""
        self.model.add(self.take[choice] == 0)

    def forbid_together(self, choice: PartOption, others: Iterable[PartOption]) -> None:
        """Forbid an option with any of some options of one other part; those exclude each other, so one row does."""
        rows = [self.take[o] for o in others]
        if rows:
            self.model.add_at_most_one([self.take[choice], *rows])

    def fate(self, name: str, cost: int) -> cp_model.IntVar:
        """A literal that costs ``cost`` when it is forced to hold."""
        literal = self.model.new_bool_var(name)
        self.terms.append(cost * literal)
        return literal

    def brings(
        self, choice: PartOption, others: Iterable[PartOption] | None, payers: Iterable[cp_model.IntVar]
    ) -> None:
        """An option (together with any of ``others`` of one other part, unless None) makes one of ``payers`` hold.

        Without payers it is something that may not happen at all.
        """
        paid = sum(payers)
        if others is None:
            self.model.add(self.take[choice] <= paid)
            return
        together = [self.take[o] for o in others]
        if together:
            self.model.add(self.take[choice] + sum(together) - 1 <= paid)

    def demands(self, payers: Iterable[cp_model.IntVar]) -> None:
        """One of ``payers`` holds whatever is chosen."""
        self.model.add(sum(payers) >= 1)

    def solve(self, limit_s: float) -> Solved | None:
        """Least total cost, None when no choice satisfies the rows (or none was found in time)."""
        self.model.minimize(sum(self.terms))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        solver.parameters.random_seed = 1
        solver.parameters.max_time_in_seconds = limit_s
        status = solver.solve(self.model)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return None if status == cp_model.INFEASIBLE else Solved(chosen={}, cost=0, bound=0, proved=False)
        chosen = {
            part: next(i for i in range(len(options)) if solver.boolean_value(self.take[part, i]))
            for part, options in self.options.items()
        }
        return Solved(
            chosen=chosen,
            cost=round(solver.objective_value),
            bound=round(solver.best_objective_bound),
            proved=status == cp_model.OPTIMAL,
        )

    def boxes(self, part: str) -> np.ndarray:
        """Boxes of a part's options, shape (options, 2, 3) [mm]; see :func:`boxes_of`."""
        if part not in self._boxes:
            self._boxes[part] = boxes_of(self.options[part])
        return self._boxes[part]

    def choices_near(self, low: Vec, high: Vec) -> Iterator[tuple[PartOption, Option]]:
        """Options any of whose bodies, with rooms and keep-clear, may reach into a box [mm]."""
        for part, options in sorted(self.options.items()):
            boxes = self.boxes(part)
            near = ((boxes[:, 0] <= np.asarray(high)) & (boxes[:, 1] >= np.asarray(low))).all(axis=1)
            for i in np.flatnonzero(near).tolist():
                yield (part, i), options[i]

    def all_choices(self) -> Iterator[tuple[PartOption, Option]]:
        """Every option of every active part."""
        for part, options in sorted(self.options.items()):
            for i, option in enumerate(options):
                yield (part, i), option


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """An answer: option index per part; ``chosen`` is empty (and not proved) when time ran out first."""

    chosen: dict[str, int]
    cost: int
    bound: int
    proved: bool


def boxes_of(options: tuple[Option, ...]) -> np.ndarray:
    """Box of each option's bundle with its rooms and keep-clear, shape (options, 2, 3) [mm]; empty when it goes."""
    rows = []
    for option in options:
        grown = [
            (np.asarray(b.lo_mm) - p.part.keep_clear_mm, np.asarray(b.hi_mm) + p.part.keep_clear_mm)
            for p in option.bundle
            for b in (p.body, *(room for _, room in p.rooms))
        ]
        if grown:
            rows.append((np.min([g[0] for g in grown], axis=0), np.max([g[1] for g in grown], axis=0)))
        else:
            rows.append((np.full(3, np.inf), np.full(3, -np.inf)))
    return np.asarray(rows)
