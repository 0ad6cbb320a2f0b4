"""The last millimetres: each chosen home is slid straight towards where the part stands now, as far as that is free.

The choice is made among listed homes; sliding only makes one of them better by a trifle of distance, or by a link that
need not be made anew after all. It never moves anything else and never costs more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.knockon.arrangement import Arrangement
from planner.knockon.clashes import Vicinity
from planner.knockon.home_list import space_box
from planner.knockon.homes import HomeSearch
from planner.knockon.link_bill import LinkBill
from planner.knockon.options import Option, Sort, pinned
from planner.knockon.placed import Placed, placed_at
from planner.knockon.rigid import added, distance_mm
from planner.model.shapes import Pose, Vec

_SWEEPS = 2
_LEAST_MM = 1.0
"""Nothing is slid by less than this."""


def slid(search: HomeSearch, answer: Arrangement) -> Arrangement:
    """The same answer with every new home as near to the present one as straight slides along the axes bring it."""
    for _ in range(_SWEEPS):
        before = answer
        for part in sorted(p for p, o in answer.chosen.items() if o.sort is Sort.HOME):
            answer = _Slide(search, answer, part).done()
        if answer is before:
            break
    return answer


@dataclass(slots=True)
class _Slide:
    """One part, with all that goes where it goes."""

    search: HomeSearch
    answer: Arrangement
    part: str

    def done(self) -> Arrangement:
        """The answer with the part slid along each axis in turn, the longest way first."""
        space = self.search.asked.spaces[self.answer.chosen[self.part].space]
        free = [i for i in range(3) if not pinned(space.against, i)]
        group = self._group()
        others = Vicinity(self.search.clashes, {i: p for i, p in self.answer.placed.items() if i not in group})
        links = LinkBill(self.search.links.facts, self.answer.placed, group)
        for axis in sorted(free, key=lambda i: (-abs(self._wanted_mm(i)), i)):
            wanted_mm = self._wanted_mm(axis)
            if abs(wanted_mm) >= _LEAST_MM:
                self._along(axis, wanted_mm, others, links)
        return self.answer

    def _wanted_mm(self, axis: int) -> float:
        """How far the part would have to go to be level with its present place, without leaving its space."""
        here = self.answer.placed[self.part]
        then = self.search.base[self.part].part.pose.at_mm[axis]
        low, high = space_box(self.search.asked.spaces[self.answer.chosen[self.part].space])
        least, most = low[axis] - here.still.lo_mm[axis], high[axis] - here.still.hi_mm[axis]
        return min(max(then - here.part.pose.at_mm[axis], min(least, 0.0)), max(most, 0.0))

    def _along(self, axis: int, wanted_mm: float, others: Vicinity, links: LinkBill) -> None:
        """Slide as far as can be: all the way, or up to what is in the way, to a whole millimetre before it."""
        bill = links.total({i: self.answer.placed[i] for i in links.group})
        if bill is None:
            return
        best = self._at(axis, wanted_mm, others, links, bill)
        good_mm, bad_mm = 0, 0 if best is not None else math.ceil(abs(wanted_mm))
        while bad_mm - good_mm > 1:
            middle_mm = (good_mm + bad_mm) // 2
            found = self._at(axis, math.copysign(middle_mm, wanted_mm), others, links, bill)
            good_mm, bad_mm, best = (good_mm, middle_mm, best) if found is None else (middle_mm, bad_mm, found)
        if best is not None and best.cost <= self.answer.cost:
            self.answer = best

    def _group(self) -> dict[str, None]:
        """The part and whatever goes where it goes."""
        found: dict[str, None] = {}
        todo = [self.part]
        while todo:
            option = self.answer.chosen[todo.pop()]
            found.update((p.part.id, None) for p in option.bundle)
            todo += [
                p
                for p, o in self.answer.chosen.items()
                if o.sort is Sort.FOLLOW and o.needs is not None and o.needs.part == option.part
            ]
        return found

    def _at(self, axis: int, by_mm: float, others: Vicinity, links: LinkBill, bill: int) -> Arrangement | None:
        """The answer with the group slid by so much, None when something is against it or a link costs more."""
        shift: Vec = tuple(by_mm if i == axis else 0.0 for i in range(3))  # type: ignore[assignment]
        put = {i: _shifted(self.answer.placed[i], shift) for i in links.group}
        if any(self.search.cannot_be_here(p) for p in put.values()) or others.any_broken(put.values()):
            return None
        placed = {**self.answer.placed, **put}
        if self._missed(placed):
            return None
        paid = links.total(put)
        if paid is None or paid > bill:
            return None
        chosen = {p: _with(o, put) for p, o in self.answer.chosen.items()}
        before, after = (self._far(a[self.part]) for a in (self.answer.placed, placed))
        cost = self.answer.cost - bill + paid - round(before) + round(after)
        return replace(self.answer, placed=placed, chosen=chosen, cost=cost, bound=min(self.answer.bound, cost))

    def _missed(self, placed: Mapping[str, Placed]) -> bool:
        return any(True for _ in self.search.rules.kept.all_of(placed))

    def _far(self, placed: Placed) -> float:
        return distance_mm(placed.part.pose.at_mm, self.search.base[self.part].part.pose.at_mm)


def _shifted(placed: Placed, by_mm: Vec) -> Placed:
    pose = placed.part.pose
    return placed_at(placed, Pose(at_mm=added(pose.at_mm, by_mm), turn_deg=pose.turn_deg))


def _with(option: Option, put: Mapping[str, Placed]) -> Option:
    if not any(p.part.id in put for p in option.bundle):
        return option
    bundle = tuple(put.get(p.part.id, p) for p in option.bundle)
    return replace(option, bundle=bundle, pose=_pose_in(option.part, bundle))


def _pose_in(part: str, bundle: tuple[Placed, ...]) -> Pose:
    return next(p.part.pose for p in bundle if p.part.id == part)
