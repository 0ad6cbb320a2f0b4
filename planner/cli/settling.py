"""Lines of the log by which the vehicle itself is asked: a size that was measured, a question that was settled."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.cli.current import see_open
from planner.cli.ending import Exit, Stop, listed
from planner.cli.likely import see_enough, see_likely
from planner.cli.logbook import LogBook, log_book
from planner.cli.looking import Seen, looked_at
from planner.cli.measured import typed_length
from planner.cli.options import Where
from planner.cli.terminal import indented, page, say
from planner.cli.told_run import is_of_run, run_words
from planner.cli.updated import is_updated
from planner.cli.writing import written
from planner.finding.words import quoted
from planner.log.questions import open_questions, questions_in
from planner.log.sizes import look_of
from planner.model.guessed import SIZE
from planner.model.log import Fits, Line, SettledLine, SizeLine
from planner.units.number import DOUBT

if TYPE_CHECKING:
    from planner.model.sizes import TapeSize
    from planner.model.standing import Question
    from planner.shelf import Draft


def size(where: Where, name: str, value: str, *, sure: bool = False) -> None:
    """A size was measured; refused when there is no such size or the value does not read as one.

    One that is far from all that was known is asked about, or wants ``sure``. The agreed plan is looked at with it
    there and then, and the line says what came of it.
    """
    from planner.cli.loading import catalog_read
    from planner.cli.measured import filled_with, named_now
    from planner.shelf import draft_of

    book = log_book(where.project, where.job)
    book.plan()
    see_open(book)
    draft = draft_of(book.project, book.job, catalog_read())
    value = typed_length(value)
    asked, name = name, named_now(book, draft, name)
    # What does not read as a size is refused before anything is asked.
    filled_with(draft, {name: value})
    known = _size_before(book, draft, name)
    if not sure:
        see_likely(book, draft, name, value, known)
    sizes = {**{n: v for n, v in book.standing.sizes.items() if n != name}, name: value}
    seen = looked_at(book, draft, sizes)

    def decide(_: LogBook) -> Sequence[Line]:
        return [_size_line(name, value, sizes, seen)]

    after, _ = written(where, decide)
    if name != asked:
        part = name.partition(".")[0]
        say(f"{part} is back from being altered: that is its size now, {name} (else `knockon undo`)")
    say(f"it was {_was_words(book, draft, name, known)}")
    if not DOUBT.search(value):
        say(f'how sure it is was not told: "{value} +/- 1 mm" says so, and may settle what is open')
    _tell_seen(after, seen)


def _size_line(name: str, value: str, sizes: Mapping[str, str], seen: Seen) -> SizeLine:
    return SizeLine(size=name, value=value, fits=seen.fits, told=seen.told, beside=dict(sizes), answers=seen.answers)


def _tell_seen(book: LogBook, seen: Seen) -> None:
    """What the size does to the agreed plan: it holds, or all that is against it and what leads on."""
    agreed = book.plan()
    look = look_of(agreed, book.standing)
    with page() as console:
        if look is None or look.fits is Fits.HOLDS:
            console.print("The agreed plan still holds: every part has its place, and the work is the same.")
            where = f"{book.project} {book.job}"
            if is_updated(agreed):
                told = "(without what knockon plans otherwise since it was updated: `knockon replan` shows that)"
                console.print(Text(told))
            console.print(f"`knockon replan {where} --agree` takes the size into it, at any time before the road.")
        for question in (q for q in questions_in(agreed) if q.id in seen.answers):
            console.print(Text(f"no open question any more: {question.text}"))
        if seen.fits is Fits.HOLDS and seen.told:
            console.print("Within what the sizes are sure to, the same piece and no reason to stop:")
        for line in seen.told if seen.fits is Fits.HOLDS else seen.told[1:]:
            console.print(indented(f"- {line}"))


def _size_before(book: LogBook, draft: Draft, name: str) -> tuple[TapeSize, str]:
    """A size as the files have it, or as the job makes it, and the owner's units."""
    from planner.cli.measured import filled_with, in_option, size_before

    vehicle, job = filled_with(draft, {})
    return size_before(draft, name, vehicle, in_option(job, book.plan().option)), vehicle.units


def _was_words(book: LogBook, draft: Draft, name: str, known: tuple[TapeSize, str]) -> str:
    """What a size was before it was measured just now."""
    from planner.cli.show_measure import known_words

    last = book.standing.sizes.get(name)
    if last is not None:
        return f"{last} in the log"
    return f"{known_words(*known)} {'in the file' if draft.altered(name) is None else 'as the job makes it'}"


def settled(where: Where, question: str, answer: str) -> None:
    """An open question was settled on the vehicle."""
    if not answer.strip():
        raise Stop(Exit.USAGE, "an answer is wanted", "what was measured or decided, in a few words: it is kept")
    book = log_book(where.project, where.job)
    asked = _question(book, question)
    if asked.keep_mm is not None:
        see_enough(asked, answer.strip(), _units(book))

    def decide(known: LogBook) -> Sequence[Line]:
        found = _question(known, question)
        if found.id.endswith(SIZE):
            told = "the plan reckons with the guess whatever is said: write down what was measured"
            part = found.id.removesuffix(SIZE)
            raise Stop(
                Exit.USAGE, f"{found.text}: {told}", f"knockon record size {part}.box.x VALUE, each of its sizes"
            )
        return [SettledLine(question=found.id, answer=answer.strip(), text=found.text, why=found.why)]

    after, _ = written(where, decide)
    if is_of_run(asked):
        say(run_words(asked, answer.strip(), _units(book)))
    left = len(open_questions(after.plan(), after.standing))
    say("no question is open any more" if not left else f"{left} still open: `knockon status` tells them")


def _units(book: LogBook) -> str:
    """Units in which the owner measures."""
    from planner.cli.recording import files_of

    vehicle, _ = files_of(book)
    return "mm" if vehicle is None else vehicle.units


def _question(book: LogBook, word: str) -> Question:
    """The open question that is meant: by its id, by the thing it is about, or by words of it."""
    agreed = book.plan()
    known, left = questions_in(agreed), open_questions(agreed, book.standing)
    sought = " ".join(word.lower().split())
    named = [q for q in known if q.id.lower() in {sought, sought.replace(" ", "-")}] or _meant(sought, left)
    if len(named) == 1:
        return named[0]
    among = named or left
    if not among:
        raise Stop(Exit.USAGE, "no question is open", f"knockon status {book.project} {book.job}")
    told = listed(f"{q.id}: {q.text}" for q in among)
    what = f"{quoted(word)} may be any of" if named else f"no open question is called {quoted(word)}; open are"
    raise Stop(Exit.USAGE, f"{what}:{told}", "name one by what stands before its colon")


def _meant(sought: str, left: Sequence[Question]) -> list[Question]:
    """The open questions that words may mean: a whole name before words that stand anywhere in the text."""
    if not sought:
        return []
    dashed = sought.replace(" ", "-")
    ways: tuple[Callable[[Question], bool], ...] = (
        lambda q: dashed in q.about,
        lambda q: re.search(rf"\b{re.escape(sought)}\b", q.text.lower()) is not None,
        lambda q: all(w in q.text.lower() for w in sought.split()),
    )
    return next((found for way in ways if (found := [q for q in left if way(q)])), [])
