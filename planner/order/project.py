"""A scheduling problem in its plainest form: activities, what they wait for, what they use, when they may start."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One activity that is done without a break.

    ``before`` gives each predecessor (by index) with the least time from its end to this start (>= 0).
    ``windows`` are the closed intervals of times at which it may start, disjoint and rising; None: at any time.
    """

    duration: int
    uses: tuple[int, ...]
    """Amount of each resource it holds while it lasts."""
    before: dict[int, int] = field(default_factory=dict)
    windows: tuple[tuple[int, int], ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """An amount of a resource that is not there from ``begin`` to ``end``."""

    resource: int
    begin: int
    end: int
    amount: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """Activities in any order, on one axis of whole time units from 0 to ``horizon``."""

    activities: tuple[Activity, ...]
    capacity: tuple[int, ...]
    horizon: int
    taken: tuple[Taken, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Starts by activity; ``bound``: no schedule finishes before it (proved). ``starts`` empty: none was found."""

    starts: tuple[int, ...]
    finish: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether it finishes as early as can be."""
        return bool(self.starts) and self.finish == self.bound
