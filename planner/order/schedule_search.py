"""What a search for the sessions of one strip-down knows, and the time it has."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.knockon.solving import one_thread
from planner.order.calendar import Calendar
from planner.order.halt import Halt
from planner.order.pack import Packer, Style, merit, ranks_of
from planner.order.schedule_net import Net, Place
from planner.order.schedule_windows import windows_of
from planner.order.solver import SEED, solve_within

WORK_PER_S = 0.3
"""Units of the solver's own measure of work that stand for a second."""
PATIENCE = 6
"""A solve may take so many times its budget by the clock."""
LOOK_S = 6e-6
"""One look at a step in a packing is counted as this."""
LEAST_S = 0.02
"""A solver is not begun for less [s]."""
LEAST_SPENT_S = 0.001
"""Any solve is counted as this at least, so that every search comes to an end."""


@dataclass(slots=True, kw_only=True)
class Budget:
    """Time for a search, counted in work so that every run stops at the same moment."""

    left_s: float
    halt: Halt | None = None
    halted: bool = False

    def part(self, share: float) -> Budget:
        """Set a share of what is left aside; :meth:`give_back` the rest of it."""
        part = Budget(left_s=self.left_s * share, halt=self.halt)
        self.left_s -= part.left_s
        return part

    def give_back(self, part: Budget) -> None:
        """Take back what a part has not used."""
        self.left_s += part.left_s
        self.halted = self.halted or part.halted

    @property
    def over(self) -> bool:
        """Whether to stop now."""
        self.halted = self.halted or (self.halt is not None and self.halt.asked)
        return self.halted or self.left_s <= 0

    def run(self, packer: Packer) -> bool:
        """Run a packing."""
        whole = packer.run()
        self.left_s -= packer.looks * LOOK_S
        return whole

    def solve(self, model: cp_model.CpModel, most_s: float) -> tuple[cp_model.CpSolver, int]:
        """Solve a model in at most so many seconds of what is left."""
        solver = one_thread(SEED)
        # A solver told to stop before it has begun does not hear it.
        budget_s = LEAST_S if self.over else max(min(most_s, self.left_s), LEAST_S)
        status, spent_s = solve_within(
            solver, model, budget_s, work_per_s=WORK_PER_S, patience=PATIENCE, halt=self.halt
        )
        self.left_s -= max(spent_s, LEAST_SPENT_S)
        return solver, status


@dataclass(slots=True, kw_only=True)
class Found:
    """What a search knows: the best places, the proved earliest day, the proved fewest sessions on the day found.

    ``days`` of the last plan, by step (days since the calendar's first).
    """

    net: Net
    style: Style
    leaving: int
    days: Mapping[int, int]
    places: list[Place] | None = None
    bound_day: int = 0
    bound_used: int = 0
    changed: int = 0
    stuck: Packer | None = None
    """The first packing that did not come to an end."""
    impossible: bool = False
    """Proved: the net does not fit into the calendar at all."""

    @property
    def day(self) -> int:
        """Day of the finish of the best places."""
        return merit(self.net, self.places or ())[0]

    @property
    def used(self) -> int:
        """Sessions worked in."""
        return merit(self.net, self.places or ())[1]

    @property
    def proved(self) -> bool:
        """Whether no earlier day can be had, and no fewer sessions on it."""
        return self.places is not None and (self.day, self.used) == (self.bound_day, self.bound_used)

    def key(self, places: Sequence[Place]) -> tuple[int, int, int]:
        """What makes places better: day, sessions, steps moved to another day; less is better."""
        return (*merit(self.net, places), self.moved(places))

    def moved(self, places: Sequence[Place]) -> int:
        """Steps that are not begun on the day they had in the last plan."""
        begun: dict[int, int] = {}
        for place in places:
            begun.setdefault(place.step, self.net.calendar.bays[place.bay].day)
        return sum(begun[step] != day for step, day in self.days.items())

    def keep(self, places: Sequence[Place]) -> bool:
        """Keep places when they are the best yet."""
        if self.places is not None and self.key(places) >= self.key(self.places):
            return False
        self.places = list(places)
        return True


def bay_days(calendar: Calendar) -> list[int]:
    """Days that have a bay, rising."""
    return sorted({b.day for b in calendar.bays})


def up_to_day(net: Net, day: int) -> Net:
    """The net in the calendar without the bays after a day."""
    return net.within(net.calendar.up_to(day))


def first_day_possible(net: Net, most: int | None = None) -> int | None:
    """First day that static windows do not refute; None when they refute them all (up to ``most``)."""
    work = sum(m * h for m, h in zip(net.minutes, net.hands, strict=True))
    room, enough = 0, {}
    for bay in net.calendar.bays:
        room += bay.room * bay.hands
        enough[bay.day] = room >= work
    days = [d for d, holds in enough.items() if holds and (most is None or d <= most)]
    at = bisect_left(days, True, key=lambda day: not windows_of(up_to_day(net, day)).empty)  # noqa: FBT003 - the key's value
    return days[at] if at < len(days) else None


def packings(net: Net, style: Style, leaving: int) -> Iterator[Packer]:
    """Packings under each rank, with style and without."""
    for with_style in (style, None):
        for rank in ranks_of(net, leaving):
            yield Packer(net=net, rank=rank, style=with_style)
