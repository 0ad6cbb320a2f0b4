"""Printing for people: wrapped to the terminal, without colour where none is wanted, no blanks at line ends."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.padding import Padding
from rich.text import Text


def indented(text: str, by: int = 3, style: str = "") -> Padding:
    """A text that keeps its indent on every line it wraps to."""
    return Padding(Text(text, style=style), (0, 0, 0, by))


@contextmanager
def page() -> Iterator[Console]:
    """A console whose whole output goes to stdout at the end, each line stripped of trailing blanks."""
    console = Console(highlight=False, file=sys.stdout)
    with console.capture() as capture:
        yield console
    lines = capture.get().split("\n")
    sys.stdout.write("\n".join(line.rstrip() for line in lines))
    sys.stdout.flush()
