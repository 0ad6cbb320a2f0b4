"""The catalog, read from its folder: every ``*.yaml`` in it, in the order of their names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.files import Document, Parts, read_document, validate_parts
from planner.files.values import Entry
from planner.finding import Finding, Place, error_at, sort_findings
from planner.finding.words import quoted
from planner.model.catalog import (
    BodyFigure,
    BodySize,
    Catalog,
    CheckpointRule,
    ClearanceRule,
    Condition,
    Kind,
    LinkKind,
    SystemKind,
    Template,
    TemplateStep,
    Trigger,
    WorkSpread,
)
from planner.model.vehicle import Room
from planner.shelf.catalog_checks import SECTIONS, Written, check_catalog
from planner.shelf.entry_rules import ClearanceEntry, RuleEntry, TemplateEntry, TriggerEntry
from planner.shelf.entry_schemas import CatalogFile, NamesSetting, SettingsEntry
from planner.shelf.entry_things import KindEntry
from planner.shelf.folders import catalog_folder

_PARTS = Parts(sections=dict.fromkeys((*SECTIONS, "cautions"), 2) | {"settings": 1}, stand_ins={})


def load_catalog(folder: Path | None = None) -> tuple[Catalog, tuple[Finding, ...]]:
    """Read and check a catalog.

    Parameters
    ----------
    folder : Path, optional
        The catalog that came with the package when left out.

    Returns
    -------
    catalog : Catalog
        Every sound entry, also when there are findings.
    findings : tuple of Finding
        Sorted by place: what cannot be read, entries without a source, names that nothing answers to.

    Raises
    ------
    FileNotFoundError
        When no folder is given and none came with the package.
    """
    place = folder or catalog_folder()
    found = _Found(folder=place)
    for path in sorted(place.glob("*.yaml")):
        _take_file(path, found)
    if not found.documents:
        found.error("empty-catalog", Place(place.as_posix()), "there is no `.yaml` file in the catalog's folder")
    elif found.settings is None:
        hint = "write a `settings` block in one of its files"
        found.error("missing-key", Place(place.as_posix()), "no file of the catalog holds `settings`", hint)
    findings = [*found.findings, *check_catalog(found.entries, found.settings, found.cautions, place)]
    return _catalog(found), sort_findings(findings)


@dataclass(slots=True)
class _Found:
    """What has been read so far."""

    folder: Path
    entries: dict[str, dict[str, Written]] = field(default_factory=lambda: {name: {} for name in SECTIONS})
    settings: Written | None = None
    cautions: dict[str, Written] = field(default_factory=dict)
    documents: list[Document] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def error(self, code: str, place: Place, message: str, hint: str = "") -> None:
        self.findings.append(error_at(place, code, message, hint))


def _take_file(path: Path, found: _Found) -> None:
    """Add the sound entries of one file."""
    document, findings = read_document(path)
    found.findings.extend(findings)
    if document is None:
        return
    found.documents.append(document)
    value, findings, _ = validate_parts(document, CatalogFile, None, _PARTS)
    found.findings.extend(findings)
    if value is None:
        return
    for section in SECTIONS:
        _add(section, getattr(value, section), found.entries[section], document, found)
    _add("cautions", value.cautions, found.cautions, document, found)
    if value.settings is not None:
        settings = {} if found.settings is None else {"settings": found.settings}
        _add("", {"settings": value.settings}, settings, document, found)
        found.settings = settings["settings"]


def _add(
    section: str, entries: Mapping[str, Any], known: dict[str, Written], document: Document, found: _Found
) -> None:
    """Add entries that no file before holds; the first one counts."""
    for name, entry in entries.items():
        path = (section, name) if section else (name,)
        if name in known:
            first = known[name].place()
            message = f"{quoted(name)} is written already in {Path(first.file).name}, line {first.line}"
            found.error("double-id", document.place(path, key=True), message, "keep one of the two")
        else:
            known[name] = Written(document=document, path=path, entry=entry)


def _catalog(found: _Found) -> Catalog:
    entries = {section: {i: w.entry for i, w in written.items()} for section, written in found.entries.items()}
    settings: Any = found.settings.entry if found.settings else None
    return Catalog(
        kinds={i: _kind(i, e) for i, e in entries["kinds"].items()},
        link_kinds={i: LinkKind(**_named(i, e)) for i, e in entries["links"].items()},
        system_kinds={i: SystemKind(**_named(i, e)) for i, e in entries["systems"].items()},
        conditions={i: Condition(**_named(i, e)) for i, e in entries["conditions"].items()},
        templates={i: _template(i, e) for i, e in entries["templates"].items()},
        rules={i: _rule(i, e) for i, e in entries["checkpoints"].items()},
        **_settings(settings),
        cautions={i: str(w.entry) for i, w in found.cautions.items()},
        clearances={i: _clearance(i, e) for i, e in entries["clearances"].items()},
        body_sizes={i: BodySize(**_values(e), id=i) for i, e in entries["body_sizes"].items()},
        spreads={i: WorkSpread(**_values(e), id=i) for i, e in entries["spreads"].items()},
        body_figures={i: BodyFigure(**_values(e), id=i) for i, e in entries["body_figures"].items()},
    )


def _settings(settings: SettingsEntry | None) -> dict[str, Any]:
    """Settings by name; nothing and nought when there are none, which is an error told elsewhere."""
    if settings is None:
        fields = SettingsEntry.model_fields.items()
        return {name: () if info.annotation is NamesSetting else 0 for name, info in fields}
    return {name: _frozen(getattr(settings, name).value) for name in SettingsEntry.model_fields}


def _frozen(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


def _values(entry: Entry) -> dict[str, Any]:
    return {name: _frozen(getattr(entry, name)) for name in type(entry).model_fields}


def _named(id_: str, entry: Entry) -> dict[str, Any]:
    values = _values(entry)
    return {**values, "id": id_, "name": values["name"] or id_.replace("-", " ")}


def _kind(id_: str, entry: KindEntry) -> Kind:
    return Kind(**(_named(id_, entry) | {"rooms": tuple(Room(**_values(room)) for room in entry.rooms)}))


def _trigger(entry: TriggerEntry) -> Trigger:
    return Trigger(when=entry.when, of=tuple(entry.of))


def _template(id_: str, entry: TemplateEntry) -> Template:
    steps = tuple(TemplateStep(**_values(step)) for step in entry.steps)
    return Template(id=id_, trigger=_trigger(entry.trigger), steps=steps, source=entry.source, once=entry.once)


def _rule(id_: str, entry: RuleEntry) -> CheckpointRule:
    triggers = tuple(_trigger(trigger) for trigger in entry.triggers)
    return CheckpointRule(**(_values(entry) | {"id": id_, "triggers": triggers}))


def _clearance(id_: str, entry: ClearanceEntry) -> ClearanceRule:
    return ClearanceRule(**(_values(entry) | {"id": id_}))
