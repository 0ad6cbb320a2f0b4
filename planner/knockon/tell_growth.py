"""How much larger a part can be made in its place, where the growth that the job asks for does not fit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from planner.knockon.arrangement import Arrangement
from planner.knockon.giving import Case
from planner.model.effects import Proof
from planner.model.job import Grow
from planner.model.shapes import Vec

_AXES = "xyz"


@dataclass(frozen=True, slots=True)
class Fits:
    """The most growth found to fit, and what came of a millimetre more.

    ``more`` is no answer; its ``stuck`` names what is hit that can never give way, and is empty where none was found.
    """

    by_mm: Vec
    answer: Arrangement
    more: Arrangement


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """A part that the job makes larger, and how each trial is made and told."""

    case: Case
    asked: Grow
    tried: Callable[[Case], Arrangement]
    length: Callable[[float], str]
    worth: Callable[[Arrangement], str]

    def words(self) -> str:
        """The most that it can grow; empty when nothing is known.

        Less along one axis, the rest as asked, is told where that does alone; else less along all in proportion. To a
        whole millimetre.
        """
        return "; or ".join(filter(None, (self._told(fits) for fits in self._ways())))

    def _told(self, fits: Fits) -> str:
        name, asked_mm = self.case[0].components[self.asked.part].name, self.asked.by_mm
        if not any(v > 0.0 for v in fits.by_mm):
            return f"not even a millimetre more of {name} fits there, this is proved" if fits.more.stuck else ""
        less = [i for i in range(3) if fits.by_mm[i] != asked_mm[i]]
        ways = " and ".join(
            f"{self.length(fits.by_mm[i])} instead of {self.length(asked_mm[i])} along {_AXES[i]}" for i in less
        )
        above = "a millimetre more does not fit, this is proved" if fits.more.stuck else "for more no way was found"
        return f"if {name} grew by {ways}: {self.worth(fits.answer)} ({above})"

    def _ways(self) -> Iterator[Fits]:
        axes = [i for i in range(3) if self.asked.by_mm[i] > 0.0]
        alone = [self._most((i,)) for i in axes]
        if len(axes) > 1 and not any(alone):
            alone = [self._most(tuple(axes))]
        yield from (fits for fits in alone if fits is not None)

    def _most(self, axes: tuple[int, ...]) -> Fits | None:
        """The most that fits when the growth along these axes is less; None when that does not do.

        A larger part holds the smaller one, so that what can stand beside the larger can stand beside the smaller:
        halving finds the end.
        """
        whole_mm = max(self.asked.by_mm[i] for i in axes)
        low, high = 0, math.ceil(whole_mm)
        best, more = self._with(axes, low / whole_mm), None
        if best.proof is Proof.NONE:
            return None
        while more is None or high - low > 1:
            middle = (low + high) // 2 if high - low > 1 else high
            found = self._with(axes, middle / whole_mm)
            if found.proof is Proof.NONE:
                high, more = middle, found
            elif middle == high:
                return None
            else:
                low, best = middle, found
        return Fits(self._by_mm(axes, low / whole_mm), best, more)

    def _with(self, axes: tuple[int, ...], share: float) -> Arrangement:
        vehicle, job = self.case
        by_mm = self._by_mm(axes, share)
        changes = tuple(replace(c, by_mm=by_mm) if c is self.asked else c for c in job.changes)
        return self.tried((vehicle, replace(job, changes=changes)))

    def _by_mm(self, axes: tuple[int, ...], share: float) -> Vec:
        x, y, z = (v * share if i in axes else v for i, v in enumerate(self.asked.by_mm))
        return (x, y, z)
