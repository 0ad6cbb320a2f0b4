"""Lines for the log: what was found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date, time, timedelta

import typer

from planner.cli.called import id_called, id_or_word, names_of
from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook, log_book, moment_of
from planner.cli.naming import key_named
from planner.cli.options import Names, Where
from planner.cli.writing import written
from planner.model.log import (
    ArrivedLine,
    BrokenLine,
    ExtraLine,
    FoundLine,
    KeptLine,
    Line,
    LostLine,
    NoteLine,
    OrderedLine,
    PhotoLine,
    SizeLine,
)
from planner.model.steps import step_of_key

_HOURS = re.compile(r"(?P<start>[0-9]{1,2}:[0-9]{2})(?:-| to )(?P<end>[0-9]{1,2}:[0-9]{2})")


def arrived(where: Where, what: Sequence[str]) -> None:
    """Things bought are here."""
    written(where, lambda book: [ArrivedLine(buy=_buy(book, w)) for w in what])


def ordered(where: Where, what: Sequence[str], due: date | None) -> None:
    """Things are ordered: expected on a day, or as many days from now as each takes."""
    today = moment_of(where.at).date()

    def line(book: LogBook, word: str) -> OrderedLine:
        name = _buy(book, word)
        days = timedelta(days=book.plan().work.buys[name].lead_days)
        return OrderedLine(buy=name, due=today + days if due is None else due)

    written(where, lambda book: [line(book, w) for w in what])


def size(where: Where, name: str, value: str) -> None:
    """A size was measured; refused when there is no such size or the value does not read as one."""
    _see_size(log_book(where.project, where.job), name, value)
    written(where, lambda _: [SizeLine(size=name, value=value)])


def kept(where: Where, of: str, place: str) -> None:
    """Where something was put."""
    thing = _thing(log_book(where.project, where.job), of)
    written(where, lambda _: [KeptLine(of=thing, where=place)])


def photo(where: Where, of: str, file: str) -> None:
    """The name of a photo."""
    thing = _thing(log_book(where.project, where.job), of)
    written(where, lambda _: [PhotoLine(of=thing, file=file)])


def note(where: Where, text: str, of: str) -> None:
    """A note, of something or of nothing in particular."""
    thing = _thing(log_book(where.project, where.job), of) if of else ""
    written(where, lambda _: [NoteLine(text=text, of=thing)])


def found(where: Where, title: str, minutes: int, hands: int, names: Names) -> None:
    """More work than the plan knew."""
    book = log_book(where.project, where.job)
    before, after, off, fitted = (
        tuple(_known(book, n) for n in each) for each in (names.before, names.after, names.off, names.fitted)
    )

    def decide(known: LogBook) -> Sequence[Line]:
        return [
            FoundLine(
                id=f"found-{len(known.entries) + 1}",
                title=title,
                minutes=minutes,
                hands=hands,
                before=before,
                after=after,
                off=off,
                fitted=fitted,
            )
        ]

    _planned_next(where, decide)


def broken(  # what there is to say of it
    where: Where, part: str, why: str, minutes: int, days: int, price: float
) -> None:
    """A part was damaged."""
    name = _known(log_book(where.project, where.job), part)

    def decide(known: LogBook) -> Sequence[Line]:
        fresh = f"mend-{len(known.entries) + 1}"
        return [BrokenLine(id=fresh, part=name, why=why, minutes=minutes, lead_days=days, price=price)]

    _planned_next(where, decide)


def lost(where: Where, day: date) -> None:
    """No work on a day."""
    _planned_next(where, lambda _: [LostLine(day=day)])


def more_time(where: Where, day: date, hours: str, hands: int) -> None:
    """One more session."""
    start, end = _hours(hours)
    _planned_next(where, lambda _: [ExtraLine(day=day, start=start, end=end, hands=hands)])


def _planned_next(where: Where, decide: Callable[[LogBook], Sequence[Line]]) -> None:
    after, _ = written(where, decide)
    typer.echo(f"`knockon replan {after.project} {after.job}` plans it")


def _hours(text: str) -> tuple[time, time]:
    match = _HOURS.fullmatch(text)
    try:
        if match is not None:
            start, end = (time.fromisoformat(match[k].zfill(5)) for k in ("start", "end"))
            if start < end:
                return start, end
    except ValueError:
        pass
    raise Stop(Exit.USAGE, f"`{text}` is no stretch of a day", "write it as 18:00-21:30")


def _buy(book: LogBook, word: str) -> str:
    known = book.plan().work.buys
    goods = {i: b for i, b in known.items() if b.goods}
    for name in (word, f"buy:{word}"):
        if name in goods:
            return name
    own = {i: word for i, b in goods.items() if b.for_part == word}
    names = own or {i: b.what for i, b in goods.items()}
    return id_called(word, names, "nothing on the buying list is called", "`knockon plan` lists them")


def _thing(book: LogBook, word: str) -> str:
    """A part by its name, or what a step's number handles."""
    features = book.plan().work.features
    if word in {f.subject for f in features.values()}:
        return word
    if not word.isdigit():
        return id_or_word(word, _names(book))
    step = step_of_key(key_named(book, word))
    return features[step.ref].subject if step.on is not None else step.ref


def _names(book: LogBook) -> dict[str, str]:
    """Printed names by id of what is on the vehicle, and of what the job adds; none from a file with errors."""
    from planner.cli.loading import catalog_read
    from planner.shelf import load_job, load_vehicle

    catalog = catalog_read()
    vehicle, _ = load_vehicle(book.project, catalog)
    if vehicle is None:
        return {}
    job, _ = load_job(book.project, book.job, vehicle, catalog)
    option = book.plan().option
    return names_of(vehicle, job if job is None or option not in job.options else job.taking(option))


def _known(book: LogBook, word: str) -> str:
    """A part, link, cut or own task that there is; of a step's number, the one it handles."""
    work = book.plan().work
    thing = _thing(book, word.strip())
    subjects = {f.subject for f in work.features.values() if f.subject}
    planned = {*work.tasks, *(t.split(".", 1)[0] for t in work.tasks), *subjects}
    if thing not in planned:
        names = {**{i: i for i in sorted(planned)}, **_names(book)}
        thing = id_called(thing, names, "nothing in the plan or on the vehicle is called", "`knockon plan` lists them")
    return thing if thing in work.tasks and work.tasks[thing].effect == "" else thing.split(".", 1)[0]


def _see_size(book: LogBook, name: str, value: str) -> None:
    """Whether there is such a size, and the value reads as one in its place."""
    from planner.cli.loading import catalog_read
    from planner.cli.measured import filled_with

    filled_with(book, {name: value}, catalog_read())
