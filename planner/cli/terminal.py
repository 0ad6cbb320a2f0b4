"""Printing for people: wrapped to the terminal, without colour where none is wanted, no blanks at line ends."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console


@contextmanager
def page() -> Iterator[Console]:
    """A console whose whole output goes to stdout at the end, each line stripped of trailing blanks."""
    console = Console(highlight=False, file=sys.stdout)
    with console.capture() as capture:
        yield console
    lines = capture.get().split("\n")
    sys.stdout.write("\n".join(line.rstrip() for line in lines))
    sys.stdout.flush()
