"""Questions and answers, on a terminal or from lines; whoever goes back is asked the question before again.

Going back needs no undoing: the questions are put anew from the first one and answered with what was answered, out of
sight, up to the one that is to be asked again. Whatever is asked must therefore follow from the answers alone.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from shutil import get_terminal_size
from textwrap import wrap
from typing import Generic, TypeVar

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.new_lines import Lines, lines_of_file, lines_of_pipe

T = TypeVar("T")
BACK = "back"
LONGEST_ANSWER = 400
WIDEST = 110
"""Longer lines are hard to read, however wide the terminal is."""


class WrongAnswerError(ValueError):
    """An answer that cannot be taken: what is wrong, with its limit, and what to write."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class BackError(Exception):
    """Some answers are taken back.

    Parameters
    ----------
    to : int, optional
        How many answers stay; None: all but the last.
    words : str
        What is told before the next question.
    """

    def __init__(self, to: int | None = None, words: str = "") -> None:
        super().__init__(words)
        self.to = to
        self.words = words


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Generic[T]):
    """One question: an empty answer means ``default``, `?` shows the examples."""

    words: str
    read: Callable[[str], T]
    default: str
    help: str
    """One line, shown before the question is asked for the first time."""
    examples: tuple[str, ...] = ()
    listing: Callable[[str], Iterable[str]] | None = None
    """What `?` shows instead of the examples, and `? word` of it."""
    decides: bool = False
    """With another answer the questions after it are about something else."""
    aside: tuple[str, ...] = ()
    """A question that only turns up at times: the answers to it that a line may hold. A line with anything else is
    meant for the next question, and the first of these is taken."""


@dataclass(frozen=True, slots=True)
class Given:
    """An answer as it was typed, and to what."""

    words: str
    answer: str


class Talk:
    """A run of questions, with every answer that was given.

    Parameters
    ----------
    lines : Lines, optional
        Answers; None: a person answers on the terminal.
    person : bool
        A person is at the terminal, and goes on where the lines end or one of them is wrong.
    """

    def __init__(self, lines: Lines | None = None, *, person: bool = True) -> None:
        self._lines = lines
        self._person = person
        self._number = 0
        """Line of the last answer; 0: it was typed."""
        self._line = ""
        self._not_taken = ""
        self._words = ""
        self._helped: set[str] = set()
        self._refusals = 0
        self.given: list[Given] = []
        self._again: list[Given] = []
        """Answers that are given once more, out of sight."""
        self._unsaid: list[str] | None = None
        """What would have been told since the last of those; None: nothing is kept back."""
        self._offered: list[Given] = []
        """Answers that were taken back, the next one last."""

    def say(self, text: str = "", hang: str = "") -> None:
        """Tell something between two questions, wrapped to the terminal with the text's own indent and ``hang``."""
        if self._unsaid is not None:
            self._unsaid.append(text)
            return
        width = min(get_terminal_size().columns, WIDEST)
        for line in text.split("\n"):
            indent = " " * (len(line) - len(line.lstrip()))
            told = wrap(line, width, subsequent_indent=indent + hang, break_on_hyphens=False)
            typer.echo("\n".join(told) if len(line) > width else line)

    def ask(self, question: Question[T]) -> T:
        """Ask until the answer can be taken; of lines without a person a wrong one ends the command.

        Raises
        ------
        BackError
            The question before is to be asked again.
        Stop
            A line is wrong, or the lines end.
        EOFError, KeyboardInterrupt
            The person wants no more.
        """
        past = self._past(question)
        if past is not None:
            return question.read(past.answer or question.default)
        if question.help not in self._helped:
            self._helped.add(question.help)
            self.say(f"  {question.help}")
        offered = self._offer(question)
        while True:
            answer = self._answer(question, offered)
            if answer.startswith("?"):
                self._show(question, answer[1:].strip())
                continue
            meant = answer or offered or ""
            try:
                if answer.lower() == BACK:
                    self._go_back()
                taken = question.read(_checked(meant) or question.default)
            except ValueError as error:
                self.refuse(error)
                if offered is not None and not answer:
                    offered = None
                    self._offered.pop()
                continue
            self._refusals = 0
            if offered is not None:
                self._offered.pop()
            if question.decides and meant != offered:
                self._offered.clear()
            self.given.append(Given(question.words, meant))
            return taken

    def _past(self, question: Question[T]) -> Given | None:
        """The answer that is given once more; None when the question is to be asked in sight."""
        if self._again and self._again[0].words == question.words:
            past = self._again[0]
            try:
                question.read(past.answer or question.default)
            except ValueError:
                # What the answer was about has changed on the disk meanwhile.
                self._in_sight()
                return None
            self._unsaid = []
            self.given.append(self._again.pop(0))
            return past
        self._in_sight()
        return None

    def _go_back(self) -> None:
        if not self.given:
            raise WrongAnswerError("there is no question before this one", "answer it, or Ctrl-C stops")
        raise BackError

    def _offer(self, question: Question[T]) -> str | None:
        """The answer that was taken back, left last in the list; after other questions than those it came of all go."""
        if question.aside:
            # What was said of one overlap is not to be said of another by Enter alone.
            return None
        for depth in (1, 2):
            # One question between may have fallen away with another answer, or an aside may have come in.
            if len(self._offered) >= depth and self._offered[-depth].words == question.words:
                del self._offered[len(self._offered) - depth + 1 :]
                return self._offered[-1].answer
        self._offered.clear()
        return None

    def _show(self, question: Question[T], word: str) -> None:
        self.say(f"  {question.help}")
        for line in question.examples if question.listing is None else question.listing(word):
            self.say(f"    {line}", hang="  ")
        self.say(f"    {BACK}: the question before")

    def _answer(self, question: Question[T], offered: str | None) -> str:
        default = offered or question.default
        prompt = f"{question.words} [{default}]: " if default else f"{question.words}: "
        self._number = 0
        if self._lines is not None and self._person and self._lines.peek() is None:
            self._lines = None
        if self._lines is None:
            return input(prompt).strip()
        if question.aside and (self._lines.peek() or "").lower() not in question.aside:
            if self._person:
                return input(prompt).strip()
            typer.echo(f"{prompt}{question.aside[0]}   (no line says otherwise)")
            return question.aside[0]
        found = self._lines.take()
        if found is None:
            message = f"{self._lines.source} ends where an answer is wanted: {question.words}"
            raise Stop(Exit.USAGE, message, "nothing is written; an empty line takes the default")
        self._number, self._line = found
        typer.echo(prompt + _shown(self._line))
        return self._line

    def refuse(self, error: ValueError, since: int | None = None) -> None:
        """Say why an answer is not taken; of lines without a person that ends the command.

        Parameters
        ----------
        error : ValueError
            With a ``hint``; any other is raised again.
        since : int, optional
            Answers there were before the ones that do not go together: those are forgotten, and offered again.

        Raises
        ------
        Stop
            The answer was a line, and nobody is there.
        """
        message, hint = str(error), str(getattr(error, "hint", ""))
        if not hasattr(error, "hint"):
            raise error
        if self._lines is not None and self._number:
            message = f"{self._lines.source}:{self._number}: {message}"
            if not self._person:
                if since is None:
                    self._not_taken = f"line {self._number}: {self._line}"
                else:
                    self.take_back(since)
                raise Stop(Exit.USAGE, message, f"{hint}; nothing is written" if hint else "nothing is written")
        if since is not None:
            self.take_back(since)
        self.say(f"  {message}" + (f"; {hint}" if hint else ""))
        self._refusals += 1
        if self._lines is not None and self._number:
            self._lines = None
            self.say("  go on by hand from here: the other lines are not read (Ctrl-C stops; put it right in the file)")
        elif self._refusals > 1 and self.given:
            self.say(f"  `{BACK}` goes to the question before")

    def take_back(self, since: int, *, offer: bool = True) -> None:
        """Forget the answers after the first ``since``; each is offered when its question comes again."""
        if offer:
            self._offered = [*reversed(self.given[since:])]
        del self.given[since:]

    def rewind(self, back: BackError) -> None:
        """Take answers back: the questions are to be put anew, and those before are answered out of sight."""
        if back.to is None:
            self._offered.append(self.given.pop())
        else:
            del self.given[back.to :]
        self._again, self.given = self.given, []
        self._unsaid = []
        self._words = back.words

    def _in_sight(self) -> None:
        """End of what is answered out of sight: what was told since the last answer is wanted again."""
        if self._unsaid is None:
            return
        self._offered += reversed(self._again)
        unsaid, self._unsaid, self._again = self._unsaid, None, []
        for text in ([self._words] if self._words else []) + unsaid:
            self.say(text)

    def see_end(self) -> None:
        """Refuse answers that nobody asked for: they would have been meant for other questions.

        Raises
        ------
        Stop
            There are some.
        """
        while self._lines is not None and (found := self._lines.take()) is not None:
            if found[1]:
                raise Stop(
                    Exit.USAGE,
                    f"{self._lines.source}:{found[0]}: nothing is asked any more, found {_shown(found[1])}",
                    "an answer is missing or too many before it; nothing is written",
                )

    def so_far(self) -> list[str]:
        """The answers that were taken, as lines to go on from; those taken back as comments under them."""
        # A line that begins with # would be read as a comment.
        lines = [" " * past.answer.startswith("#") + _shown(past.answer) for past in [*self.given, *self._again]]
        lines += [f"# taken back, {_shown(past.words)}: {_shown(past.answer)}" for past in reversed(self._offered)]
        if self._not_taken:
            lines.append(f"# not taken, {_shown(self._not_taken)}")
        return lines


def _checked(answer: str) -> str:
    from planner.files.raw import has_hidden

    if has_hidden(answer):
        raise WrongAnswerError("that holds a character that cannot be seen", "type it in plain letters")
    if len(answer) > LONGEST_ANSWER:
        raise WrongAnswerError(f"that has {len(answer)} characters, {LONGEST_ANSWER} are allowed", "shorten it")
    return answer


def _shown(text: str) -> str:
    """An answer as it may go to a terminal."""
    safe = "".join(c if c.isprintable() else "\ufffd" for c in text[:LONGEST_ANSWER])
    return safe.encode("utf-8", "replace").decode()


def talk_from(file: Path | None) -> Talk:
    """The talk of a command: answers from ``file``, from a pipe, or from the person at the terminal.

    Raises
    ------
    Stop
        The file cannot be read as text.
    """
    person = sys.stdin is not None and sys.stdin.isatty()
    if person:
        _with_line_editing()
    if file is not None:
        return Talk(lines_of_file(file), person=person)
    return Talk() if person else Talk(lines_of_pipe(), person=False)


def _with_line_editing() -> None:
    """Arrow keys in answers, where the platform has them."""
    try:
        import readline  # noqa: F401  its import is what `input` looks for
    except ImportError:
        return


def settled(talk: Talk, question: Question[T], given: str | None, option: str) -> T:
    """The answer of an option, else of the person.

    Raises
    ------
    Stop
        The option's value cannot be taken.
    """
    if given is None:
        return talk.ask(question)
    try:
        return question.read(given)
    except ValueError as error:
        if not hasattr(error, "hint"):
            raise
        raise Stop(Exit.USAGE, f"{option}: {error}", str(error.hint)) from None
