"""How much larger a part can be made in its place, where the growth that the job asks for does not fit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from planner.knockon.arrangement import Arrangement
from planner.knockon.giving import Case
from planner.model.effects import Proof
from planner.model.job import Grow
from planner.model.shapes import Direction, Vec

_AXES = "xyz"
_FACES = {
    Direction.DOWN: "bottom",
    Direction.UP: "top",
    Direction.FORWARDS: "front",
    Direction.REARWARDS: "rear",
    Direction.LEFT: "left",
    Direction.RIGHT: "right",
}


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
        """The side that it can grow away from, and the most that it can grow; empty when nothing is known.

        Less along one axis, the rest as asked, is told where that does alone; else less along all in proportion. To a
        whole millimetre.
        """
        sides = list(self._from_sides())
        ways = [fits for fits in self._ways() if not sides or any(v > 0.0 for v in fits.by_mm)]
        return "; or ".join(filter(None, (*sides, *map(self._told, ways))))

    def _from_sides(self) -> Iterator[str]:
        """The sides that, staying where they are, let all of the growth be: on a tray, or in a corner."""
        name = self.case[0].components[self.asked.part].name
        held = {i for side in self.asked.stays for i in range(3) if side.vector[i]}
        for side, face in _FACES.items():
            axis = next(i for i in range(3) if side.vector[i])
            if axis in held or self.asked.by_mm[axis] <= 0.0:
                continue
            answer = self._changed(replace(self.asked, stays=(*self.asked.stays, side)))
            if answer.proof is not Proof.NONE:
                yield f"if the {face} of {name} stayed where it is (`from: {face}`): {self.worth(answer)}"

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
        return self._changed(replace(self.asked, by_mm=self._by_mm(axes, share)))

    def _changed(self, grow: Grow) -> Arrangement:
        vehicle, job = self.case
        changes = tuple(grow if c is self.asked else c for c in job.changes)
        return self.tried((vehicle, replace(job, changes=changes)))

    def _by_mm(self, axes: tuple[int, ...], share: float) -> Vec:
        x, y, z = (v * share if i in axes else v for i, v in enumerate(self.asked.by_mm))
        return (x, y, z)
