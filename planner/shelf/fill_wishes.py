"""What the owner wishes beyond the changes: what is left in, how the vehicle stands between sessions, own chances."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations

import networkx as nx

from planner.files import KeyPath
from planner.files.schema_job import EndStateFile, JobFile, SessionFile
from planner.files.values import Weekday
from planner.finding.words import listed, quoted
from planner.model.job import Add, AddLink, Change, EndState, Grow, Move, OwnTask, Replace, TakeOff
from planner.model.vehicle import Freedom
from planner.shelf.bench import Bench
from planner.shelf.change_checks import cannot_come_off
from planner.shelf.fill_change import Roll
from planner.shelf.fill_component import PARTS_AND_LINKS
from planner.shelf.fill_diary import WEEKDAYS, check_year

LEFT = (*PARTS_AND_LINKS, "condition", "system")
"""What may be left as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wished:
    """What the rest of the job asks of the vehicle, against which wishes are held."""

    roll: Roll
    changes: Sequence[Change]
    tasks: Sequence[OwnTask]
    file: JobFile


def fill_leave_in(wished: Wished, bench: Bench) -> dict[str, int | None]:
    """Hand-minutes the owner would rather work than undo a thing, None where it is never to be undone."""
    against = dict(_against(wished, bench))
    filled: dict[str, int | None] = {}
    for name, minutes in wished.file.leave_in.items():
        path: KeyPath = ("leave_in", name)
        if not bench.check_id(path, name, *LEFT, key=True):
            continue
        system = wished.roll.vehicle.systems.get(name)
        kind = None if system is None else bench.catalog.system_kinds.get(system.kind)
        if kind is not None and not kind.takes_work:
            message = f"opening {quoted(name)} is no work of its own, so it cannot be left closed"
            bench.faults.error("nothing-to-leave", path, message, "name the parts or links that are to stay", key=True)
        part = wished.roll.vehicle.components.get(name)
        if part is None or part.freedom is not Freedom.STAYS:
            cannot_come_off(path, name, wished.roll, bench.faults, key=True)
        if minutes is None and name in against:
            message = f"{quoted(name)} is to be left as it is, and {against[name]}"
            hint = "say a time instead of `always`, or leave the other out"
            bench.faults.error("cannot-leave", path, message, hint, key=True)
        filled[name] = None if minutes is None else bench.minutes(path, minutes, 0)
    return filled


def _against(wished: Wished, bench: Bench) -> Iterator[tuple[str, str]]:
    """Everything the job itself asks to be undone, with words for who asks; what the changes ask comes last."""
    needs = _needs(bench)
    for state in wished.file.at_session_end.items():
        yield from (
            (name, f"{quoted(state[0])} wants it so at the end of a session") for name in _entered(state[1], needs)
        )
        yield from ((name, f"{quoted(state[0])} wants it off at the end of a session") for name in state[1].off)
    for task in wished.tasks:
        yield from ((name, f"the task {quoted(task.id)} wants it off") for name in task.off)
        asked = {n for c in task.conditions if c in needs for n in (c, *nx.descendants(needs, c))}
        yield from ((name, f"the task {quoted(task.id)} needs it") for name in sorted(asked))
    for change in wished.changes:
        match change:
            case Move(part=name):
                yield name, "this job moves it"
            case Grow(part=name):
                yield name, "this job makes it larger"
            case TakeOff(part=name):
                yield name, "this job takes it off"
            case Add(component=new) | Replace(component=new):
                yield new.id, "it is new in this job"
            case AddLink(link=link):
                yield link.id, "it is new in this job"
            case _:
                pass


def _needs(bench: Bench) -> nx.DiGraph[str]:
    """Conditions, each with arcs to those it needs."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(bench.catalog.conditions)
    graph.add_edges_from((c.id, n) for c in bench.catalog.conditions.values() for n in c.needs)
    return graph


def _entered(file: EndStateFile, needs: nx.DiGraph[str]) -> list[str]:
    """Conditions that hold in an end state: those it names and those they need."""
    return sorted({n for c in file.conditions if c in needs for n in (c, *nx.descendants(needs, c))})


def fill_again(again: Mapping[str, float], bench: Bench) -> dict[str, float]:
    """Chances that the trial fits of parts and links fail."""
    return {n: chance for n, chance in again.items() if bench.check_id(("again", n), n, *PARTS_AND_LINKS, key=True)}


def fill_end_states(wished: Wished, bench: Bench) -> dict[str, EndState]:
    """How the vehicle must stand when a session ends."""
    files = wished.file.at_session_end
    filled = {name: _end_state(name, file, wished, bench) for name, file in files.items()}
    needs = _needs(bench)
    for first, second in combinations(files, 2):
        if _share_a_day(files[first], files[second]):
            _check_clash(("at_session_end", second), (first, files[first]), (second, files[second]), needs, bench)
    return filled


def _end_state(name: str, file: EndStateFile, wished: Wished, bench: Bench) -> EndState:
    path: KeyPath = ("at_session_end", name)
    if not any((file.fitted, file.off, file.conditions, file.without)):
        hint = "say `fitted`, `off`, `conditions` or `without`"
        bench.faults.error("empty-end-state", path, f"{quoted(name)} asks for nothing", hint, key=True)
    _check_clash(path, (name, file), (name, file), _needs(bench), bench)
    for position, part in enumerate(file.off):
        cannot_come_off((*path, "off", position), part, wished.roll, bench.faults)
    return EndState(
        id=name,
        name=file.name,
        fitted=tuple(n for i, n in enumerate(file.fitted) if _is_there((*path, "fitted", i), n, wished, bench)),
        off=bench.check_ids((*path, "off"), file.off, *PARTS_AND_LINKS),
        conditions=bench.check_ids((*path, "conditions"), file.conditions, "condition"),
        without=bench.check_ids((*path, "without"), file.without, "condition"),
        weekdays=tuple(WEEKDAYS.index(day) for day in file.on if isinstance(day, Weekday)),
        days=tuple(_days(path, file, wished, bench)),
    )


def _is_there(path: KeyPath, name: str, wished: Wished, bench: Bench) -> bool:
    """Whether a part is there all along, at the start of the job and at its end; a finding when not."""
    heirs = {c.part: c.component.id for c in wished.changes if isinstance(c, Replace)}
    if name in heirs or name in heirs.values():
        return True
    if not bench.check_id(path, name, *PARTS_AND_LINKS):
        return False
    if name in wished.roll.new:
        message = f"{quoted(name)} is new in this job, so it cannot be there at the end of the first sessions"
        bench.faults.error("not-there-yet", path, message, "name what is on the vehicle already")
        return False
    return True


def _days(path: KeyPath, file: EndStateFile, wished: Wished, bench: Bench) -> Iterator[date]:
    weekly = {s.every for s in wished.file.sessions if s.every is not None}
    dated = {s.on for s in wished.file.sessions if s.on is not None}
    worked = {WEEKDAYS.index(d) for d in weekly} | {d.weekday() for d in dated}
    for position, day in enumerate(file.on):
        here = (*path, "on", position)
        if isinstance(day, Weekday):
            asked = WEEKDAYS.index(day) in worked
        else:
            asked = day in dated or WEEKDAYS[day.weekday()] in weekly
            if check_year(here, day, bench):
                yield day
        if not asked and wished.file.sessions:
            word = day.value if isinstance(day, Weekday) else str(day)
            message = f"no session is on {quoted(word)}, so nothing is asked there"
            bench.faults.warn("never-asked", here, message, "name a day on which there is a session")


def _share_a_day(one: EndStateFile, other: EndStateFile) -> bool:
    def words(file: EndStateFile) -> set[date | Weekday]:
        return {*file.on, *(WEEKDAYS[d.weekday()] for d in file.on if isinstance(d, date))}

    # Two dates share their weekday and need not be the same day.
    if not one.on or not other.on or set(one.on) & set(other.on):
        return True
    return any(isinstance(d, Weekday) for d in (words(one) & set(other.on)) | (words(other) & set(one.on)))


def _check_clash(
    path: KeyPath, one: tuple[str, EndStateFile], other: tuple[str, EndStateFile], needs: nx.DiGraph[str], bench: Bench
) -> None:
    """Report what two end states (or one) ask to be so and not so at once."""
    own = one[0] == other[0]
    pairs = [(one[1], other[1]), *([] if own else [(other[1], one[1])])]
    parts = sorted({n for a, b in pairs for n in {*a.fitted} & {*b.off}})
    states = sorted({n for a, b in pairs for n in {*_entered(a, needs)} & {*b.without}})
    if not parts and not states:
        return
    what = [f"{quoted(n)} in place and off" for n in parts] + [f"{quoted(n)} and not {quoted(n)}" for n in states]
    who = f"{quoted(one[0])} asks" if own else f"{listed((one[0], other[0]), ' and ')} ask"
    bench.faults.error("end-state-clash", path, f"{who} for {', '.join(what)} at once", "keep one of the two", key=True)


def check_session_lengths(sessions: Iterable[tuple[int, SessionFile]], file: JobFile, bench: Bench) -> None:
    """Warn of each session that setting up and putting away leave nothing of."""
    setup_min = bench.catalog.tidy_min if file.setup is None else file.setup
    for index, session in sessions:
        minutes = (session.to.hour - session.from_.hour) * 60 + session.to.minute - session.from_.minute
        if 0 < minutes <= setup_min + file.tidy:
            message = (
                f"the session has `{minutes} min`, and `{setup_min} min` of setting up and `{file.tidy} min` of "
                "putting away leave nothing of it"
            )
            hint = "say less under `setup` and `tidy`, or work longer"
            bench.faults.warn("session-too-short", ("sessions", index), message, hint)
