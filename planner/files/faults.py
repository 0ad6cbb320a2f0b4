"""Collecting the faults of one file."""

from __future__ import annotations

from planner.files.place import Document, KeyPath
from planner.finding import Finding, Severity, error_at, sort_findings


class Faults:
    """Findings about one document, in the order found.

    Parameters
    ----------
    document : Document
    """

    def __init__(self, document: Document) -> None:
        self.document = document
        self._found: list[Finding] = []

    def error(self, code: str, path: KeyPath, message: str, hint: str = "", *, key: bool = False) -> None:
        """Add an error about the value (or the key) at ``path``, unless it already has one from reading."""
        place = self.document.place(path, key=key)
        self._add(path, error_at(place, code, message, hint))

    def warn(self, code: str, path: KeyPath, message: str, hint: str = "", *, key: bool = False) -> None:
        """Add a warning, likewise."""
        place = self.document.place(path, key=key)
        self._add(path, Finding(code=code, severity=Severity.WARNING, message=message, place=place, hint=hint))

    def _add(self, path: KeyPath, finding: Finding) -> None:
        if not self.document.is_told(path):
            self._found.append(finding)

    def findings(self) -> tuple[Finding, ...]:
        """Give all of them, sorted by place."""
        return sort_findings(self._found)
