"""A file that was read: its plain data and where each piece of it is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.finding import Place

KeyPath = tuple[str | int, ...]
"""Way to a value: keys and list positions from the top."""

Plain = str | int | float | bool | None | list["Plain"] | dict[str, "Plain"]
"""All that a file may hold."""


@dataclass(frozen=True, slots=True)
class Span:
    """Where a piece of text stands: line and column from 1, ``start`` and ``end`` characters from 0."""

    line: int
    column: int
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """One file as plain data with places.

    ``told`` are ways to values that already have a finding: whatever else is wrong beneath them follows from
    it. ``blank`` are ways to keys with nothing after them.
    """

    file: str
    text: str
    data: Plain
    values: Mapping[KeyPath, Span]
    keys: Mapping[KeyPath, Span]
    told: frozenset[KeyPath] = frozenset()
    blank: frozenset[KeyPath] = frozenset()

    def breaks_off_in(self, path: KeyPath) -> bool:
        """Whether the text ends in the middle of a line and what is at ``path`` is the last in it, half saved."""
        last = tuple(self.keys)[-1] if self.keys else ()
        return not self.text.endswith(("\n", "\r")) and last[: len(path)] == path

    def place(self, path: KeyPath, *, key: bool = False) -> Place:
        """Find where ``path`` is written (its key with ``key``), or else the key of its nearest written ancestor."""
        first, second = (self.keys, self.values) if key else (self.values, self.keys)
        span = first.get(path) or second.get(path)
        while span is None and path:
            path = path[:-1]
            span = self.keys.get(path) or self.values.get(path)
        if span is None:
            return Place(self.file)
        return Place(self.file, span.line, span.column)

    def is_told(self, path: KeyPath) -> bool:
        """Whether ``path``, or something it is part of, already has a finding."""
        return bool(self.told) and any(path[:length] in self.told for length in range(len(path) + 1))
