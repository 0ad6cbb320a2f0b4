"""The one form in which every room reports a fault."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters: an error stops the work, a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a file; line and column count from 1, 0 means the file as a whole."""

    file: str
    line: int = 0
    column: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One fault: what, where, and one hint at what to do."""

    code: str
    severity: Severity
    message: str
    place: Place
    hint: str = ""


def error_at(place: Place, code: str, message: str, hint: str = "") -> Finding:
    """An error at a place."""
    return Finding(code=code, severity=Severity.ERROR, message=message, place=place, hint=hint)


def sort_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings by place, then code, each told once."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: (f.place, f.code, f.message)))


def has_errors(findings: Iterable[Finding]) -> bool:
    """Whether any finding is an error."""
    return any(f.severity is Severity.ERROR for f in findings)
