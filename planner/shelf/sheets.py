"""A job file as it reads with each of its options worked in: what is checked, and what is filled in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from planner.files import Document, Faults, JobFile, KeyPath
from planner.files.schema_job import ChangeFile, OptionFile, PurchaseFile, TaskFile
from planner.files.schema_relations import RelationFile
from planner.finding import Finding, sort_findings
from planner.finding.words import listed, quoted

Content = Mapping[str, Any]
"""A file's own content, sound or not."""
F = TypeVar("F")
Named = Sequence[tuple[KeyPath, F]]
"""Entries with their place in the file; the last of a place is the entry's own id."""
OPTIONS = "options"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A job with one option worked in, or with none.

    Entries come with their places in the file; those of the option after those of the job. ``changes_read`` and
    ``tasks_read`` are the plain data, sound or not.
    """

    option: str | None
    changes: Named[ChangeFile]
    tasks: Named[TaskFile]
    relations: Named[RelationFile]
    purchases: Named[PurchaseFile]
    changes_read: list[Any]
    tasks_read: dict[str, None]


def sheets_of(file: JobFile, data: Content, left_out: frozenset[KeyPath]) -> tuple[Sheet, ...]:
    """One sheet for each option that is written, read or not; one without where there is none."""
    written = data.get(OPTIONS)
    names = [n for n in written if isinstance(n, str)] if isinstance(written, dict) else []
    base = _sheet(None, file, data, (), left_out)
    if not isinstance(written, dict) or not names:
        return (base,)
    return tuple(_with_option(base, n, file.options.get(n), written[n], left_out) for n in names)


def _with_option(base: Sheet, name: str, file: OptionFile | None, data: Any, left_out: frozenset[KeyPath]) -> Sheet:  # noqa: ANN401
    added = _sheet(
        name, file or OptionFile(name=name), data if isinstance(data, dict) else {}, (OPTIONS, name), left_out
    )
    return Sheet(
        option=name,
        changes=(*base.changes, *added.changes),
        tasks=(*base.tasks, *added.tasks),
        relations=(*base.relations, *added.relations),
        purchases=(*base.purchases, *added.purchases),
        changes_read=base.changes_read + added.changes_read,
        tasks_read=base.tasks_read | added.tasks_read,
    )


def _sheet(
    option: str | None, file: JobFile | OptionFile, data: Content, at: KeyPath, left_out: frozenset[KeyPath]
) -> Sheet:
    # An option with a fault in it is left out as a whole; its plain data still say what there is.
    here = [] if at and at in left_out else kept(data, "changes", at, left_out)
    changes, tasks = data.get("changes"), data.get("tasks")
    return Sheet(
        option=option,
        changes=[((*at, "changes", i), change) for i, change in zip(here, file.changes, strict=True)],
        tasks=[((*at, "tasks", n), task) for n, task in file.tasks.items()],
        relations=[((*at, "relations", n), relation) for n, relation in file.relations.items()],
        purchases=[((*at, "purchases", n), purchase) for n, purchase in file.purchases.items()],
        changes_read=list(changes) if isinstance(changes, list) else [],
        tasks_read=dict.fromkeys(n for n in tasks if isinstance(n, str)) if isinstance(tasks, dict) else {},
    )


def kept(data: Content, section: str, at: KeyPath, left_out: frozenset[KeyPath]) -> list[int]:
    """Positions in the file of the items of a list that were read."""
    items = data.get(section)
    return [i for i in range(len(items)) if (*at, section, i) not in left_out] if isinstance(items, list) else []


class SheetFaults(Faults):
    """The faults of one sheet, which knows the ones inside its own option."""

    def __init__(self, document: Document, option: str | None) -> None:
        super().__init__(document)
        self._own = () if option is None else (OPTIONS, option)
        self.inside: set[Finding] = set()

    def _add(self, path: KeyPath, finding: Finding) -> None:
        super()._add(path, finding)
        if self._own and path[: len(self._own)] == self._own:
            self.inside.add(finding)


def joined(found: Iterable[tuple[str | None, SheetFaults]]) -> tuple[Finding, ...]:
    """Findings of all sheets, each told once; those that only some options call for outside them say which."""
    sheets = list(found)
    options: dict[Finding, list[str]] = {}
    for option, faults in sheets:
        for finding in faults.findings():
            options.setdefault(finding, []).append(option or "")
    inside = {finding for _, faults in sheets for finding in faults.inside}
    told = [
        finding if finding in inside or len(names) == len(sheets) else _only_with(finding, names)
        for finding, names in options.items()
    ]
    return sort_findings(told)


def _only_with(finding: Finding, names: list[str]) -> Finding:
    word = "option" if len(names) == 1 else "options"
    return replace(finding, message=f"{finding.message} (with {word} {listed(names)})")


def check_twice(sheet: Sheet, faults: Faults) -> None:
    """Report ids of the option that the job itself has already."""
    for section in (sheet.tasks, sheet.relations, sheet.purchases):
        seen: set[str] = set()
        for path, _ in section:
            name = str(path[-1])
            if name in seen:
                message = f"the id {quoted(name)} is in use already in the job itself"
                faults.error("double-id", path, message, "choose another id", key=True)
            seen.add(name)
