"""The changes of a job: what goes, what comes, what is moved, grown or cut."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from planner.files import KeyPath, Plain
from planner.files.schema_job import (
    AddFile,
    AddLinkFile,
    ChangeFile,
    CutFile,
    GrowFile,
    MoveFile,
    RemoveFile,
    ReplaceFile,
    TakeOffFile,
)
from planner.finding.words import quoted
from planner.model.job import Add, AddLink, Change, Cut, Grow, Move, Remove, Replace, TakeOff
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Vehicle
from planner.model.words import GATES
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS, PARTS_AND_LINKS, fill_component
from planner.shelf.fill_link import fill_link
from planner.shelf.fill_solid import fill_solid, fill_turn
from planner.shelf.fill_vehicle import check_rings

_NEW_ID = {"add": "part", "replace": "with", "cut": "id", "link": "part"}
"""For each kind of change that makes something new, the key of its id."""
_GOES = ("remove", "replace")
_HANDLED = (*_GOES, "move", "grow")
LEAST_MOVE_MM = 0.5
"""A move by less is within the doubt of any measure."""


@dataclass(slots=True)
class Roll:
    """Which parts and links there are after the changes, from the words of the file alone."""

    vehicle: Vehicle
    new: dict[str, str] = field(default_factory=dict)
    """Id -> "part", "link" or "cut"."""
    gone: set[str] = field(default_factory=set)
    handled: set[str] = field(default_factory=set)
    """Parts and links that the job removes, replaces, moves or grows, so that they leave their place anyway."""
    joined: set[str] = field(default_factory=set)
    """Parts at which a new link ends."""

    def parts_after(self) -> list[str]:
        """Parts there are when the job is done."""
        return self._after("part", self.vehicle.components)

    def links_after(self) -> list[str]:
        """Links there are when the job is done."""
        return self._after("link", self.vehicle.links)

    def _after(self, sort: str, present: Iterable[str]) -> list[str]:
        new = [name for name, what in self.new.items() if what == sort]
        return [name for name in dict.fromkeys((*present, *new)) if name not in self.gone]

    @property
    def subjects(self) -> list[str]:
        """New ids and ids that go."""
        return [*self.new, *sorted(self.gone)]


def call_roll(changes: Plain, vehicle: Vehicle) -> Roll:
    """Read who comes and who goes from the plain data of ``changes``, sound or not.

    Parameters
    ----------
    changes : plain data
    vehicle : Vehicle
    """
    roll = Roll(vehicle=vehicle)
    sorts = {"add": "part", "replace": "part", "cut": "cut", "link": "link"}
    for change in changes if isinstance(changes, list) else ():
        if not isinstance(change, dict):
            continue
        do = change.get("do")
        if not isinstance(do, str):
            continue
        name = change.get(_NEW_ID.get(do, ""))
        if isinstance(name, str):
            roll.new.setdefault(name, sorts[do])
        part = change.get("part")
        if do in _GOES and isinstance(part, str) and (part in vehicle.components or part in vehicle.links):
            roll.gone.add(part)
        if do in _HANDLED and isinstance(part, str):
            roll.handled.add(part)
        roll.joined.update(_ends(change.get("link")))
    return roll


def _ends(link: Plain) -> list[str]:
    """Parts at both ends of a new link, as far as they are written."""
    ends = [link.get("from"), link.get("to")] if isinstance(link, dict) else []
    return [end.partition(".")[0] for end in ends if isinstance(end, str)]


class Changes:
    """Fills the changes of one job.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    bench : Bench
        Its known parts and links are those there are when the job is done.
    """

    def __init__(self, vehicle: Vehicle, bench: Bench) -> None:
        self.vehicle = vehicle
        self.bench = bench
        named = (vehicle.components, vehicle.links, vehicle.systems, bench.catalog.conditions, GATES)
        self._taken = {name for names in named for name in names}
        self._done: dict[str, str] = {}
        """Part of the vehicle -> what this job does with it."""
        self.parts: dict[str, Component] = {n: c for n, c in vehicle.components.items() if n not in bench.gone}

    def fill(self, files: Sequence[tuple[KeyPath, ChangeFile]]) -> tuple[Change, ...]:
        """All changes, in the order given; links last to be read, as they may join new parts."""
        filled: dict[KeyPath, Change] = {}
        paths: dict[str, KeyPath] = {}
        for links in (False, True):
            for path, file in files:
                if isinstance(file, AddLinkFile) is links:
                    filled[path] = self._one(file, path, paths)
        check_rings(self.parts.values(), paths, self.bench.faults)
        return tuple(filled[path] for path, _ in files)

    def _one(self, file: ChangeFile, path: KeyPath, paths: dict[str, KeyPath]) -> Change:
        if isinstance(file, RemoveFile):
            self._old((*path, "part"), file.part, "removed", *PARTS_AND_LINKS)
            return Remove(part=file.part)
        if isinstance(file, AddFile):
            self._new((*path, "part"), file.part)
            paths.setdefault(file.part, (*path, "component"))
            return Add(component=self._component(file.part, file, path))
        if isinstance(file, ReplaceFile):
            self._old((*path, "part"), file.part, "replaced", *PARTS)
            self._new((*path, "with"), file.with_)
            paths.setdefault(file.with_, (*path, "component"))
            return Replace(part=file.part, component=self._component(file.with_, file, path))
        if isinstance(file, AddLinkFile):
            self._new((*path, "part"), file.part)
            return AddLink(link=fill_link(file.part, file.link, (*path, "link"), self.bench, self.parts))
        return self._work(file, path)

    def _work(self, file: MoveFile | TakeOffFile | GrowFile | CutFile, path: KeyPath) -> Change:
        if isinstance(file, MoveFile):
            return self._move(file, path)
        if isinstance(file, TakeOffFile):
            self._old((*path, "part"), file.part, "taken off", *PARTS)
            return TakeOff(part=file.part)
        if isinstance(file, GrowFile):
            return self._grow(file, path)
        self._new((*path, "id"), file.id)
        self.bench.check_id((*path, "host"), file.host, *PARTS)
        return Cut(id=file.id, host=file.host, hole=fill_solid(file, path, self.bench), welded=file.welded)

    def _component(self, name: str, file: AddFile | ReplaceFile, path: KeyPath) -> Component:
        component = fill_component(name, file.component, (*path, "component"), self.bench)
        self.parts.setdefault(name, component)
        return component

    def _move(self, file: MoveFile, path: KeyPath) -> Move:
        known = self._old((*path, "part"), file.part, "moved", *PARTS)
        old = self.vehicle.components[file.part].pose if known else Pose()
        if file.by is not None:
            x, y, z = (a + b for a, b in zip(old.at_mm, self.bench.point((*path, "by"), file.by), strict=True))
        else:
            x, y, z = self.bench.point((*path, "to"), file.to or ())
        pose = Pose(at_mm=(x, y, z), turn_deg=old.turn_deg if file.turn is None else fill_turn(file.turn))
        if known and math.dist(pose.at_mm, old.at_mm) < LEAST_MOVE_MM and pose.turn_deg == old.turn_deg:
            near = "" if pose == old else f", to within {self.bench.length(LEAST_MOVE_MM)}"
            message = f"{quoted(file.part)} is there already{near}"
            self.bench.faults.error("bad-move", path, message, "say where it goes, or leave the change out")
        if file.onto is not None:
            self.bench.check_id((*path, "onto"), file.onto, *PARTS)
        return Move(part=file.part, to=pose, onto=file.onto)

    def _grow(self, file: GrowFile, path: KeyPath) -> Grow:
        self._old((*path, "part"), file.part, "grown", *PARTS)
        x, y, z = (self.bench.allowance((*path, "by", i), size, 0.0) for i, size in enumerate(file.by))
        if not any((x, y, z)):
            self.bench.faults.error("bad-grow", (*path, "by"), "it grows by nothing", "say how much larger it becomes")
        self._see_stays(file.from_, (x, y, z), (*path, "from"))
        return Grow(
            part=file.part,
            by_mm=(x, y, z),
            stays=file.from_,
            price=file.price,
            lead_days=self.bench.days((*path, "lead"), file.lead),
            lead_told=file.lead is not None,
        )

    def _see_stays(self, stays: tuple[Direction, ...], by_mm: Vec, path: KeyPath) -> None:
        """Report a side that stays while nothing grows away from it, or while the one across from it stays too."""
        for side in stays:
            axis = next(i for i in range(3) if side.vector[i])
            if not by_mm[axis]:
                message = f"a side of it along {'xyz'[axis]} is to stay, and it grows by nothing along {'xyz'[axis]}"
                self.bench.faults.error("bad-grow", path, message, "say by how much, or leave this side out")
            elif side.vector[axis] > 0 and any(other.vector[axis] < 0 for other in stays):
                message = f"two sides across from each other stay, and it grows along {'xyz'[axis]}"
                self.bench.faults.error("bad-grow", path, message, "keep the one that stays where it is")

    def _new(self, path: KeyPath, name: str) -> None:
        """Take ``name``; a finding when it is in use."""
        if name in self._taken:
            self.bench.faults.error("double-id", path, f"the id {quoted(name)} is in use already", "choose another id")
        self._taken.add(name)

    def _old(self, path: KeyPath, name: str, done: str, *sorts: str) -> bool:
        """Whether ``name`` is on the vehicle as it stands, and note what is done with it."""
        bench = self.bench
        here: Mapping[str, Collection[str]] = {"part": self.vehicle.components, "link": self.vehicle.links}
        if not any(name in here[sort] for sort in sorts):
            if any(name in bench.known[sort] for sort in sorts):
                hint = "say in the change that adds it how it is to be"
                bench.faults.error("change-of-new", path, f"{quoted(name)} is new in this job", hint)
                return False
            return bench.check_id(path, name, *sorts)
        before = self._done.get(name)
        goes = name in bench.gone and done not in ("removed", "replaced")
        if before == done:
            bench.faults.error("changed-twice", path, f"{quoted(name)} is {done} twice", "keep one of the two")
        elif {before, done} == {"moved", "grown"}:
            message = f"{quoted(name)} is {before} and {done}: a plan knows one change of a part"
            hint = (
                "where only a side of it stays in place, write one `grow` with `from:` and that side, such as "
                "`from: bottom`; for another place altogether one `replace`, with the larger part there and the `lead` "
                "of its alteration"
            )
            bench.faults.error("changed-twice", path, message, hint)
        elif goes or (before in ("removed", "replaced") and done in ("removed", "replaced")):
            what = before if before in ("removed", "replaced") else "taken away"
            message = f"{quoted(name)} is {done} though it is {what} in this job"
            bench.faults.error("part-gone", path, message, "keep one of the two")
        self._done[name] = done
        return True
