"""Sums on the terminal and as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from itertools import groupby
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.as_json import SCHEMA
from planner.cli.terminal import indented, page
from planner.model.sums import SumLine, Verdict
from planner.sums.basis import JUDGEMENT
from planner.sums.told import MARKS, limit_words, margin_words, missing, value_words


def show_sums(name: str, lines: Sequence[SumLine], units: str) -> None:
    """Print the sums, those of one thing together, then what is missing, assumed and not covered."""
    with page() as console:
        console.print(Text(name, style="bold"))
        for about, group in groupby(lines, key=lambda x: x.about):
            _show_group(console, about, list(group), units)
        _show_limits(console, lines)
        _show_missing(console, lines)
        _show_basis(console, lines)


_TITLE, _LEAST_TITLE = 26, 14
"""How wide the names of sums are printed, and the least that is of use."""
_COLUMNS = (("value", 24), ("limit", 12), ("margin", 6))


def _show_group(console: Console, about: str, lines: Sequence[SumLine], units: str) -> None:
    """One table, or where the terminal is too narrow for it one line under the other: a verdict is never cut."""
    console.print()
    widest = max(len("verdict"), *(len(MARKS[line.verdict]) for line in lines))
    room = console.width - sum(width + 1 for _, width in _COLUMNS) - widest - 1
    if room < _LEAST_TITLE:
        _show_listed(console, about, lines, units)
    else:
        _show_table(console, about, lines, units, (min(_TITLE, room), widest))
    for note in dict.fromkeys(x.note for x in lines if x.note and x.verdict is not Verdict.UNKNOWN):
        console.print(Text(f"  {note}", style="dim"))


def _show_listed(console: Console, about: str, lines: Sequence[SumLine], units: str) -> None:
    console.print(Text(about, style="bold"))
    for line in lines:
        named = (("limit", limit_words(line, units)), ("margin", margin_words(line, units)))
        told = (value_words(line, units), *(f"{name} {words}" for name, words in named if words))
        mark = MARKS[line.verdict].strip()
        text = f"{line.title}: {', '.join(t for t in told if t)}".rstrip(": ")
        console.print(indented(text + (f" - {mark}" if mark else "")))


def _show_table(console: Console, about: str, lines: Sequence[SumLine], units: str, widths: tuple[int, int]) -> None:
    """A table; ``widths`` are those of the titles and of the verdicts."""
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="dim")
    table.add_column(Text(about, style="bold"), width=widths[0])
    for title, width in _COLUMNS:
        table.add_column(title, justify="right", min_width=width)
    table.add_column("verdict", no_wrap=True, min_width=widths[1])
    for line in lines:
        table.add_row(
            line.title,
            value_words(line, units),
            limit_words(line, units),
            margin_words(line, units),
            MARKS[line.verdict],
        )
    console.print(table)


def _show_limits(console: Console, lines: Sequence[SumLine]) -> None:
    told: dict[str, list[str]] = {}
    for line in lines:
        if line.limit and line.verdict is not Verdict.UNKNOWN:
            told.setdefault(line.limit, []).append(line.title)
    if not told:
        return
    console.print()
    console.print(Text("Limits", style="bold"))
    for limit, titles in told.items():
        console.print(Text(f"  {', '.join(dict.fromkeys(titles))}: {limit}", style="dim"))


def _show_missing(console: Console, lines: Sequence[SumLine]) -> None:
    wanted = missing(lines)
    odd = [x for x in lines if x.verdict is Verdict.UNKNOWN and not x.missing]
    if not wanted and not odd:
        return
    console.print()
    console.print(Text("Not known", style="bold"))
    for what, ids in wanted.items():
        console.print(Text(f"  give {what}: {len(ids)} {'sum waits' if len(ids) == 1 else 'sums wait'} for it"))
    for line in odd:
        console.print(Text(f"  {line.about}, {line.title}: {line.note}"))


def _show_basis(console: Console, lines: Sequence[SumLine]) -> None:
    known = [x for x in lines if x.value is not None]
    console.print()
    console.print(Text("A range in brackets is what the doubt of the sizes makes of a value.", style="dim"))
    for title, words in (
        ("Taken for granted", _each(x.assumed for x in known)),
        ("Not covered", _each(x.not_covered for x in known)),
        ("From", _each(tuple(x.source.split("; ")) for x in known)),
    ):
        if words:
            console.print(Text(f"{title}: {'; '.join(words)}.", style="dim"))
    console.print(Text(f"This is {JUDGEMENT}.", style="bold"))


def _each(many: Iterable[tuple[str, ...]]) -> list[str]:
    return list(dict.fromkeys(word for words in many for word in words if word))


def sums_json(name: str, lines: Sequence[SumLine]) -> dict[str, Any]:
    """Sums as plain data."""
    return {
        "schema": SCHEMA,
        "name": name,
        "sums": [asdict(x) for x in lines],
        "missing": missing(lines),
        "caution": JUDGEMENT,
    }
