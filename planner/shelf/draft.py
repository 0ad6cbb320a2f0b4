"""A project with some of its sizes written otherwise: nothing is saved, and the rest is read as if it were."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from planner.files import Document, JobFile, KeyPath, VehicleFile, read_document, validate_parts
from planner.files.place import Plain
from planner.files.schema_job import AddFile, GrowFile, OptionFile, ReplaceFile
from planner.files.schema_vehicle import ComponentFile
from planner.finding import Finding
from planner.model.catalog import Catalog
from planner.model.job import Altered, Change, Grow, Job
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component, Vehicle
from planner.shelf.fill_vehicle import fill_vehicle
from planner.shelf.kept_places import KeptPlaces, kept_places
from planner.shelf.load import JOB_PARTS, VEHICLE, VEHICLE_PARTS, bare_unit, job_from, job_path, vehicle_from
from planner.units import Size

_SECTIONS = frozenset({"components", "links", "spaces", "relations", "driver"})
_SURE = 10.0
"""Nobody misreads a size by more than a tenth of it: what the file says of all its sizes is meant for longer ones."""
_XYZ = "xyz"
ALTERED = "altered."
"""What stands before the name of a size of a part that is back from being made larger."""
_SIZES = frozenset({*_XYZ, "across", "length", "thick"})
"""What a tape reads on an altered part, whose middle and corners are the job's to say."""
_VECTORS = frozenset({"at", "box"})
"""Keys whose three numbers are called x, y and z."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """A size and where it is written; ``keys`` in the vehicle's file, or in the job's."""

    size: TapeSize
    keys: KeyPath
    altered: tuple[int, str] | None = None
    """Of a part that the job makes larger, as it is when it is back: the solid, from 0, and which size of it. It is
    written nowhere; ``keys`` is where the size before the job is."""


@dataclass(slots=True, kw_only=True)
class Draft:
    """The two files of a job, to be filled in with other sizes than they hold."""

    vehicle_file: Document
    job_file: Document
    catalog: Catalog
    _written: dict[str, _Written] = field(default_factory=dict)
    _held: dict[str, float | str] = field(default_factory=dict)
    """Sizes of altered parts, which no file holds."""
    _places: KeptPlaces | None = None

    @property
    def sizes(self) -> tuple[TapeSize, ...]:
        """Every size of a part that has any doubt, in the order of the files."""
        return tuple(w.size for w in self._written.values() if w.size.doubt_mm > 0.0 and w.altered is None)

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
        now, back = self._parted({**self._held, **values})
        documents = self._with(now)
        vehicle, findings = vehicle_from(documents[0], self.catalog)
        if vehicle is None:
            return None, None, findings
        altered, wrong = self._altered(now, back)
        if wrong:
            return None, None, wrong
        job, more = job_from(documents[1], vehicle, self.catalog)
        return vehicle, None if job is None else as_altered(job, altered), (*findings, *more)

    def _parted(self, values: Mapping[str, float | str]) -> tuple[dict[str, float | str], dict[str, float | str]]:
        """Sizes that a file holds, and sizes of parts that are back from being altered."""
        back = {n: v for n, v in values.items() if self._written[n].altered is not None}
        return {n: v for n, v in values.items() if n not in back}, back

    def _altered(
        self, now: Mapping[str, float | str], back: Mapping[str, float | str]
    ) -> tuple[dict[str, list[Altered]], tuple[Finding, ...]]:
        """Sizes of altered parts, by part, read as they would be in the file; what is wrong with them."""
        if not back:
            return {}, ()
        as_if = self._with({**now, **back})
        vehicle, findings = vehicle_from(as_if[0], self.catalog)
        if vehicle is None:
            return {}, findings
        read = _drafted(*as_if, self.catalog)
        found: dict[str, list[Altered]] = {}
        for name in back:
            written, size = self._written[name], read.size(self.before(name))
            solid, which = written.altered or (0, "")
            doubt_mm = size.doubt_mm if size.said else None
            found.setdefault(size.part, []).append(Altered(solid=solid, size=which, mm=size.mm, doubt_mm=doubt_mm))
        return found, ()

    def back(self, name: str) -> str:
        """The name that the same size of the same part has once it is back from being altered, or its own."""
        part, _, size = name.partition(".")
        known = f"{part}.{ALTERED}{size}"
        return known if known in self._written else name

    def before(self, name: str) -> str:
        """The name that the size of an altered part has before it is altered, or its own."""
        return name.replace(f".{ALTERED}", ".", 1) if self.altered(name) is not None else name

    def altered(self, name: str) -> tuple[int, str] | None:
        """Of a size of a part that is altered: its solid, from 0, and which size of it; None of all others.

        Raises
        ------
        KeyError
            When there is no size of that name.
        """
        return self._written[name].altered

    def holding(self, values: Mapping[str, float | str]) -> Draft:
        """The draft of two files that have other values for some sizes.

        Raises
        ------
        KeyError
            When a name belongs to no size.
        """
        now, back = self._parted({**self._held, **values})
        draft = _drafted(*self._with(now), self.catalog)
        read = _drafted(*self._with({**now, **back}), self.catalog) if back else draft
        for name in back:
            written = draft._written[name]  # noqa: SLF001  # its own kind
            known = read._written.get(self.before(name), written)  # noqa: SLF001
            size = replace(known.size, name=name)
            draft._written[name] = replace(written, size=size)  # noqa: SLF001
        draft._held.update(back)  # noqa: SLF001
        return draft

    def worked_in(self, values: Mapping[str, float | str]) -> tuple[Document, Document]:
        """Both documents with other values for some sizes, those of altered parts left out.

        Raises
        ------
        KeyError
            When a name belongs to no size.
        """
        return self._with(self._parted(values)[0])

    def _with(self, values: Mapping[str, float | str]) -> tuple[Document, Document]:
        """Both documents with other values for some sizes."""
        documents = [self.vehicle_file, self.job_file]
        for in_job in (False, True):
            asked = {n: v for n, v in values.items() if self._written[n].size.in_job is in_job}
            if asked:
                documents[in_job] = self._rewritten(documents[in_job], asked)
        return documents[0], documents[1]

    def _rewritten(self, document: Document, values: Mapping[str, float | str]) -> Document:
        """One of the documents with other values, each solid still with the face in place that stays there."""
        data: Any = document.data
        for name, value in values.items():
            data = _with(data, self._written[name].keys, value if isinstance(value, str) else f"{value:.6f} mm")
        for keys, at in self.seats(data, values).items():
            data = _with(data, keys, at)
        return replace(document, data=data)

    def seats(self, data: Any, values: Mapping[str, float | str]) -> dict[KeyPath, list[Plain]]:  # noqa: ANN401
        """Where the solids of other sizes sit then in their parts, for the faces to stay that do.

        Parameters
        ----------
        data
            What the file of these sizes says.
        values
            As in :meth:`filled`, all of one file.

        Returns
        -------
        dict
            Way to the `at` of a solid -> its three numbers in the file's own unit, as sure as they were.

        Raises
        ------
        KeyError
            When a name belongs to no size.
        """
        self._places = self._places or kept_places(self.vehicle_file, self.job_file, self.catalog)
        sized = {self._written[n].keys: (self._written[n].size, v) for n, v in values.items()}
        return self._places.seats(data, sized)

    def part(self, name: str, value: float) -> Component | None:
        """The part of a size, as large and where it would be with another value [mm]; its references are left out.

        Raises
        ------
        KeyError
            When the name belongs to no size.
        """
        written = self._written[name]
        document = self.job_file if written.size.in_job else self.vehicle_file
        block: Any = self._rewritten(document, {name: value}).data
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
    return _drafted(vehicle_file, job_file, catalog)


def _drafted(vehicle_file: Document, job_file: Document, catalog: Catalog) -> Draft:
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
    found += [_as_back(w, which) for w in found if w.size.part in _grown(asked) and (which := _which(w.keys))]
    draft._written.update((w.size.name, w) for w in found)  # noqa: SLF001  # its own maker
    return draft


def as_altered(job: Job, altered: Mapping[str, Sequence[Altered]]) -> Job:
    """The job with what was measured on parts that it makes larger, once they were back."""

    def changes(known: tuple[Change, ...]) -> tuple[Change, ...]:
        return tuple(
            replace(c, altered=tuple(altered[c.part])) if isinstance(c, Grow) and c.part in altered else c
            for c in known
        )

    if not altered:
        return job
    options = {i: replace(o, changes=changes(o.changes)) for i, o in job.options.items()}
    return replace(job, changes=changes(job.changes), options=options)


def _grown(job: JobFile | None) -> frozenset[str]:
    """Parts that a job makes larger, by one option or by all."""
    blocks: list[JobFile | OptionFile] = [] if job is None else [job, *job.options.values()]
    return frozenset(c.part for block in blocks for c in block.changes if isinstance(c, GrowFile))


def _which(keys: KeyPath) -> tuple[int, str] | None:
    """Which size of which solid is written there, where it is one that a tape reads on it."""
    place, _, solid, *rest = keys
    if place != "components" or solid != "solids" or _is_spot(keys):
        return None
    number, *_, last = rest
    which = _XYZ[last] if isinstance(last, int) and keys[-2] == "box" else str(last)
    return (int(number), which) if which in _SIZES else None


def _as_back(written: _Written, which: tuple[int, str]) -> _Written:
    part, _, size = written.size.name.partition(".")
    return replace(written, size=replace(written.size, name=f"{part}.{ALTERED}{size}"), altered=which)


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


def _with(data: Any, keys: KeyPath, value: Plain) -> Any:  # noqa: ANN401  # plain data of any shape
    """A copy of plain data, as deep as need be, with one value changed."""
    if not keys:
        return value
    changed = copy.copy(data)
    changed[keys[0]] = value if len(keys) == 1 else _with(data[keys[0]], keys[1:], value)
    return changed
