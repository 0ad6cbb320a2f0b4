"""Questions and answers on a terminal, or from a file or pipe with one answer a line."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from shutil import get_terminal_size
from textwrap import wrap
from typing import Generic, TypeVar

import typer

from planner.cli.ending import Exit, Stop

T = TypeVar("T")
LONGEST_ANSWER = 400
WIDEST = 110
"""Longer lines are hard to read, however wide the terminal is."""
LARGEST_PIPE = 1_000_000
"""Characters of answers that are read of a pipe: one that never ends (`yes`) is left there."""


class WrongAnswerError(ValueError):
    """An answer that cannot be taken: what is wrong, with its limit, and what to write."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Generic[T]):
    """One question: an empty answer means ``default``, `?` shows the examples."""

    words: str
    read: Callable[[str], T]
    default: str
    help: str
    """One line, shown before the question is asked for the first time."""
    examples: tuple[str, ...] = ()


class Talk:
    """A run of questions, with every answer that was given.

    Parameters
    ----------
    lines : iterator of (int, str), optional
        Answers with their line numbers; None: a person answers on the terminal.
    source : str
        What the lines come from, for messages.
    person : bool
        A person goes on where the lines end.
    """

    def __init__(
        self, lines: Iterator[tuple[int, str]] | None = None, source: str = "", *, person: bool = True
    ) -> None:
        self._lines = lines
        self._source = source
        self._person = person
        self._where = ""
        self._helped: set[str] = set()
        self.given: list[str] = []

    def say(self, text: str = "") -> None:
        """Tell something between two questions, wrapped to the terminal with the text's own indent."""
        width = min(get_terminal_size().columns, WIDEST)
        for line in text.split("\n"):
            indent = " " * (len(line) - len(line.lstrip()))
            typer.echo("\n".join(wrap(line, width, subsequent_indent=indent)) if len(line) > width else line)

    def ask(self, question: Question[T]) -> T:
        """Ask until the answer can be taken; of lines from a file or pipe a wrong one ends the command.

        Raises
        ------
        Stop
            A line is wrong, or the lines end.
        EOFError, KeyboardInterrupt
            The person wants no more.
        """
        if question.help not in self._helped:
            self._helped.add(question.help)
            self.say(f"  {question.help}")
        while True:
            answer = self._answer(question)
            if answer == "?":
                self.say(f"  {question.help}")
                for example in question.examples:
                    self.say(f"    {example}")
                continue
            try:
                taken = question.read(_checked(answer) or question.default)
            except ValueError as error:
                self.refuse(error)
                continue
            self.given.append(answer)
            return taken

    def _answer(self, question: Question[T]) -> str:
        prompt = f"{question.words} [{question.default}]: " if question.default else f"{question.words}: "
        while self._lines is not None:
            found = next(self._lines, None)
            if found is None:
                if self._person:
                    self._lines = None
                    break
                raise Stop(
                    Exit.USAGE,
                    f"{self._source} ends where an answer is wanted: {question.words}",
                    "nothing is written; an empty line takes the default",
                )
            number, line = found
            if line.startswith("#"):
                continue
            self._where = f"{self._source}:{number}: "
            typer.echo(prompt + _shown(line.strip()))
            return line.strip()
        self._where = ""
        return input(prompt).strip()

    def refuse(self, error: ValueError) -> None:
        """Say why an answer is not taken; of lines from a file or pipe that ends the command.

        Raises
        ------
        Stop
            The answer was a line.
        """
        message, hint = str(error), str(getattr(error, "hint", ""))
        if not hasattr(error, "hint"):
            raise error
        if self._where:
            raise Stop(Exit.USAGE, f"{self._where}{message}", f"{hint}; nothing is written" if hint else "")
        self.say(f"  {message}" + (f"; {hint}" if hint else ""))

    def see_end(self) -> None:
        """Refuse answers that nobody asked for: they would have been meant for other questions.

        Raises
        ------
        Stop
            There are some.
        """
        if self._lines is None or self._person:
            return
        for number, line in self._lines:
            if line.strip() and not line.startswith("#"):
                raise Stop(
                    Exit.USAGE,
                    f"{self._source}:{number}: nothing is asked any more, found {_shown(line.strip())}",
                    "an answer is missing or too many before it; nothing is written",
                )


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
    if file is not None:
        return Talk(_numbered(_text_lines(file)), str(file), person=person)
    if person:
        _with_line_editing()
        return Talk()
    return Talk(_numbered(_piped()), "<stdin>", person=False)


def _text_lines(file: Path) -> list[str]:
    from planner.files.raw import read_text

    text, findings = read_text(file)
    if text is None and not (findings and findings[0].code == "empty-file"):
        raise Stop(Exit.FILE, f"{file}: {findings[0].message}", findings[0].hint)
    return (text or "").splitlines()


def _piped() -> Iterator[str]:
    size = 0
    while sys.stdin is not None and size <= LARGEST_PIPE:
        try:
            line = sys.stdin.readline(LARGEST_PIPE)
        except UnicodeDecodeError:
            raise Stop(Exit.USAGE, "<stdin> is not UTF-8 text", "nothing is written") from None
        if not line:
            return
        size += len(line)
        yield line.rstrip("\r\n")


def _numbered(lines: Iterable[str]) -> Iterator[tuple[int, str]]:
    return iter(enumerate(lines, start=1))


def _with_line_editing() -> None:
    """Arrow keys in answers, where the platform has them."""
    try:
        import readline  # noqa: F401  its import is what `input` looks for
    except ImportError:
        return


def talked(talk: Talk, questions: Callable[[Talk], T]) -> T:
    """Put the questions; who breaks off gets the answers back, to go on from them another time.

    Raises
    ------
    Stop
        The person broke off: nothing is written.
    """
    try:
        answer = questions(talk)
        talk.see_end()
    except (EOFError, KeyboardInterrupt) as error:
        typer.echo("")
        if talk.given:
            typer.echo("# answers so far: keep these lines in a file, `--from FILE` goes on after the last of them")
            for line in talk.given:
                typer.echo(_shown(line))
        code = Exit.STOPPED if isinstance(error, KeyboardInterrupt) else Exit.FAULTS
        raise Stop(code, "stopped: nothing is written") from None
    return answer


def one_of(
    names: Iterable[str], what: str, *, none: str = "", printed: Mapping[str, str] | None = None
) -> Callable[[str], str]:
    """Read one of ``names``, or the beginning or some words of a single one; the word ``none`` reads as nothing.

    ``printed`` are the names that some of them go by elsewhere, which are as good.
    """
    known = tuple(names)

    def read(answer: str) -> str:
        from planner.cli.called import ids_called
        from planner.finding.words import listed, nearest, quoted

        plain = "-".join(answer.lower().replace("'", "").split())
        if none and plain == none.replace(" ", "-"):
            return ""
        called = (plain,) if plain in known else ids_called(answer, printed or {})
        if len(called) == 1:
            return called[0]
        begin = [n for n in known if n.startswith(plain)]
        within = [n for n in known if set(plain.split("-")) <= set(n.split("-"))]
        if len(begin) == 1 or (len(within) == 1 and not begin):
            return (begin or within)[0]
        guess = nearest(answer, known)
        most = 12
        some = begin or ([guess] if guess else list(known))
        more = f" and {len(some) - most} more" if len(some) > most else ""
        hint = (
            f"did you mean {listed(some[:most], ' or ')}?" if begin or guess else f"known: {listed(some[:most])}{more}"
        )
        raise WrongAnswerError(f"there is no {what} {quoted(answer)}", hint)

    return read
