"""How a command ends: its exit codes, and the one way to stop early."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum


class Exit(IntEnum):
    """Exit codes, as the README lists them."""

    FINE = 0
    FAULTS = 1
    """The project has errors, or there is no answer."""
    USAGE = 2
    """The command line is wrong (typer's own)."""
    FILE = 3
    """A file cannot be read or written."""
    TIME = 4
    """Time ran out before there was a plan."""
    BUG = 70
    STOPPED = 130


def listed(lines: Iterable[str], most: int | None = None, *, rest: bool = False) -> str:
    """Lines under a message, each with a dash: the first ``most``, and with ``rest`` how many more there are."""
    told = list(lines)
    shown = told[:most]
    if rest and len(told) > len(shown):
        shown.append(f"and {len(told) - len(shown)} more")
    return "".join(f"\n  - {line}" for line in shown)


class Stop(Exception):  # noqa: N818  # not an error: an ending
    """End the command with a code, after one line on stderr when there is something to say."""

    def __init__(self, code: Exit, message: str = "", hint: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.hint = hint
