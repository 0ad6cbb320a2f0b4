"""Lines for the log: what was found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, time, timedelta
from typing import TYPE_CHECKING

import typer

from planner.cli.called import id_called, id_or_word, names_of
from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook, log_book, moment_of
from planner.cli.naming import key_named
from planner.cli.options import Names, Where
from planner.cli.writing import written
from planner.finding.words import nearest, quoted
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
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle

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
    book = log_book(where.project, where.job)
    was = _size_before(book, name, value)
    _planned_next(where, lambda _: [SizeLine(size=name, value=value)], f"it was {was}")


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
    names = _names(book)
    thing = _thing(book, word, names)
    written(where, lambda _: [line(thing)])
    if thing not in {*names, *(f.subject for f in book.plan().work.features.values()), *book.plan().work.tasks}:
        near = nearest(thing, names)
        meant = f", did you mean {quoted(near)}?" if near is not None else ""
        typer.echo(f"! nothing on the vehicle is called {quoted(thing)}{meant}")


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
    typer.echo(
        "what was found is planned as plain work: before it welds, grinds or drills the battery is off, fuel and brake "
        "lines are away and somebody watches for fire"
    )
    if not before:
        typer.echo("it may come after what is fitted over it: --before PART puts it first")


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
    """No work on a day; said when there was to be none anyway."""
    book = log_book(where.project, where.job)
    told = "" if _works_on(book, day) else f"! no session of this job is on {day_words(day)}: nothing is lost by it"
    _planned_next(where, lambda _: [LostLine(day=day)], told)


def more_time(where: Where, day: date, hours: str, hands: int) -> None:
    """One more session."""
    start, end = _hours(hours)
    _planned_next(where, lambda _: [ExtraLine(day=day, start=start, end=end, hands=hands)])


def _works_on(book: LogBook, day: date) -> bool:
    """Whether the job has a session on a day; of a job that cannot be read nobody knows, and nothing is said."""
    from planner.order.sessions import sessions_on

    if any(e.day == day for e in book.standing.extra):
        return True
    job = _job(book)[1]
    return job is None or bool(sessions_on(job, day))


def _planned_next(where: Where, decide: Callable[[LogBook], Sequence[Line]], told: str = "") -> None:
    after, _ = written(where, decide)
    if told:
        typer.echo(told)
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


def _thing(book: LogBook, word: str, names: Mapping[str, str]) -> str:
    """A part by its name, or what a step's number handles."""
    features = book.plan().work.features
    if word in {f.subject for f in features.values()}:
        return word
    if not word.isdigit():
        return id_or_word(word, names)
    step = step_of_key(key_named(book, word))
    return features[step.ref].subject if step.on is not None else step.ref


def _names(book: LogBook) -> dict[str, str]:
    """Printed names by id of what is on the vehicle, and of what the job adds; none from a file with errors."""
    vehicle, job = _job(book)
    if vehicle is None:
        return {}
    option = book.plan().option
    return names_of(vehicle, job if job is None or option not in job.options else job.taking(option))


def _job(book: LogBook) -> tuple[Vehicle | None, Job | None]:
    """The vehicle and the job as their files have them; None for what has errors."""
    from planner.cli.loading import catalog_read
    from planner.shelf import load_job, load_vehicle

    catalog = catalog_read()
    vehicle, _ = load_vehicle(book.project, catalog)
    return vehicle, None if vehicle is None else load_job(book.project, book.job, vehicle, catalog)[0]


def _known(book: LogBook, word: str) -> str:
    """A part, link, cut or own task that there is; of a step's number, the one it handles."""
    work = book.plan().work
    names = _names(book)
    thing = _thing(book, word.strip(), names)
    subjects = {f.subject for f in work.features.values() if f.subject}
    planned = {*work.tasks, *(t.split(".", 1)[0] for t in work.tasks), *subjects}
    if thing not in planned:
        called = {**{i: i for i in sorted(planned)}, **names}
        thing = id_called(thing, called, "nothing in the plan or on the vehicle is called", "`knockon plan` lists them")
    return thing if thing in work.tasks and work.tasks[thing].effect == "" else thing.split(".", 1)[0]


def _size_before(book: LogBook, name: str, value: str) -> str:
    """What a size was, in words; ends the command when there is no such size or the value does not read as one."""
    from planner.cli.loading import catalog_read
    from planner.cli.measure import values_tried
    from planner.cli.measured import filled_with
    from planner.cli.show_measure import known_words
    from planner.shelf import draft_of

    catalog = catalog_read()
    vehicle, _ = filled_with(book, {name: value}, catalog)
    draft = draft_of(book.project, book.job, catalog)
    (known,) = values_tried(draft, [f"{name}={value}"])
    last = book.standing.sizes.get(name)
    return f"{known_words(draft.size(known), vehicle.units)} in the file" if last is None else f"{last} in the log"
