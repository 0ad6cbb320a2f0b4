"""Where the solids of a project sit once some of their sizes are others than its files have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from planner.files import Document, KeyPath
from planner.files.place import Plain
from planner.model.catalog import Catalog
from planner.model.job import Add, Replace
from planner.model.shapes import Solid, Vec
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component
from planner.shelf.kept_faces import kept_of, shift_per_mm
from planner.shelf.load import bare_unit, job_from, vehicle_from
from planner.shelf.tape import in_units
from planner.units import Bare, UnitError, parse_length

_LEAST_MM = 1e-6
"""A shift that is no more than this is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPlaces:
    """The parts of two files as they are written, the job's own among them."""

    parts: Mapping[str, Component]
    bare: Bare

    def seats(
        self,
        data: Any,  # noqa: ANN401  # plain data
        sizes: Mapping[KeyPath, tuple[TapeSize, float | str]],
    ) -> dict[KeyPath, list[Plain]]:
        """Find the solids of one file that have to be shifted for the faces to stay that do.

        Parameters
        ----------
        data
            What the file says.
        sizes
            Way to a size in the file -> the size as it was, and its other value ([mm], or text as in the file).

        Returns
        -------
        dict
            Way to the `at` of a solid -> its three numbers in the file's own unit, as sure as they were.
        """
        found: dict[KeyPath, list[float]] = {}
        for keys, (size, value) in sizes.items():
            solid_keys, which = _solid_at(keys)
            part = self.parts.get(size.part)
            if solid_keys is None or part is None:
                continue
            shift = self._shift(part, int(solid_keys[-1]), which, self._more_mm(size, value))
            if any(abs(s) > _LEAST_MM for s in shift):
                sums = found.setdefault(solid_keys, [0.0, 0.0, 0.0])
                sums[:] = (a + b for a, b in zip(sums, shift, strict=True))
        return {(*keys, "at"): self._at(data, keys, by) for keys, by in found.items()}

    def _shift(self, part: Component, number: int, which: str, more_mm: float) -> Vec:
        solid: Solid = part.solids[number]
        ends = kept_of(solid, part.pose, self.parts.get(part.mounted_on or ""))
        x, y, z = (s * more_mm for s in shift_per_mm(solid, which, ends))
        return x, y, z

    def _more_mm(self, size: TapeSize, value: float | str) -> float:
        if isinstance(value, float | int):
            return value - size.mm
        try:
            return parse_length(value, bare=self.bare).mm - size.mm
        except UnitError:
            # What is no length is told of where the file is read with it.
            return 0.0

    def _at(self, data: Any, keys: KeyPath, by_mm: list[float]) -> list[Plain]:  # noqa: ANN401  # plain data
        block = data
        for key in keys:
            block = block[key]
        known = [parse_length(v, bare=self.bare) for v in block.get("at") or (0, 0, 0)]
        return [self._written(k.mm + by, k.doubt_mm) for k, by in zip(known, by_mm, strict=True)]

    def _written(self, mm: float, doubt_mm: float | None) -> Plain:
        told = in_units(mm, self.bare)
        if doubt_mm is None:
            return told
        return f"{told} {'in' if self.bare == 'inch' else 'mm'} +/- {in_units(doubt_mm, self.bare)}"


def kept_places(vehicle_file: Document, job_file: Document, catalog: Catalog) -> KeptPlaces:
    """Read the two files for where their parts are; of files with errors there are none."""
    vehicle, _ = vehicle_from(vehicle_file, catalog)
    parts = {} if vehicle is None else dict(vehicle.components)
    job = None if vehicle is None else job_from(job_file, vehicle, catalog)[0]
    changes = () if job is None else (*job.changes, *(c for o in job.options.values() for c in o.changes))
    parts |= {c.component.id: c.component for c in changes if isinstance(c, Add | Replace)}
    return KeptPlaces(parts=parts, bare=bare_unit(vehicle_file))


def _solid_at(keys: KeyPath) -> tuple[KeyPath | None, str]:
    """Way to the solid whose size is written there, and which size; None where it says where something is."""
    if "solids" not in keys or {"at", "through", "points"} & set(keys):
        return None, ""
    to = keys.index("solids") + 2
    last = keys[-1]
    return keys[:to], "xyz"[last] if isinstance(last, int) and keys[-2] == "box" else str(last)
