"""A project with some of its sizes written otherwise: nothing is saved, and the rest is read as if it were."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from planner.files import Document, JobFile, KeyPath, VehicleFile, read_document, validate_parts
from planner.files.schema_job import AddFile, ReplaceFile
from planner.files.schema_vehicle import ComponentFile
from planner.finding import Finding
from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component, Vehicle
from planner.shelf.fill_vehicle import fill_vehicle
from planner.shelf.load import JOB_PARTS, VEHICLE, VEHICLE_PARTS, bare_unit, job_from, job_path, vehicle_from
from planner.units import Size

_SECTIONS = frozenset({"components", "links", "spaces", "relations", "driver"})
_SURE = 10.0
"""Nobody misreads a size by more than a tenth of it: what the file says of all its sizes is meant for longer ones."""
_XYZ = "xyz"
_VECTORS = frozenset({"at", "box"})
"""Keys whose three numbers are called x, y and z."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """A size and where it is written; ``keys`` in the vehicle's file, or in the job's."""

    size: TapeSize
    keys: KeyPath


@dataclass(slots=True, kw_only=True)
class Draft:
    """The two files of a job, to be filled in with other sizes than they hold."""

    vehicle_file: Document
    job_file: Document
    catalog: Catalog
    _written: dict[str, _Written] = field(default_factory=dict)

    @property
    def sizes(self) -> tuple[TapeSize, ...]:
        """Every size of a part that has any doubt, in the order of the files."""
        return tuple(w.size for w in self._written.values() if w.size.doubt_mm > 0.0)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all sizes, sure ones too."""
        return tuple(self._written)

    def size(self, name: str) -> TapeSize:
        """The size of a name.

        Raises
        ------
        KeyError
            When there is none.
        """
        return self._written[name].size

    def way(self, name: str) -> KeyPath:
        """Where a size is written: keys in the vehicle's file, or in the job's (``size(name).in_job``).

        Raises
        ------
        KeyError
            When there is none.
        """
        return self._written[name].keys

    def filled(self, values: Mapping[str, float | str]) -> tuple[Vehicle | None, Job | None, tuple[Finding, ...]]:
        """The vehicle and the job with other values for some sizes.

        Parameters
        ----------
        values : mapping of size name to float [mm] or str
            Text is read as it would be in the file; a number is millimetres.

        Returns
        -------
        vehicle, job
            None where the values lead to an error.
        findings
            Of both files.

        Raises
        ------
        KeyError
            When a name belongs to no size.
        """
        documents = [self.vehicle_file, self.job_file]
        for in_job in (False, True):
            asked = {self._written[n].keys: v for n, v in values.items() if self._written[n].size.in_job is in_job}
            if asked:
                documents[in_job] = _rewritten(documents[in_job], asked)
        vehicle, findings = vehicle_from(documents[0], self.catalog)
        if vehicle is None:
            return None, None, findings
        job, more = job_from(documents[1], vehicle, self.catalog)
        return vehicle, job, (*findings, *more)

    def part(self, name: str, value: float) -> Component | None:
        """The part of a size, as large and where it would be with another value [mm]; its references are left out.

        Raises
        ------
        KeyError
            When the name belongs to no size.
        """
        written = self._written[name]
        document = self.job_file if written.size.in_job else self.vehicle_file
        block: Any = _rewritten(document, {written.keys: value}).data
        for key in written.keys[: 3 if written.size.in_job else 2]:
            block = block[key]
        head: Any = self.vehicle_file.data
        lone = {**{k: v for k, v in head.items() if k not in _SECTIONS}, "components": {written.size.part: block}}
        document = replace(self.vehicle_file, data=lone)
        file, _, _ = validate_parts(document, VehicleFile, {"bare": bare_unit(document)}, VEHICLE_PARTS)
        return None if file is None else fill_vehicle(file, document, self.catalog)[0].components.get(written.size.part)


def draft_of(project: Path, job: str, catalog: Catalog) -> Draft:
    """A draft of a job whose files were read without error.

    Raises
    ------
    ValueError
        When a file cannot be read after all.
    """
    path, _ = job_path(project, job)
    vehicle_file, job_file = (None if p is None else read_document(p)[0] for p in (project / VEHICLE, path))
    if vehicle_file is None or job_file is None:
        raise ValueError("the project cannot be read")
    draft = Draft(vehicle_file=vehicle_file, job_file=job_file, catalog=catalog)
    bare = bare_unit(vehicle_file)
    file, _, _ = validate_parts(vehicle_file, VehicleFile, {"bare": bare}, VEHICLE_PARTS)
    asked, _, _ = validate_parts(job_file, JobFile, {"bare": bare}, JOB_PARTS)
    found: list[_Written] = []
    if file is not None:
        usual = (file.doubt.mm if file.doubt is not None else 0.0, False)
        for part, entry in file.components.items():
            found.extend(_sizes(part, entry, ("components", part), usual))
    for index, change in enumerate(() if asked is None else asked.changes):
        if isinstance(change, AddFile | ReplaceFile):
            name = change.part if isinstance(change, AddFile) else change.with_
            found.extend(_sizes(name, change.component, ("changes", index, "component"), (0.0, True)))
    draft._written.update((w.size.name, w) for w in found)  # noqa: SLF001  # its own maker
    return draft


def _sizes(part: str, entry: ComponentFile, where: KeyPath, usual: tuple[float, bool]) -> Iterator[_Written]:
    """Sizes of one part: its place, and what its solids measure; where a solid sits in it only with its own doubt."""
    doubt_mm, in_job = usual
    alone = len(entry.solids) == 1
    walked = [*_walk(entry.at, ("at",)), *_walk(entry.solids, ("solids",))]
    for keys, size in walked:
        sits = keys[0] == "solids" and keys[2] == "at"
        if sits and size.doubt_mm is None:
            continue
        unsaid_mm = doubt_mm if _is_spot(keys) else min(doubt_mm, size.mm / _SURE)
        tape = TapeSize(
            name=f"{part}.{_dotted(keys, alone=alone)}",
            part=part,
            mm=size.mm,
            doubt_mm=unsaid_mm if size.doubt_mm is None else size.doubt_mm,
            said=size.doubt_mm is not None,
            in_job=in_job,
        )
        yield _Written(size=tape, keys=(*where, *keys))


def _is_spot(keys: KeyPath) -> bool:
    """Whether a length says where something is, and not how large it is."""
    return bool({"at", "through", "points"} & set(keys))


def _walk(value: object, keys: KeyPath) -> Iterator[tuple[KeyPath, Size]]:
    """Every length in a piece of a file, with its way."""
    if isinstance(value, Size):
        yield keys, value
    elif isinstance(value, BaseModel):
        for name, info in type(value).model_fields.items():
            yield from _walk(getattr(value, name), (*keys, info.alias or name))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _walk(item, (*keys, index))


def _dotted(keys: KeyPath, *, alone: bool) -> str:
    """The way to a size for people: numbers count from one, coordinates are x, y and z, a lone solid is not named."""
    told: list[str] = []
    for index, key in enumerate(keys):
        if not isinstance(key, int):
            told.append(key)
        elif keys[index - 1] in _VECTORS or (index > 1 and keys[index - 2] == "through"):
            told.append(_XYZ[key])
        else:
            told.append(str(key + 1))
    return ".".join(told[2:] if alone and told[0] == "solids" else told)


def _rewritten(document: Document, values: Mapping[KeyPath, float | str]) -> Document:
    data: Any = document.data
    for keys, value in values.items():
        data = _with(data, keys, value if isinstance(value, str) else f"{value:.6f} mm")
    return replace(document, data=data)


def _with(data: Any, keys: KeyPath, value: str) -> Any:  # noqa: ANN401  # plain data of any shape
    """A copy of plain data, as deep as need be, with one value changed."""
    if not keys:
        return value
    changed = copy.copy(data)
    changed[keys[0]] = _with(data[keys[0]], keys[1:], value)
    return changed
