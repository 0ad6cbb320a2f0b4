"""Which circuits a new part or link belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError
from planner.cli.new_choice import one_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.shelf.fresh import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemSaid:
    """What is known of the circuit of a new thing.

    ``given`` names it (commas between several), ``beside`` are circuits of the parts it joins; with ``silent`` nobody
    is there to be asked.
    """

    given: str | None = None
    beside: tuple[str, ...] = ()
    silent: bool = False


def systems_for(
    talk: Talk, sheet: Sheet, opens: Sequence[str], said: SystemSaid
) -> tuple[tuple[str, ...], list[Entry]]:
    """Circuits that a part of a kind belongs to; those that the vehicle has none of yet are new.

    Raises
    ------
    Stop
        There are several to choose from and nobody to ask: in the wrong circuit it would be tested with the wrong one.
    """
    from planner.shelf.fresh import system_entry

    named: list[str] = []
    new: list[Entry] = []
    known = {} if sheet.vehicle is None else sheet.vehicle.systems
    if said.given is not None:
        return _systems_named(said.given, tuple(known)), []
    for kind in opens:
        there = [s.id for s in known.values() if s.kind == kind]
        beside = [s for s in there if s in said.beside]
        if not there:
            new.append(system_entry(kind, {*sheet.taken_ids(), *(e.id for e in new)}))
            named.append(new[-1].id)
        elif len(there) == 1 or len(beside) == 1:
            named.append((beside or there)[0])
        elif said.silent:
            raise Stop(Exit.USAGE, f"there are several circuits it may belong to: {', '.join(there)}", "--system NAME")
        else:
            named.append(talk.ask(_system_question(there)))
    return tuple(named), new


def _systems_named(text: str, known: tuple[str, ...]) -> tuple[str, ...]:
    read = one_of(known, "circuit")
    try:
        return tuple(dict.fromkeys(read(t.strip()) for t in text.split(",") if t.strip()))
    except WrongAnswerError as error:
        raise Stop(Exit.USAGE, f"--system: {error.message}", error.hint) from None


def _system_question(there: Sequence[str]) -> Question[str]:
    return Question(
        words=f"circuit ({', '.join(there)})",
        read=one_of(there, "circuit"),
        default=there[0],
        help="the circuit it belongs to: what is opened, filled and tested with it",
        examples=tuple(there),
    )
