"""Schedule a project so that it finishes as early as can be.

Two searches take turns, or run side by side when there are two cores. One breeds good schedules and, when that brings
no better ones, lets a constraint solver look for them. The other is a constraint solver that raises the bound until
there is a schedule. What either finds in a round the other hears of after it: so nothing depends on which of them was
quicker, and the same input gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

from planner.order.halt import Halt
from planner.order.project import Project, Schedule
from planner.order.rcpsp_bounds import Bounds, bounds_of
from planner.order.rcpsp_breed import Breed
from planner.order.rcpsp_model import Answer, Crew, built, solved
from planner.order.rcpsp_ready import Ready, ready
from planner.order.sgs import finish_of

FIRST = 0.02
"""Share of the time for breeding alone, before the first model is built."""
ROUNDS = (0.04, 0.26, 0.70)
"""Shares of the rest, round by round."""
PARTS = (8, 64, 1 << 60)
"""The solver from above is asked to better the finish by so many parts of the gap, one unit of time at least."""
PIECE_S = 0.1
"""The shortest solve from above [s]."""
BEGIN_S = 0.2
"""What beginning a solve is counted [s]."""
LEAST_S = 0.01
"""A solver is not begun for less [s]."""


def schedule(
    project: Project,
    *,
    limit_s: float,
    workers: int = 1,
    hint: tuple[int, ...] | None = None,
    halt: Halt | None = None,
) -> Schedule:
    """Starts of all activities with the least finish that the time allows to find, and a proved bound.

    Parameters
    ----------
    project : Project
    limit_s : float [s]
        Time for the search, about; it is counted in steps of work so that the same input gives the same answer.
    workers : int
        Processor cores to use; more than two are of no use to it.
    hint : tuple of int, optional
        Starts to better; they may be wrong.
    halt : Halt, optional
        Asked from outside to stop with the best so far.

    Returns
    -------
    Schedule
        Without starts when none was found; then ``finish`` is beyond the horizon, and so is ``bound`` when it was
        proved that there is none.

    Raises
    ------
    ValueError
        Activities wait for each other in a ring, or a number is out of its range; the message says which.
    """
    r = ready(project)
    never = project.horizon + 1
    if any(u > c for a in project.activities if a.duration for u, c in zip(a.uses, project.capacity, strict=True)):
        return Schedule(starts=(), finish=never, bound=never)
    bounds = bounds_of(project, r)
    if bounds.finish > project.horizon:
        return Schedule(starts=(), finish=never, bound=never)
    breed = Breed(ready=r, weights=[d + t for d, t in zip(r.durations, bounds.tails, strict=True)])
    if hint is not None and len(hint) == len(r):
        breed.learn([hint[a] for a in r.origin])
    search = _Search(project=project, ready=r, bounds=bounds, breed=breed, bound=bounds.finish, halt=halt or Halt())
    search.run(limit_s if workers > 1 else limit_s / 2, workers)
    return _as_schedule(r, search.best, search.bound)


@dataclass(slots=True, kw_only=True)
class _Search:
    """What is known so far: ``best`` are the starts of the best schedule, None before there is one."""

    project: Project
    ready: Ready
    bounds: Bounds
    breed: Breed
    bound: int
    halt: Halt
    best: list[int] | None = None
    attempts: int = 0

    @property
    def over(self) -> bool:
        """Whether there is nothing left to find out, or an end was asked for."""
        if self.halt.asked or self.bound > self.project.horizon:
            return True
        return self.best is not None and finish_of(self.ready, self.best) <= self.bound

    def run(self, side_s: float, workers: int) -> None:
        """Give each of the two searches so much time."""
        self.breed.breed(side_s * FIRST, self.bound, self._asked)
        self._take(self.breed.starts)
        for number, share in enumerate(ROUNDS):
            if self.over:
                return
            self._round(number, side_s * (1 - FIRST) * share, workers)

    def _round(self, number: int, budget_s: float, workers: int) -> None:
        """Both searches once, each with what was known before.

        When the one from below settles the matter its answer counts whatever the other has found meanwhile, so that
        it does not matter how far that came.
        """
        crew = Crew()
        self.halt.watch(crew)
        with ThreadPoolExecutor(1) as side:
            future = side.submit(self._from_below(number, budget_s, crew))
            if workers == 1:
                future.result()
            future.add_done_callback(lambda done: crew.stop_search() if _settles(done) else None)
            above = self._from_above(budget_s, crew)
            below = future.result()
        self.halt.watch(None)
        self.bound = max(self.bound, below.bound)
        if below.starts is not None:
            self.breed.learn(below.starts)
            self._take(below.starts)
        if not below.settled:
            self.bound = max(self.bound, above)
            self._take(self.breed.starts)

    def _from_above(self, budget_s: float, crew: Crew) -> int:
        """Better schedules for the herd, by breeding and then by a solver; returns a bound.

        The solver is asked for any schedule up to some finish. It finds one at once or not for long, so it begins
        anew again and again, each time with another seed.
        """
        low = self.bound
        left_s = self.breed.breed(budget_s, low, lambda: crew.stopped)
        while left_s >= LEAST_S and low < self.breed.finish and not crew.stopped:
            self.attempts += 1
            latest = min(self.breed.finish - 1, self.project.horizon)
            latest -= (latest - low) // PARTS[self.attempts % len(PARTS)]
            made = built(self.project, self.ready, self.bounds.at_least(latest), latest)
            piece_s = min(PIECE_S * restart(self.attempts), left_s)
            answer = solved(made, piece_s, crew, seed=self.attempts, from_below=False)
            left_s -= BEGIN_S + piece_s - answer.left_s
            if answer.starts is not None:
                self.breed.learn(answer.starts)
            elif answer.settled:
                low = latest + 1
        return low

    def _from_below(self, number: int, budget_s: float, crew: Crew) -> Callable[[], Answer]:
        """A solve that asks for better than what is known now, whenever it is called."""
        latest = min(self.breed.finish - 1, self.project.horizon)
        made = built(self.project, self.ready, self.bounds.at_least(self.bound), latest)
        return lambda: solved(made, budget_s, crew, seed=number, from_below=True)

    def _take(self, starts: list[int]) -> None:
        """Remember a schedule if it is the best yet."""
        least = self.project.horizon if self.best is None else finish_of(self.ready, self.best) - 1
        if finish_of(self.ready, starts) <= least:
            self.best = starts

    def _asked(self) -> bool:
        return self.halt.asked


def restart(number: int) -> int:
    """How long the restart of that number (from 1) is, in shortest ones: 1, 1, 2, 1, 1, 2, 4, 1, ...

    Source: Luby, Sinclair and Zuckerman, Information Processing Letters 47, 1993.

    Examples
    --------
    >>> [restart(n) for n in range(1, 16)]
    [1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8]
    """
    size = number.bit_length()
    if number == (1 << size) - 1:
        return 1 << (size - 1)
    return restart(number - (1 << (size - 1)) + 1)


def _settles(future: Future[Answer]) -> bool:
    """Whether the solver is done and has settled the matter."""
    return future.done() and future.result().settled


def _as_schedule(r: Ready, starts: list[int] | None, bound: int) -> Schedule:
    """The answer in the numbering of the project."""
    if starts is None:
        return Schedule(starts=(), finish=r.horizon + 1, bound=min(bound, r.horizon + 1))
    by_origin = dict(zip(r.origin, starts, strict=True))
    finish = finish_of(r, starts)
    return Schedule(starts=tuple(by_origin[a] for a in range(len(starts))), finish=finish, bound=min(bound, finish))
