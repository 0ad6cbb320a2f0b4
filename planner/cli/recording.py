"""Lines for the log: what was found, measured, put away, broken, lost or came by post."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date, time, timedelta
from difflib import get_close_matches

import typer

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

_HOURS = re.compile(r"(?P<start>[0-9]{1,2}:[0-9]{2})-(?P<end>[0-9]{1,2}:[0-9]{2})")


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
    written(where, lambda book: [KeptLine(of=_thing(book, of), where=place)])


def photo(where: Where, of: str, file: str) -> None:
    """The name of a photo."""
    written(where, lambda book: [PhotoLine(of=_thing(book, of), file=file)])


def note(where: Where, text: str, of: str) -> None:
    """A note, of something or of nothing in particular."""
    written(where, lambda book: [NoteLine(text=text, of=_thing(book, of) if of else "")])


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
    own = [i for i, b in goods.items() if b.for_part == word]
    if len(own) == 1:
        return own[0]
    raise _unknown(word, own or [i for i, b in known.items() if b.goods], "on the buying list")


def _thing(book: LogBook, word: str) -> str:
    """A part by its name, or what a step's number handles."""
    features = book.plan().work.features
    subjects = {f.subject for f in features.values()}
    if word in subjects or not word.isdigit():
        return word
    step = step_of_key(key_named(book, word))
    return features[step.ref].subject if step.on is not None else step.ref


def _known(book: LogBook, word: str) -> str:
    """A part, link, cut or own task that there is; of a step's number, the one it handles."""
    from planner.cli.loading import catalog_read, vehicle_read

    work = book.plan().work
    thing = _thing(book, word.strip().replace(" ", "-"))
    planned = {*work.tasks, *(t.split(".", 1)[0] for t in work.tasks), *(f.subject for f in work.features.values())}
    if thing in planned:
        return thing if thing in work.tasks and work.tasks[thing].effect == "" else thing.split(".", 1)[0]
    vehicle = vehicle_read(book.project, catalog_read())
    if thing in vehicle.components or thing in vehicle.links:
        return thing
    raise _unknown(word, [*planned, *vehicle.components, *vehicle.links], "in the plan or on the vehicle")


def _unknown(word: str, known: Iterable[str], where: str) -> Stop:
    near = get_close_matches(word, sorted(set(known)), n=3)
    hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else "`knockon plan` lists them"
    return Stop(Exit.USAGE, f"nothing {where} is called `{word}`", hint)


def _see_size(book: LogBook, name: str, value: str) -> None:
    """Whether there is such a size, and the value reads as one in its place."""
    from planner.cli.loading import catalog_read
    from planner.cli.measured import filled_with

    filled_with(book, {name: value}, catalog_read())
