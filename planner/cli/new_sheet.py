"""A vehicle file while things are added to it: each addition is read and weighed before it is taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.files import Put
    from planner.finding import Finding
    from planner.knockon import Fault
    from planner.model.catalog import Catalog
    from planner.model.shapes import Vec
    from planner.model.vehicle import Vehicle
    from planner.shelf.fresh import Entry
    from planner.units import Bare

VEHICLE = "vehicle.yaml"
NO_ROOM_MM = 500.0
"""A part farther than this outside the vehicle is a slip of the tape."""


def pair_of(fault: Fault) -> tuple[str, frozenset[str]]:
    """What a fault is about, whichever of the two it is told of: the one that was put there last comes first."""
    return fault.kind, frozenset({fault.part, fault.other})


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What the file would be with something added."""

    text: str
    vehicle: Vehicle | None
    errors: tuple[Finding, ...]
    warnings: tuple[Finding, ...]
    faults: tuple[Fault, ...]
    """Overlaps and the like that were not there before."""


Reading = tuple["Vehicle | None", "tuple[Finding, ...]", "tuple[Fault, ...]"]
"""A vehicle's text read: the vehicle, what was found about its file, and what cannot be so on the vehicle."""


@dataclass(slots=True, kw_only=True)
class Sheet:
    """The vehicle file of a project, there already or yet to be written."""

    project: Path
    catalog: Catalog
    bare: Bare
    render: Callable[[Sequence[Entry]], str]
    limits_mm: tuple[Vec, Vec] | None = None
    """Low and high corner of the vehicle over all, where it is known."""
    vehicle: Vehicle | None = None
    entries: list[Entry] = field(default_factory=list)
    faults: tuple[Fault, ...] = ()
    warnings: tuple[Finding, ...] = ()
    """What was found about the entries that are not there yet on the disk, and does not forbid them."""
    readings: dict[tuple[str, frozenset[str]], Reading] = field(default_factory=dict)
    """Texts that were read already: whoever goes back a question has all before it read again."""

    def afresh(self) -> Sheet:
        """The same sheet, to which things can be added without this one changing."""
        return replace(self, entries=list(self.entries))

    @property
    def path(self) -> Path:
        """The vehicle's file."""
        return self.project / VEHICLE

    def taken_ids(self) -> set[str]:
        """Ids that no new thing may have."""
        taken = set(self.catalog.conditions)
        if self.vehicle is not None:
            parts = (self.vehicle.components, self.vehicle.links, self.vehicle.systems, self.vehicle.spaces)
            taken |= {name for names in parts for name in names}
        return taken | {e.id for e in self.entries}

    def parts(self) -> tuple[str, ...]:
        """Parts there are, in the order of the file."""
        return () if self.vehicle is None else tuple(self.vehicle.components)

    def printed(self) -> dict[str, str]:
        """The names that parts are printed by, by id."""
        return {} if self.vehicle is None else {i: c.name for i, c in self.vehicle.components.items()}

    def tried(self, new: Sequence[Entry]) -> Tried:
        """Read the file as it would be with ``new`` in it."""
        from planner.finding import has_errors

        text = self.render([*self.entries, *new])
        names = frozenset(e.id for e in new)
        if (text, names) not in self.readings:
            self.readings[text, names] = self._read(text, names)
        vehicle, findings, faults = self.readings[text, names]
        before = {pair_of(f) for f in self.faults}
        return Tried(
            text=text,
            vehicle=vehicle,
            errors=tuple(f for f in findings if has_errors((f,))),
            warnings=tuple(f for f in findings if not has_errors((f,)) and any(f"`{n}`" in f.message for n in names)),
            faults=tuple(f for f in faults if pair_of(f) not in before),
        )

    def _read(self, text: str, names: frozenset[str]) -> Reading:
        from planner.files import parse_text
        from planner.knockon import present_faults
        from planner.shelf.load import vehicle_from

        document, findings = parse_text(text, self.path.as_posix())
        vehicle = None
        if document is not None:
            vehicle, findings = vehicle_from(document, self.catalog, findings)
        return vehicle, findings, () if vehicle is None else present_faults(vehicle, names)

    def take(self, new: Sequence[Entry], tried: Tried) -> None:
        """Keep what was tried."""
        self.entries += new
        self.vehicle = tried.vehicle
        self.faults += tried.faults
        self.warnings += tried.warnings

    @property
    def whole_mm(self) -> Vec | None:
        """The vehicle over all, along x, y and z, where it is known."""
        if self.limits_mm is None:
            return None
        low, high = self.limits_mm
        return (high[0] - low[0], high[1] - low[1], high[2] - low[2])

    def see_within(self, low_mm: Vec, high_mm: Vec) -> None:
        """Refuse a box that lies outside the vehicle.

        Raises
        ------
        WrongAnswerError
            It does.
        """
        from planner.cli.new_asking import WrongAnswerError
        from planner.units import format_length

        if self.limits_mm is None:
            return
        for axis, (low, high) in enumerate(zip(*self.limits_mm, strict=True)):
            if low_mm[axis] < low - NO_ROOM_MM or high_mm[axis] > high + NO_ROOM_MM:
                told = [format_length(mm, self.bare) for mm in (low_mm[axis], high_mm[axis], low, high)]
                name = "xyz"[axis]
                raise WrongAnswerError(
                    f"that puts it from {name} {told[0]} to {told[1]}; the vehicle goes from {told[2]} to {told[3]}",
                    "check the number, its sign and where zero is",
                )

    def write(self) -> None:
        """Put the file in place of the old one, whole or not at all.

        Raises
        ------
        Stop
            It cannot be written; the text is told, so that no answer is lost.
        """
        text = self.render(self.entries)
        write_or_tell(self.path, text, added_text(self.entries) if self.path.exists() else text)


def added_text(entries: Sequence[Entry]) -> str:
    """Only what is added, with the sections it goes into."""
    from planner.files.render import block_lines

    lines: list[str] = []
    for entry in entries:
        lines += [f"# {'.'.join(map(str, entry.put.path))}:", *block_lines({entry.put.key: entry.put.value}, 2)]
    return "\n".join(lines)


def write_or_tell(path: Path, text: str, told: str) -> None:
    """Write a file whole; where that cannot be done tell ``told``, so that it can be put there by hand.

    Raises
    ------
    Stop
        It cannot be written.
    """
    from planner.files import write_whole

    try:
        write_whole(path, text)
    except OSError as error:
        typer.echo(told)
        reason = (error.strerror or str(error)).lower()
        raise Stop(
            Exit.FILE, f"{path}: cannot be written: {reason}", "what was to be written is above; put it there yourself"
        ) from None


def project_sheet(project: Path) -> Sheet:
    """The sheet of a project that is there.

    Raises
    ------
    Stop
        Its vehicle has errors.
    """
    from planner.cli.loading import catalog_read, vehicle_read
    from planner.knockon import present_faults

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    sheet = Sheet(
        project=project,
        catalog=catalog,
        bare="inch" if vehicle.units == "inch" else "mm",
        render=lambda entries: _spliced_in(project, [e.put for e in entries]),
        vehicle=vehicle,
    )
    sheet.faults = present_faults(vehicle)
    return sheet


def _spliced_in(project: Path, puts: Sequence[Put]) -> str:
    """The file as it is now with entries put in; what was written in an editor meanwhile stays.

    Raises
    ------
    Stop
        It cannot be read any more, or the entries do not fit in.
    """
    from planner.files import SpliceError, read_document, spliced

    path = project / VEHICLE
    document, findings = read_document(path)
    if document is None or findings:
        told = findings[0].message if findings else "cannot be read"
        raise Stop(Exit.FAULTS, f"{path}: {told}", "nothing is changed")
    try:
        return _mark_of(path) + spliced(document.text, _in_sections(document.data, puts))
    except SpliceError as error:
        raise Stop(Exit.FAULTS, f"{path} is left as it was: {error}") from None


def _in_sections(data: object, puts: Sequence[Put]) -> list[Put]:
    """The same entries, with the first of a section that is not there yet bringing it along."""
    from planner.files import Put

    there = set(data) if isinstance(data, dict) else set()
    made: list[Put] = []
    for put in puts:
        section = str(put.path[0])
        if len(put.path) == 1 and section not in there:
            there.add(section)
            made.append(Put((), section, {put.key: put.value}))
        else:
            made.append(put)
    return made


def _mark_of(path: Path) -> str:
    """The mark some editors put before the first letter; the reader leaves it out."""
    with path.open("rb") as stream:
        return "\ufeff" if stream.read(3) == b"\xef\xbb\xbf" else ""
