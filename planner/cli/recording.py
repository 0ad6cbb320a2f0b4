"""Lines for the log: what was found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, TypeVar

from planner.cli.called import id_called, id_or_word, names_of
from planner.cli.ending import Exit, Stop, listed
from planner.cli.handed_over import to_hand_over
from planner.cli.logbook import LogBook, log_book, moment_of
from planner.cli.naming import key_named
from planner.cli.options import Where, day_ahead, today
from planner.cli.terminal import say
from planner.cli.writing import written
from planner.finding.words import nearest, quoted
from planner.log.words import BUY
from planner.model.log import (
    ArrivedLine,
    BrokenLine,
    ExtraLine,
    KeptLine,
    Line,
    LostLine,
    NoteLine,
    OrderedLine,
    PhotoLine,
)
from planner.model.steps import step_of_key
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle

Read = TypeVar("Read")


def arrived(where: Where, what: Sequence[str]) -> None:
    """Things bought are here; what is in the log as here is told and not written once more."""
    told: list[str] = []

    def decide(book: LogBook) -> Sequence[Line]:
        told.clear()
        here = {e.buy: e.n for e in book.standing.entries if isinstance(e, ArrivedLine)}
        names = list(dict.fromkeys(_buys(book, what)))
        buys = book.plan().work.buys
        told.extend(f"{buys[n].what}: here already by line {here[n]}, not written again" for n in names if n in here)
        return [ArrivedLine(buy=name) for name in names if name not in here]

    written(where, decide)
    for line in told:
        say(line)


def ordered(where: Where, what: Sequence[str], said: str) -> None:
    """Things are ordered: expected on a day, or as many days from now or from their handing over as each takes."""
    ordered_on = moment_of(where.at).date()
    due = day_ahead(said, ordered_on) if said else None
    told: list[str] = []

    def line(book: LogBook, name: str) -> OrderedLine:
        buy = book.plan().work.buys[name]
        step = to_hand_over(book, name)
        begun = ordered_on if step is None else step.day_from(ordered_on)
        if step is not None and due is None:
            days = f"its {buy.lead_days} days run from step {step.number} ({step.title})"
            told.append(f"{buy.what}: {days}, planned for {day_words(begun)}")
        return OrderedLine(buy=name, due=begun + timedelta(days=buy.lead_days) if due is None else due)

    def decide(book: LogBook) -> Sequence[Line]:
        told.clear()
        return [line(book, name) for name in _buys(book, what)]

    written(where, decide)
    for one in told:
        say(f"{one}; done says which day it was")


def kept(where: Where, of: str, place: str) -> None:
    """Where something was put."""
    _of_thing(where, of, lambda thing: KeptLine(of=thing, where=place))


def photo(where: Where, of: str, file: str) -> None:
    """The name of a photo."""
    _of_thing(where, of, lambda thing: PhotoLine(of=thing, file=file))


def note(where: Where, text: str, of: str) -> None:
    """A note, of something or of nothing in particular."""
    if of:
        _of_thing(where, of, lambda thing: NoteLine(text=text, of=thing))
    else:
        written(where, lambda _: [NoteLine(text=text)])


def _of_thing(where: Where, word: str, line: Callable[[str], Line]) -> None:
    """A line about a thing; of one that nobody knows it is written as told, and that is said."""
    book = log_book(where.project, where.job)
    names = names_in(book)
    thing = _thing(book, word, names)
    written(where, lambda _: [line(thing)])
    if thing not in {*names, *(f.subject for f in book.plan().work.features.values()), *book.plan().work.tasks}:
        near = nearest(thing, names)
        meant = f", did you mean {quoted(near)}?" if near is not None else ""
        say(f"! nothing on the vehicle is called {quoted(thing)}{meant}")


def broken(  # what there is to say of it
    where: Where, part: str, why: str, minutes: int, days: int, price: float
) -> None:
    """A part was damaged."""
    name = known_thing(log_book(where.project, where.job), part)

    def decide(known: LogBook) -> Sequence[Line]:
        fresh = f"mend-{len(known.entries) + 1}"
        return [BrokenLine(id=fresh, part=name, why=why, minutes=minutes, lead_days=days, price=price)]

    after, _ = written(where, decide)
    say(f"`knockon replan {after.project} {after.job}` plans it")
    again = after.standing.broken[-1].id
    if days or price:
        told = f"once ordered `knockon record ordered {again}`, once here `knockon record arrived {again}`"
        say(f"what is bought for it is then on the list as `{again}`: {told}")
    else:
        say("planned as if nothing was to be bought for it: else undo this line and say --days or --price")


def lost(where: Where, said: str) -> None:
    """No work on a day, or on several; said when there was to be none anyway."""
    from planner.cli.spoken_days import spoken_days

    days = _understood(said, spoken_days)
    book = log_book(where.project, where.job)
    before = {day: given_up(book, day) for day in days}
    known = [f"no work on {day_words(day)} stands in the log already (line {n})" for day, n in before.items() if n]
    if all(before.values()):
        say("\n".join((*known, "nothing was written")))
        return
    idle = [day for day, n in before.items() if not n and not _works_on(book, day)]
    told = [*known, *(f"! no session of this job is on {day_words(day)}: nothing is lost by it" for day in idle)]
    planned_next(where, lambda now: [LostLine(day=day) for day in days if not given_up(now, day)], "\n".join(told))


def given_up(book: LogBook, day: date) -> int:
    """The line that says there is no work on a day, where that is the last word on it; else 0."""
    words = [e for e in book.standing.entries if isinstance(e, LostLine | ExtraLine) and e.day == day]
    return words[-1].n if words and isinstance(words[-1], LostLine) else 0


def more_time(where: Where, said: str, hands: int | None) -> None:
    """One more session, or several; ``hands`` where it was said by option."""
    from planner.cli.spoken_sessions import spoken_sessions

    found = _understood(said, spoken_sessions)
    sessions = found if hands is None else [replace(s, hands=hands) for s in found]
    lines = [ExtraLine(day=s.day, start=s.start, end=s.end, hands=s.hands) for s in sessions]
    planned_next(where, lambda _: lines)


def _understood(said: str, read: Callable[[str, date], tuple[Read, ...]]) -> tuple[Read, ...]:
    """What was read; the end of the command, with nothing written, where it was not understood."""
    try:
        return read(said, today())
    except ValueError as error:
        raise Stop(Exit.USAGE, str(error), "nothing was written") from None


def _works_on(book: LogBook, day: date) -> bool:
    """Whether the job has a session on a day; of a job that cannot be read nobody knows, and nothing is said."""
    from planner.order.sessions import sessions_on

    if any(e.day == day for e in book.standing.extra):
        return True
    job = files_of(book)[1]
    return job is None or bool(sessions_on(job, day))


def planned_next(where: Where, decide: Callable[[LogBook], Sequence[Line]], told: str = "") -> None:
    """Write what the next plan takes in, and say so."""
    after, _ = written(where, decide)
    if told:
        say(told)
    say(f"`knockon replan {after.project} {after.job}` plans it")


def _buys(book: LogBook, words: Sequence[str]) -> list[str]:
    """Things on the buying list; the hint at one that is none says how names of several words are written."""
    try:
        return [_buy(book, w) for w in words]
    except Stop as stop:
        if len(words) > 1:
            quotes = f'names with spaces in quotes, such as "{" ".join(words)}"'
            stop.hint = f"{stop.hint}; {quotes}" if stop.hint else quotes
        raise


def _buy(book: LogBook, word: str) -> str:
    known = book.plan().work.buys
    goods = {i: b for i, b in known.items() if b.goods}
    for name in (word, f"buy:{word}"):
        if name in goods:
            return name
    own = {i: word for i, b in goods.items() if b.for_part == word}
    names = own or {i: b.what for i, b in goods.items()}
    said = re.compile(rf"\b{re.escape(word.strip())}\b", re.IGNORECASE)
    meant = [i for i, what in names.items() if said.search(what)]
    if len(meant) == 1:
        return meant[0]
    if meant and word not in names.values():
        told = listed(f"{i.removeprefix(BUY)}: {names[i]}" for i in meant)
        raise Stop(Exit.USAGE, f"{quoted(word)} may be any of these:{told}", "say it by the name before the colon")
    return id_called(word, names, "nothing on the buying list is called", "`knockon plan` lists them")


def _thing(book: LogBook, word: str, names: Mapping[str, str]) -> str:
    """A part by its name, or what a step's number handles."""
    features = book.plan().work.features
    if word in {f.subject for f in features.values()}:
        return word
    if not word.isdigit():
        return id_or_word(word, names)
    step = step_of_key(key_named(book, word))
    return features[step.ref].subject if step.on is not None else step.ref


def names_in(book: LogBook) -> dict[str, str]:
    """Printed names by id of what is on the vehicle, and of what the job adds; none from a file with errors."""
    vehicle, job = files_of(book)
    if vehicle is None:
        return {}
    option = book.plan().option
    return names_of(vehicle, job if job is None or option not in job.options else job.taking(option))


def files_of(book: LogBook) -> tuple[Vehicle | None, Job | None]:
    """The vehicle and the job as their files have them; None for what has errors."""
    from planner.cli.loading import catalog_read
    from planner.shelf import load_job, load_vehicle

    catalog = catalog_read()
    vehicle, _ = load_vehicle(book.project, catalog)
    return vehicle, None if vehicle is None else load_job(book.project, book.job, vehicle, catalog)[0]


def known_thing(book: LogBook, word: str) -> str:
    """A part, link, cut or own task that there is; of a step's number, the one it handles."""
    work = book.plan().work
    names = names_in(book)
    thing = _thing(book, word.strip(), names)
    subjects = {f.subject for f in work.features.values() if f.subject}
    planned = {*work.tasks, *(t.split(".", 1)[0] for t in work.tasks), *subjects}
    if thing not in planned:
        called = {**{i: i for i in sorted(planned)}, **names}
        thing = id_called(thing, called, "nothing in the plan or on the vehicle is called", "`knockon plan` lists them")
    task = work.tasks.get(thing)
    whole = task is not None and (task.effect == "" or thing == f"check.{task.checkpoint}")
    return thing if whole else thing.split(".", 1)[0]
