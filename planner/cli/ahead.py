"""What lies ahead in a job, once for the terminal and for `--json`: the same step first, the same word to stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.log import lacks_of, open_keys, unproved
from planner.log.sizes import look_of
from planner.log.unended import unended_words
from planner.log.words import proof_words

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.vehicle import Owed


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """Steps that are not done, and what comes before any of them.

    ``keys`` are all of them in the order of the plan; ``ready`` is the first that can be done now, "" where none can;
    ``others`` the ones told besides; ``proofs`` are checks that the state of the vehicle rests on; ``stop`` is why
    work may not go on, a sentence each; ``owed`` what a job that is over left open on the vehicle.
    """

    keys: tuple[str, ...] = ()
    ready: str = ""
    others: tuple[str, ...] = ()
    proofs: tuple[str, ...] = ()
    stop: tuple[str, ...] = ()
    over: bool = False
    owed: tuple[Owed, ...] = ()

    @property
    def told(self) -> tuple[str, ...]:
        """The steps that are told, the one to be done now before the others."""
        return (self.ready, *self.others) if self.ready else self.others


def ahead_of(book: LogBook, count: int) -> Ahead:
    """So many of the steps that lie ahead; of a job that is over, what it left open on the vehicle."""
    agreed, standing = book.plan(), book.standing
    keys = open_keys(agreed, standing)
    if book.over():
        from planner.cli.left_behind import still_owed_in

        owed = still_owed_in(book.project)
        return Ahead(keys=keys, stop=_left_open(len(owed)), over=True, owed=owed)
    look = look_of(agreed, standing)
    proofs = unproved(agreed, standing)
    failed = [check for check in proofs if check in standing.signed]
    stop = [f"STOP: {line}." for line in unended_words(agreed, standing)]
    stop += [f"STOP: {look.words}."] if look is not None and look.stops else []
    stop += [proof_words(check, agreed, standing.signed[check]) for check in failed]
    ready = "" if proofs else next((k for k in keys if not lacks_of(agreed, standing, k)), "")
    rest = [k for k in keys if k != ready]
    return Ahead(
        keys=keys,
        ready=ready,
        others=tuple(rest[: count - 1 if ready else count]),
        proofs=proofs,
        stop=tuple(stop),
    )


def _left_open(count: int) -> tuple[str, ...]:
    things = "1 thing is" if count == 1 else f"{count} things are"
    if not count:
        return ()
    return (f"STOP: {things} open on the vehicle (`to_prove` in vehicle.yaml): it stays off the road",)
