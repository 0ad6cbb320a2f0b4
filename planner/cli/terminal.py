"""Printing for people: wrapped to the terminal, without colour where none is wanted, no blanks at line ends."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from textwrap import wrap

import typer
from rich.console import Console
from rich.padding import Padding
from rich.text import Text

_COMMAND = "knockon "


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


def say(text: str, *, err: bool = False) -> None:
    """Say something: at a terminal wrapped to its width, elsewhere each line whole for whatever reads it.

    A line that is a command by itself stays whole everywhere: it is there to be copied.
    """
    stream = sys.stderr if err else sys.stdout
    if stream.isatty():
        width = Console(file=stream).width
        text = "\n".join(row for line in text.split("\n") for row in _wrapped(line, width))
    typer.echo(text, err=err)


def _wrapped(line: str, width: int) -> list[str]:
    """A line in rows, each under the first; long words are left to the terminal."""
    bare = line.lstrip()
    if len(line) <= width or (bare != line and bare.startswith(_COMMAND)):
        return [line]
    lead = " " * (len(line) - len(bare) + (2 if bare.startswith(("- ", "! ")) else 0))
    first = line[: len(lead)]
    return wrap(
        line[len(lead) :],
        width,
        initial_indent=first,
        subsequent_indent=lead,
        break_long_words=False,
        break_on_hyphens=False,
    )
