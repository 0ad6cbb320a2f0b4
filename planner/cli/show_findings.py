"""Findings on the terminal: file:line:column, the line itself, a hint, a count."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from pathlib import Path

from rich.console import Console
from rich.text import Text

from planner.finding import Finding, Severity, sort_findings

_STYLE = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow"}


def show_findings(findings: tuple[Finding, ...], *, to_stderr: bool = False) -> None:
    """Print every finding once, by place, and how many there were."""
    console = Console(stderr=to_stderr, highlight=False, soft_wrap=True)
    for finding in sort_findings(findings):
        _show(console, finding)
    counts = Counter(f.severity for f in findings)
    told = [f"{n} {severity}{'s' if n != 1 else ''}" for severity, n in sorted(counts.items())]
    if told:
        console.print(", ".join(told))


def _show(console: Console, finding: Finding) -> None:
    place = finding.place
    where = f"{place.file}:{place.line}:{place.column}" if place.line else place.file
    head = Text(f"{where}: ")
    head.append(f"{finding.severity}", style=_STYLE[finding.severity])
    head.append(f": {finding.message} [{finding.code}]")
    console.print(head)
    line = _line_of(place.file, place.line)
    if line:
        console.print(Text(f"    {line}", style="dim"))
        console.print(Text("    " + " " * (place.column - 1) + "^", style="dim"))
    if finding.hint:
        console.print(Text(f"    hint: {finding.hint}"))


@lru_cache(maxsize=8)
def _lines(file: str) -> tuple[str, ...]:
    try:
        text = Path(file).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ()
    return tuple("".join(c if c.isprintable() else "?" for c in line) for line in text.split("\n"))


_LONGEST = 160


def _line_of(file: str, line: int) -> str:
    lines = _lines(file) if line else ()
    return lines[line - 1] if 0 < line <= len(lines) and len(lines[line - 1]) <= _LONGEST else ""
