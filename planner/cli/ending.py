"""How a command ends: its exit codes, and the one way to stop early."""

from __future__ import annotations

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


class Stop(Exception):  # noqa: N818  # not an error: an ending
    """End the command with a code, after one line on stderr when there is something to say."""

    def __init__(self, code: Exit, message: str = "", hint: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.hint = hint
