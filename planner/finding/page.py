"""The form of an explanation of one kind of finding."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What `knockon explain CODE` prints.

    ``before`` and ``after`` are lines of a file with the fault and without it; both are empty for a fault that is
    not in the text of a file.
    """

    code: str
    title: str
    why: str
    """Why it matters."""
    fix: str
    """What to do."""
    before: str = ""
    after: str = ""
