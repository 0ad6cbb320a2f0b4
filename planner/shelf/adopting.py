"""The edits that make a vehicle's file describe the vehicle as a job has left it."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from planner.files import Document, KeyPath
from planner.files.place import Plain
from planner.files.splice import Change, Drop, Edit, Put
from planner.model.job import Add, Job, Replace
from planner.model.shapes import Box, Cylinder, Pose, Vec
from planner.model.vehicle import Component, Vehicle
from planner.shelf.built import SAME_DEG, SAME_MM, Built, near, same_solids
from planner.shelf.load import bare_unit
from planner.shelf.tape import as_written, in_units
from planner.units import parse_length

PLACED_MM = SAME_MM / 5.0
"""A place is written anew when it is further than this from the one that stands there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adoption:
    """Edits of the vehicle's file, in an order in which they can be made, and what it cannot hold, in words.

    ``unsized`` are parts whose new size is not written.
    """

    edits: tuple[Edit, ...]
    told: tuple[str, ...]
    unsized: frozenset[str] = frozenset()


def adoption_of(document: Document, job_file: Document, vehicle: Vehicle, job: Job, built: Built) -> Adoption:
    """Find the edits.

    Parameters
    ----------
    document : Document
        The vehicle's file.
    job_file : Document
        The job's file, with the sizes that were measured on its own parts; an option of it is worked into ``job``.
    vehicle : Vehicle
        As ``document`` has it.
    job : Job
    built : Built
    """
    sheet = _Sheet(document=document, job_file=job_file, vehicle=vehicle, job=job, built=built)
    edits = (
        *sheet.measured(),
        *sheet.gone(),
        *sheet.heirs_named(),
        *sheet.parts(),
        *sheet.altered(),
        *sheet.added(),
        *sheet.links(),
        *sheet.relations(),
        *sheet.owed(),
    )
    return Adoption(edits=edits, told=tuple(sheet.told), unsized=frozenset(sheet.unsized))


@dataclass(kw_only=True)
class _Sheet:
    """What is worked out once and used by several of the edits."""

    document: Document
    job_file: Document
    vehicle: Vehicle
    job: Job
    built: Built
    told: list[str] = field(default_factory=list)
    unsized: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        data: Any = self.document.data
        self.data = data
        self.unit = bare_unit(self.document)
        self.asked = list(_changes(self.job_file, self.job))
        self.heirs = {str(c["part"]): str(c["with"]) for c in self.asked if c.get("do") == "replace"}

    def measured(self) -> Iterator[Edit]:
        """Sizes that were measured, where the part stays."""
        for path, text in self.built.sizes.items():
            if path[0] != "components" or path[1] in self.built.parts:
                yield Change(path, _as_typed(text, self.unit))
        for path, at in self.built.seats.items():
            if path[1] in self.built.parts:
                yield self._seated(path, at)

    def _seated(self, path: KeyPath, at: Plain) -> Edit:
        """Where a solid sits in its part once a size of it is another."""
        solid = self.data
        for key in path[:-1]:
            solid = solid[key]
        return Change(path, at) if "at" in solid else Put(path[:-1], "at", at)

    def gone(self) -> Iterator[Edit]:
        """Parts and links that are there no more, and relations about them."""
        for section, there in (("links", self.built.links), ("components", self.built.parts)):
            for name in self.data.get(section) or {}:
                if name not in there:
                    yield Drop((section, name))
        for name, relation in (self.data.get("relations") or {}).items():
            if not self._holds(relation):
                self.told.append(f"relation `{name}` goes with the part it is about")
                yield Drop(("relations", name))
        for name, space in (self.data.get("spaces") or {}).items():
            on = str(space.get("on", ""))
            if on and self.heirs.get(on, on) not in self.built.parts:
                self.told.append(f"mounting space `{name}` goes with the part it is on")
                yield Drop(("spaces", name))

    def _holds(self, relation: Mapping[str, Any]) -> bool:
        named = [str(relation[k]).split(".")[0] for k in ("part", "of") if relation.get(k)]
        known = self.data.get("components") or {}
        return all(self.heirs.get(n, n) in self.built.parts for n in named if n in known)

    def heirs_named(self) -> Iterator[Edit]:
        """Whatever names a part that was replaced names the one that took over."""
        skipped = {("links", n) for n in self.data.get("links") or {} if n not in self.built.links}
        skipped |= {("components", n) for n in self.data.get("components") or {} if n not in self.built.parts}
        skipped |= {("relations", n) for n, r in (self.data.get("relations") or {}).items() if not self._holds(r)}
        for path, value in _texts(self.data):
            head, dot, port = value.partition(".")
            is_name = path[-1] in _NAMING or (isinstance(path[-1], int) and path[-2] in _LISTS)
            if is_name and head in self.heirs and path[:2] not in skipped:
                yield Change(path, f"{self.heirs[head]}{dot}{port}")
        gone = {n for n in self.data.get("components") or {} if n not in self.built.parts} - self.heirs.keys()
        gone |= {n for n in self.data.get("links") or {} if n not in self.built.links}
        for path, names in _lists(self.data):
            left = [v for v in names if v not in gone]
            if path[:2] not in skipped and len(left) < len(names):
                renamed: list[Plain] = [self.heirs.get(v, v) for v in left]
                yield Change(path, renamed) if renamed else Drop(path)
        for path, block in _nears(self.data):
            for name in block if path[:2] not in skipped else ():
                if name in gone or name in self.heirs:
                    yield Drop((*path, name)) if len(block) > 1 else Drop(path)

    def parts(self) -> Iterator[Edit]:
        """Parts that stay and are elsewhere, on something else, or of another size."""
        for name, part in self.built.parts.items():
            was = self.vehicle.components.get(name)
            if was is None:
                continue
            where: KeyPath = ("components", name)
            yield from self._placed(where, was.pose, part.pose)
            if part.mounted_on != was.mounted_on and self.heirs.get(was.mounted_on or "") != part.mounted_on:
                yield from self._set(where, "mounted_on", part.mounted_on)
            if not same_solids(was.solids, part.solids):
                yield from self._sized(where, part)

    def altered(self) -> Iterator[Edit]:
        """Sizes that were measured on parts once they were larger: as sure as they were read."""
        for path, text in self.built.altered.items():
            if path[1] in self.built.parts and path[1] not in self.unsized:
                yield Change(path, _as_typed(text, self.unit))

    def _placed(self, where: KeyPath, was: Pose, now: Pose) -> Iterator[Edit]:
        if not near(was.at_mm, now.at_mm, PLACED_MM):
            yield from self._set(where, "at", self._still_doubted(where, self._point(now.at_mm)))
        if not near(was.turn_deg, now.turn_deg, SAME_DEG):
            yield from self._set(where, "turn", _turns(now.turn_deg))

    def _still_doubted(self, where: KeyPath, point: list[Plain]) -> list[Plain]:
        """A new place that is as sure as the old one was written to be."""
        old = self.data[where[0]][where[1]].get("at")
        if not isinstance(old, list) or len(old) != len(point):
            return point
        doubts_mm = [parse_length(o, bare=self.unit).doubt_mm for o in old]
        unit = "in" if self.unit == "inch" else "mm"
        return [
            p if doubt is None else f"{p} {unit} +/- {in_units(doubt, self.unit)}"
            for p, doubt in zip(point, doubts_mm, strict=True)
        ]

    def _sized(self, where: KeyPath, part: Component) -> Iterator[Edit]:
        if not all(isinstance(s, Box | Cylinder) for s in part.solids):
            self.told.append(f"the new size of `{part.id}` is not written: change its solids in the file")
            self.unsized.add(part.id)
            return
        solids: list[Plain] = [self._solid(s) for s in part.solids if isinstance(s, Box | Cylinder)]
        yield Change((*where, "solids"), solids)

    def _solid(self, solid: Box | Cylinder) -> dict[str, Plain]:
        told: dict[str, Plain]
        if isinstance(solid, Box):
            told = {"box": self._point(solid.size_mm)}
        else:
            across, length, _ = self._point((solid.across_mm, solid.length_mm, 0.0))
            told = {"cylinder": {"across": across, "length": length, "along": solid.along}}
        if any(solid.pose.at_mm):
            told["at"] = self._point(solid.pose.at_mm)
        if any(solid.pose.turn_deg):
            told["turn"] = _turns(solid.pose.turn_deg)
        return told

    def added(self) -> Iterator[Edit]:
        """Parts that the job brings, as the job's file has them, where they came to sit."""
        for change in self.asked:
            name = str(change.get("with") if change.get("do") == "replace" else change.get("part"))
            if change.get("do") not in {"add", "replace"} or name not in self.built.parts:
                continue
            part = self.built.parts[name]
            raw = {k: copy.deepcopy(v) for k, v in change["component"].items() if k not in _BOUGHT}
            planned = next(
                c.component for c in self.job.changes if isinstance(c, Add | Replace) and c.component.id == name
            )
            if not near(planned.pose.at_mm, part.pose.at_mm, PLACED_MM):
                raw["at"] = self._point(part.pose.at_mm)
            if not near(planned.pose.turn_deg, part.pose.turn_deg, SAME_DEG):
                raw["turn"] = _turns(part.pose.turn_deg)
            yield Put(("components",), name, raw)

    def links(self) -> Iterator[Edit]:
        """Links that are new, and the new runs of those made anew."""
        section = self.data.get("links") or {}
        for change in self.asked:
            if change.get("do") == "link" and str(change["part"]) in self.built.links:
                yield from self._put("links", str(change["part"]), self._led(str(change["part"]), change["link"]))
        for name, points in self.built.runs.items():
            if name in section and name in self.built.links:
                via: list[Plain] = [self._point(p) for p in points[1:-1]]
                where: KeyPath = ("links", name)
                if via:
                    yield from self._set(where, "via", via)
                elif "via" in section[name]:
                    yield Drop((*where, "via"))

    def _led(self, name: str, link: Mapping[str, Any]) -> dict[str, Any]:
        """A new link as the job's file has it, by way of the corners of the run it is made by."""
        raw = {k: copy.deepcopy(v) for k, v in link.items() if k != "via" or name not in self.built.runs}
        corners = [self._point(p) for p in self.built.runs.get(name, ())[1:-1]]
        return {**raw, "via": corners} if corners else raw

    def relations(self) -> Iterator[Edit]:
        """What the job asked to hold, and cuts, which the file has no place for."""
        for block in _blocks(self.job_file, self.job):
            for name, relation in (block.get("relations") or {}).items():
                known = self.data.get("relations") or {}
                if name in known:
                    yield Change(("relations", name), relation)
                else:
                    yield from self._put("relations", name, relation)
        cuts = [str(c.get("id")) for c in self.asked if c.get("do") == "cut"]
        if cuts:
            self.told.append(f"holes are not part of a vehicle's file: {', '.join(cuts)}")

    def owed(self) -> Iterator[Edit]:
        """What was left open: signed, it goes; what is left open now comes to it."""
        known = self.data.get("to_prove") or {}
        good = [i for i in known if i in self.built.made_good]
        if good and len(good) == len(known):
            yield Drop(("to_prove",))
            self.data.pop("to_prove")
        else:
            for name in good:
                yield Drop(("to_prove", name))
        for one in self.built.owed:
            told = {"what": one.what, "limit": one.limit, "check": one.check, "job": one.job, "why": one.why}
            kept: dict[str, Plain] = {k: v for k, v in told.items() if v}
            yield from self._put("to_prove", one.id, {**kept, "before": one.before.value})

    def _put(self, section: str, name: str, value: Plain) -> Iterator[Edit]:
        if self.data.get(section):
            yield Put((section,), name, value)
        else:
            self.data[section] = {name: value}
            yield Put((), section, {name: value})

    def _set(self, where: KeyPath, key: str, value: Plain) -> Iterator[Edit]:
        block = self.data[where[0]][where[1]]
        yield Change((*where, key), value) if key in block else Put(where, key, value)

    def _point(self, point_mm: Vec) -> list[Plain]:
        return [in_units(c, self.unit) for c in point_mm]


def _as_typed(text: str, unit: str) -> Plain:
    """A measured size as a person writes it: a bare number where it is in the file's own unit."""
    number = _NUMBER.fullmatch(text.strip())
    if number is None or (number["unit"] or unit) not in _SAME_UNIT[unit]:
        return text
    return float(number["number"]) if "." in number["number"] else int(number["number"])


def _turns(turn_deg: Vec) -> list[Plain]:
    return [as_written(t, 3) for t in turn_deg]


_NUMBER = re.compile(r"(?P<number>-?[0-9]+(?:\.[0-9]+)?)\s*(?P<unit>[a-z\"]+)?")
_SAME_UNIT = {"mm": frozenset({"mm"}), "inch": frozenset({"inch", "in", '"'})}
_BOUGHT = frozenset({"price", "lead"})
"""Keys that say how a part is bought: of one that is on the vehicle they say nothing any more."""
_NAMING = frozenset({"mounted_on", "on", "from", "to", "part", "of"})
"""Keys whose text names a part, or a port of one."""
_LISTS = frozenset({"passes", "touches"})
"""Keys whose list names parts and links."""


def _blocks(document: Document, job: Job) -> Iterator[dict[str, Any]]:
    """The parts of a job's file that count: the job itself and the option that is taken."""
    data: Any = document.data
    yield data
    if job.option is not None:
        yield data["options"][job.option]


def _changes(document: Document, job: Job) -> Iterator[dict[str, Any]]:
    for block in _blocks(document, job):
        yield from block.get("changes") or []


def _walk(value: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Any]]:  # noqa: ANN401  # plain data
    """Every value with its way, a block or list before what is in it."""
    yield path, value
    if isinstance(value, dict | list):
        for key, each in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _walk(each, (*path, key))


def _texts(data: Any) -> Iterator[tuple[KeyPath, str]]:  # noqa: ANN401  # plain data
    return ((path, value) for path, value in _walk(data) if isinstance(value, str))


def _nears(data: Any) -> Iterator[tuple[KeyPath, dict[str, Any]]]:  # noqa: ANN401  # plain data
    """Every block that says what may come near."""
    return ((path, value) for path, value in _walk(data) if path[-1:] == ("near",) and isinstance(value, dict))


def _lists(data: Any) -> Iterator[tuple[KeyPath, list[Any]]]:  # noqa: ANN401  # plain data
    """Every list of names."""
    return ((path, value) for path, value in _walk(data) if {*path[-1:]} & _LISTS and isinstance(value, list))
