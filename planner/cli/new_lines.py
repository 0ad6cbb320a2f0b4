"""Answers that do not come from the keyboard: the lines of a file or of a pipe, one answer each."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from planner.cli.ending import Exit, Stop

LARGEST_PIPE = 1_000_000
"""Characters of answers that are read of a pipe: one that never ends (`yes`) is left there."""


class Lines:
    """Lines with their numbers; those that begin with # are comments and answer nothing.

    Parameters
    ----------
    lines : iterable of str
    source : str
        What they come from, for messages.
    """

    def __init__(self, lines: Iterable[str], source: str) -> None:
        self.source = source
        self._rest = iter(enumerate(lines, start=1))
        self._ahead: tuple[int, str] | None = None

    def peek(self) -> str | None:
        """The next answer, left where it is; None where the lines end."""
        while self._ahead is None:
            found = next(self._rest, None)
            if found is None:
                return None
            if not found[1].startswith("#"):
                self._ahead = (found[0], found[1].strip())
        return self._ahead[1]

    def take(self) -> tuple[int, str] | None:
        """The next answer and its number; None where the lines end."""
        self.peek()
        found, self._ahead = self._ahead, None
        return found


def lines_of_file(file: Path) -> Lines:
    """The lines of a file.

    Raises
    ------
    Stop
        It cannot be read as text.
    """
    from planner.files.raw import read_text

    text, findings = read_text(file)
    if text is None and not (findings and findings[0].code == "empty-file"):
        raise Stop(Exit.FILE, f"{file}: {findings[0].message}", findings[0].hint)
    return Lines((text or "").splitlines(), str(file))


def lines_of_pipe() -> Lines:
    """The lines of what is piped in, read one by one."""
    return Lines(_piped(), "<stdin>")


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
