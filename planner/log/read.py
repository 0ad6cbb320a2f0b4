"""A log read line by line: whatever is wrong with one is told with its place, and the rest stays readable."""

from __future__ import annotations

import json
import os
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.finding import Finding, Place, Severity
from planner.finding.words import quoted

SCHEMA = 1
LARGEST_BYTES = 64_000_000
"""A log of ten thousand lines is below 3 MB."""
LONGEST_BYTES = 1_000_000
"""One line; the longest we write is below 10 kB."""
DEEPEST = 8
"""Levels inside each other in one line; ours have two."""
LARGEST_NUMBER = 10**15


class UnreadableLogError(ValueError):
    """The log as a whole cannot be used; ``finding`` says why."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.message)
        self.finding = finding


def read_log(path: Path) -> tuple[tuple[dict[str, Any], ...], tuple[Finding, ...]]:
    """Read a log.

    Parameters
    ----------
    path : Path
        A log that is not there is an empty one.

    Returns
    -------
    entries : tuple of dict
        The lines that read, in their order: plain data with ``v`` (1), ``n`` (1, 2, 3...), ``at`` and ``sort``.
    findings : tuple of Finding
        A piece that a crash left is a warning; lines missing, out of order or of a newer knockon are errors.
    """
    try:
        descriptor = open_log(path, os.O_RDONLY)
    except FileNotFoundError:
        return (), ()
    except UnreadableLogError as error:
        return (), (error.finding,)
    try:
        return parse_log(whole_of(descriptor), path.as_posix())
    finally:
        os.close(descriptor)


def open_log(path: Path, flags: int) -> int:
    """Open a log without following a link and without waiting for a pipe.

    Raises
    ------
    FileNotFoundError
        There is none, and ``flags`` do not ask for a new one.
    UnreadableLogError
        It is no plain file, too large, or cannot be opened.
    """
    if path.is_symlink():
        raise _unreadable(
            path, "not-a-file", "the log is a link, and links are not followed", "put the file itself here"
        )
    extra = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        descriptor = os.open(path, flags | extra | getattr(os, "O_CLOEXEC", 0), 0o644)
    except FileNotFoundError:
        raise
    except OSError as error:
        raise _unreadable(
            path, "unreadable-file", f"the log cannot be opened: {error.strerror}", "see who owns it"
        ) from error
    found = os.fstat(descriptor)
    if not stat.S_ISREG(found.st_mode):
        os.close(descriptor)
        raise _unreadable(path, "not-a-file", "the log is no plain file", "move it out of the way")
    if found.st_size > LARGEST_BYTES:
        os.close(descriptor)
        told = f"the log has {found.st_size} bytes, at most {LARGEST_BYTES} are read"
        raise _unreadable(path, "too-large", told, "see what was written into it")
    return descriptor


def whole_of(descriptor: int) -> bytes:
    """Everything in an open file, from its start."""
    os.lseek(descriptor, 0, os.SEEK_SET)
    pieces = []
    while piece := os.read(descriptor, 1 << 20):
        pieces.append(piece)
    return b"".join(pieces)


def parse_log(data: bytes, name: str) -> tuple[tuple[dict[str, Any], ...], tuple[Finding, ...]]:
    """Read the bytes of a log; see :func:`read_log`."""
    reading = _Reading(name=name)
    for number, line in enumerate(data.split(b"\n"), start=1):
        if line.strip():
            reading.take(number, line)
    return tuple(reading.entries), tuple(reading.findings)


@dataclass
class _Reading:
    name: str
    entries: list[dict[str, Any]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def take(self, number: int, line: bytes) -> None:
        """Take in one line, or say what is wrong with it."""
        if len(line) > LONGEST_BYTES:
            told = f"a line of {len(line)} bytes is none of ours, at most {LONGEST_BYTES} are read"
            self._tell("log-torn", Severity.WARNING, told, (number, 1))
            return
        try:
            entry = json.loads(line.decode("utf-8"), parse_constant=_refuse, object_pairs_hook=_once)
            if _depth(entry) > DEEPEST:
                raise ValueError(f"more than {DEEPEST} levels inside each other")  # noqa: TRY301  # told with the others
        except (ValueError, RecursionError) as error:
            column = getattr(error, "colno", 1)
            self._tell(
                "log-torn",
                Severity.WARNING,
                f"this is no whole line and does not count: {_why(error)}",
                (number, column),
            )
            return
        if self._is_ours(entry, number):
            self.entries.append(self._clean(entry, number))

    def _is_ours(self, entry: object, number: int) -> bool:
        if not isinstance(entry, dict):
            self._tell("log-torn", Severity.WARNING, "this is no line of a log and does not count", (number, 1))
            return False
        version, n = entry.get("v"), entry.get("n")
        if type(version) is not int or type(n) is not int:
            self._tell(
                "log-torn", Severity.WARNING, "it has no version `v` and number `n`, and does not count", (number, 1)
            )
            return False
        if version != SCHEMA:
            told = f"version {quoted(version)}: this knockon reads version {SCHEMA}"
            self._tell("log-version", Severity.ERROR, told, (number, 1))
            return False
        expected = self.entries[-1]["n"] + 1 if self.entries else 1
        if n > expected:
            lost = f"line {expected} is" if n == expected + 1 else f"lines {expected} to {quoted(n - 1).strip('`')} are"
            self._tell("log-lost", Severity.ERROR, f"{lost} missing before line {quoted(n)}", (number, 1))
        elif n < expected:
            self._tell("log-number", Severity.ERROR, f"line {quoted(n)} comes after line {expected - 1}", (number, 1))
        return True

    def _clean(self, value: Any, number: int) -> Any:  # noqa: ANN401  # plain data of any shape
        """The same without letters that act on a terminal and without numbers beyond use."""
        if isinstance(value, dict):
            return {self._text(k, number): self._clean(v, number) for k, v in value.items()}
        if isinstance(value, list):
            return [self._clean(v, number) for v in value]
        if isinstance(value, str):
            return self._text(value, number)
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) > LARGEST_NUMBER:
            self._tell("log-text", Severity.WARNING, f"{quoted(value)} is beyond use and is taken as 0", (number, 1))
            return type(value)(0)
        return value

    def _text(self, text: str, number: int) -> str:
        safe = safe_text(text)
        if safe != text:
            self._tell("log-text", Severity.WARNING, f"control characters are left out of {quoted(text)}", (number, 1))
        return safe

    def _tell(self, code: str, severity: Severity, message: str, where: tuple[int, int]) -> None:
        hints = {
            "log-torn": "a crash or a full disk leaves such a piece; nothing that was acknowledged is in it",
            "log-version": "use the newer knockon that wrote it",
            "log-lost": "put the file back from a copy: what is missing may be a check that failed",
            "log-number": "two files were put together, or one was edited: put it back from a copy",
            "log-text": "the file was not written by us alone",
        }
        place = Place(self.name, *where)
        self.findings.append(Finding(code=code, severity=severity, message=message, place=place, hint=hints[code]))


def safe_text(text: str) -> str:
    r"""What of a text may be kept in a log for ever: one line of letters that can be seen.

    Stricter than `export.plan_words.clean`, which keeps line ends and joiners because people read what it gives, and
    unlike `draw.picture.plain` it leaves the length and the blanks of a text as they were written.

    Examples
    --------
    >>> safe_text("fit\x1b[31m the\nseat  and\u200dstop")
    'fit[31m the seat  andstop'
    """
    if text.isprintable():
        return text
    kept = (
        c if unicodedata.category(c) not in {"Cc", "Cs", "Cf", "Zl", "Zp"} else " " if c.isspace() else "" for c in text
    )
    return "".join(kept)


def _refuse(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a key stands twice")
    return found


def _depth(value: object) -> int:
    deepest, level = 0, [value]
    while level and deepest <= DEEPEST:
        deepest += 1
        level = [v for each in level for v in _inner(each)]
    return deepest


def _inner(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        yield from value.values()
    elif isinstance(value, list):
        yield from value


def _why(error: Exception) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "it is no UTF-8 text"
    return getattr(error, "msg", "") or (
        "too many levels inside each other" if isinstance(error, RecursionError) else str(error)[:80]
    )


def _unreadable(path: Path, code: str, message: str, hint: str) -> UnreadableLogError:
    return UnreadableLogError(
        Finding(code=code, severity=Severity.ERROR, message=message, place=Place(path.as_posix()), hint=hint)
    )
