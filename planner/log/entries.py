"""Lines of a log as plain data, and as what they say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from planner.log.frozen import MisfitError, from_plain, to_plain
from planner.model.log import SORTS, Entry, Line, UndoLine

_ENVELOPE = frozenset({"v", "sort"})
_WORDS = {kind: word for word, kind in SORTS.items()}


def entry_of(data: Mapping[str, Any]) -> Entry:
    """What a line says.

    Raises
    ------
    MisfitError
        It has no known sort, or not the fields of its sort.
    """
    sort = data.get("sort")
    kind = SORTS.get(sort) if isinstance(sort, str) else None
    if kind is None:
        raise MisfitError(f"no line of a log is called {sort!r}")
    return cast("Entry", from_plain(kind, {k: v for k, v in data.items() if k not in _ENVELOPE}))


def line_of(entry: Line) -> dict[str, Any]:
    """A line as plain data, without its number, which is given when it is written; a moment of its own stays."""
    data: dict[str, Any] = to_plain(entry)
    return {"sort": _WORDS[type(entry)], **{k: v for k, v in data.items() if k != "n"}}


def counting(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The lines that count: undone ones, and the undoing ones themselves, are left out."""
    cancelled: set[int] = set()
    for entry in reversed(entries):
        if isinstance(entry, UndoLine) and entry.n not in cancelled:
            cancelled.add(entry.cancels)
    return tuple(e for e in entries if e.n not in cancelled and not isinstance(e, UndoLine))
