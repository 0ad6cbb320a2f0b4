"""Other jobs that the same vehicle is in the middle of: what is open for one of them holds the vehicle back for all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LOG, log_book
from planner.log import road_of
from planner.model.words import GATES, ROAD_TEST

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.log.road import Road


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """Another job that is begun and not at its end; ``road`` is what it leaves open, None where nobody can tell."""

    job: str
    road: Road | None

    def held(self, gate: str) -> int | None:
        """How many things of it stand before a gate; None where nobody can tell."""
        if self.road is None:
            return None
        return len(self.road.testing if gate == ROAD_TEST else self.road.moving)

    def hint(self, book: LogBook) -> str:
        """Where to look."""
        if self.road is None:
            return f"put jobs/{self.job}.yaml and its log right, or take both out of `jobs` if nothing of it was done"
        return f"knockon status --road {book.project} {self.job}"

    @property
    def words(self) -> str:
        """What it is and how much of it is open."""
        if self.road is None:
            return f"the job `{self.job}` is begun on this vehicle too, and how it stands cannot be read"
        count = len(self.road.road)
        things = "1 thing of it stands" if count == 1 else f"{count} things of it stand"
        first = self.road.road[0].text
        return f"the job `{self.job}` is begun on this vehicle too: {things} before the road, {first} first"


def begun_beside(book: LogBook) -> tuple[Beside, ...]:
    """Every other job of the project that is begun, not over, and not yet fit for the road."""
    found = []
    for path in sorted((book.project / "jobs").glob(f"*{LOG}")):
        if path == book.path:
            continue
        one = _standing_of(book, path.name.removesuffix(LOG))
        if one is not None and (one.road is None or one.road.road):
            found.append(one)
    return tuple(found)


def _standing_of(book: LogBook, job: str) -> Beside | None:
    try:
        other = log_book(book.project, job, book.now)
        if other.over() or not (other.standing.done or other.standing.skipped):
            return None
        return Beside(job=job, road=road_of(other.plan(), other.standing))
    except Stop:
        return Beside(job=job, road=None)


def see_alone(book: LogBook, task: str) -> None:
    """End the command where a gate is to be passed and another job has left something open before it."""
    if task not in GATES:
        return
    for other in begun_beside(book):
        if other.held(task) != 0:
            title = book.plan().work.tasks[task].title if task in book.plan().work.tasks else task
            raise Stop(Exit.FAULTS, f"{title} waits: {other.words}", other.hint(book))
