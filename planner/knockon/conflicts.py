"""Which two parts cannot stay as they are beside each other, and why, with the number that says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from planner.knockon.asked import Asked
from planner.knockon.placed import Placed, place
from planner.model.effects import CauseKind
from planner.model.job import Cut
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Keeps, Link, Relation, Vehicle
from planner.space import Body, closer_than, free_interval, gap, link_body, place_words, port_mm, solid_body
from planner.units import format_length

TOUCH_MM = 0.05
"""Overlap below this is two parts touching."""
SEAT_MM = 1.0
"""Parts that are meant to touch may lie this deep in each other: paint, gaskets and a tape measure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Why ``part`` cannot stay where it is: ``other`` (a part, cut or relation's other end) forbids it."""

    kind: CauseKind
    part: str
    other: str
    text: str
    mm: float
    at_mm: Vec | None = None


@dataclass(slots=True)
class PairRules:
    """The rules between two placed parts, with what was already so at the start let pass.

    A pair that was closer than its keep-clear, or a room or relation that was already broken, is a conflict
    only when it gets worse: the job is not blamed for the vehicle as it stood.
    """

    vehicle: Vehicle
    relations: dict[str, Relation]
    parts: dict[str, Component]
    cuts: tuple[Cut, ...]
    new: frozenset[str]
    _present: dict[str, Placed] = field(default_factory=dict)
    _present_gaps: dict[tuple[str, str], float] = field(default_factory=dict)
    _present_links: dict[str, Body] = field(default_factory=dict)
    _holes: dict[str, Body] = field(default_factory=dict)

    def present(self, part: str) -> Placed | None:
        """The part as it stands in the vehicle now, None for a part the job adds."""
        if part not in self.vehicle.components:
            return None
        if part not in self._present:
            self._present[part] = place(self.vehicle.components[part])
        return self._present[part]

    def meant_to_touch(self, a: Component, b: Component) -> bool:
        """Whether the two are mounted on each other, declared to touch, or come off as one."""
        return (
            a.mounted_on == b.id
            or b.mounted_on == a.id
            or b.id in a.touches
            or a.id in b.touches
            or (a.id not in self.new and b.id not in self.new and self._carrier(a) == self._carrier(b))
        )

    def broken(self, a: Placed, b: Placed) -> bool:
        """Whether the two placed parts are in conflict; the fast form of :meth:`between`."""
        if self.meant_to_touch(a.part, b.part):
            if self._too_deep(a, b):
                return True
        else:
            needed = max(a.part.keep_clear_mm, b.part.keep_clear_mm)
            if closer_than(a.body, b.body, needed - TOUCH_MM) and self._worse_gap(a, b, needed):
                return True
        if any(self._room_lost(x, y) for x, y in ((a, b), (b, a))):
            return True
        return self._pair_relation_broken(a, b)

    def between(self, part: Placed, other: Placed) -> tuple[Conflict, ...]:
        """Every conflict of ``part`` with ``other``, told from the side of ``part``."""
        found = list(self._relation_conflicts(part, other))
        needed = max(part.part.keep_clear_mm, other.part.keep_clear_mm)
        if self.meant_to_touch(part.part, other.part):
            if self._too_deep(part, other):
                found.append(self._gap_conflict(part, other, 0.0))
        elif closer_than(part.body, other.body, needed - TOUCH_MM) and self._worse_gap(part, other, needed):
            found.append(self._gap_conflict(part, other, needed))
        found.extend(self._room_conflicts(part, other))
        return tuple(found)

    def cut_away(self, part: Placed) -> tuple[Conflict, ...]:
        """Conflicts of a part already there with holes cut in what it is mounted on."""
        if part.part.id in self.new:
            return ()
        return tuple(
            Conflict(
                kind=CauseKind.HOST_CUT,
                part=part.part.id,
                other=cut.id,
                mm=max(0.0, -gap(self.hole(cut), part.still).mm),
                text=f"{part.part.name} is mounted where {self.name(cut.host)} is cut",
            )
            for cut in self.cuts
            if cut.host == part.part.mounted_on and closer_than(self.hole(cut), part.still, TOUCH_MM)
        )

    def hole(self, cut: Cut) -> Body:
        """The metal a cut takes away, as a body in vehicle axes."""
        if cut.id not in self._holes:
            self._holes[cut.id] = solid_body((cut.hole,), Pose())
        return self._holes[cut.id]

    def own_relation_short_mm(self, part: Placed) -> float:
        """Worst shortfall [mm] of the relations that bind the part to the ground alone; 0 when all hold."""
        return max(
            (self.shortfall_mm(r, part, None) for r in self._relations_of(part.part.id) if r.of is None),
            default=0.0,
        )

    def link_hit(self, link: Link, run: Body, part: Placed) -> bool:
        """Whether a part stands in (or too close to) the run of a link it has no business touching."""
        ends = {e.component for e in link.ends}
        if part.part.id in ends or part.part.id in link.passes or link.id in part.part.touches:
            return False
        needed = part.part.keep_clear_mm
        if not closer_than(run, part.body, needed - TOUCH_MM):
            return False
        then = self.present(part.part.id)
        if then is None or link.id not in self.vehicle.links:
            return True
        present_mm = self._present_gap(
            ("~" + link.id, part.part.id), lambda: gap(self.present_run(link.id), then.body).mm
        )
        return present_mm >= needed - TOUCH_MM or gap(run, part.body).mm < present_mm - 2 * TOUCH_MM

    def present_run(self, link: str) -> Body:
        """The run of a link of the vehicle as it stands."""
        if link not in self._present_links:
            self._present_links[link] = run_of(self.vehicle.links[link], self.vehicle.components)
        return self._present_links[link]

    def shortfall_mm(self, relation: Relation, part: Placed, of: Placed | None) -> float:
        """By how much a relation is missed [mm], 0 when it holds or was already missed as much at the start."""
        missed = missed_by_mm(relation, part, of, self.vehicle.ground_z_mm)
        if missed <= TOUCH_MM:
            return 0.0
        part_then = self.present(relation.part)
        of_then = self.present(relation.of) if relation.of is not None else None
        if part_then is not None and (relation.of is None or of_then is not None):
            then = missed_by_mm(relation, part_then, of_then, self.vehicle.ground_z_mm)
            if missed <= then + TOUCH_MM:
                return 0.0
        return missed

    def name(self, part: str) -> str:
        """The name a person knows a part or link by."""
        if part in self.parts:
            return self.parts[part].name
        if part in self.vehicle.components:
            return self.vehicle.components[part].name
        return self.vehicle.links[part].name if part in self.vehicle.links else part

    def length(self, length_mm: float) -> str:
        """A length in the owner's units."""
        return format_length(length_mm, self.vehicle.units)

    def _too_deep(self, a: Placed, b: Placed) -> bool:
        """Whether two parts that are meant to touch have got into each other deeper than they were.

        Only a change can do that: in the vehicle as it stands, or with a part the job adds, what goes through what is
        the owner's own word.
        """
        known = self.vehicle.components
        if a.part.id not in known or b.part.id not in known or self._carrier(a.part) == self._carrier(b.part):
            return False
        return closer_than(a.body, b.body, -SEAT_MM) and self._worse_gap(a, b, -SEAT_MM)

    def _carrier(self, part: Component) -> str:
        while part.rides and part.mounted_on in self.parts:
            part = self.parts[part.mounted_on]
        return part.id

    def _worse_gap(self, a: Placed, b: Placed, needed_mm: float) -> bool:
        then_a, then_b = self.present(a.part.id), self.present(b.part.id)
        if then_a is None or then_b is None:
            return True
        first, second = sorted((then_a, then_b), key=lambda p: p.part.id)
        key = (first.part.id, second.part.id)
        present_mm = self._present_gap(key, lambda: gap(first.body, second.body).mm)
        return present_mm >= needed_mm - TOUCH_MM or gap(a.body, b.body).mm < present_mm - 2 * TOUCH_MM

    def _present_gap(self, key: tuple[str, str], measure: Callable[[], float]) -> float:
        if key not in self._present_gaps:
            self._present_gaps[key] = measure()
        return self._present_gaps[key]

    def _room_lost(self, owner: Placed, intruder: Placed) -> bool:
        return any(True for _ in self._lost_rooms(owner, intruder))

    def _lost_rooms(self, owner: Placed, intruder: Placed) -> Iterator[tuple[str, Body]]:
        if self._carrier(owner.part) == self._carrier(intruder.part):
            return
        for room, body in owner.rooms:
            if closer_than(body, intruder.still, -TOUCH_MM) and not self._was_lost(owner, intruder, room.name):
                yield room.name, body

    def _was_lost(self, owner: Placed, intruder: Placed, room_name: str) -> bool:
        then_owner, then_intruder = self.present(owner.part.id), self.present(intruder.part.id)
        if then_owner is None or then_intruder is None:
            return False
        return any(
            closer_than(body, then_intruder.still, -TOUCH_MM)
            for room, body in then_owner.rooms
            if room.name == room_name
        )

    def _room_conflicts(self, part: Placed, other: Placed) -> Iterator[Conflict]:
        for room, body in self._lost_rooms(part, other):
            depth_mm = -gap(body, other.still).mm
            yield Conflict(
                kind=CauseKind.ROOM_LOST,
                part=part.part.id,
                other=other.part.id,
                mm=depth_mm,
                text=f"{other.part.name} takes {self.length(depth_mm)} of its room for {room}",
            )
        for room, body in self._lost_rooms(other, part):
            depth_mm = -gap(body, part.still).mm
            yield Conflict(
                kind=CauseKind.ROOM_LOST,
                part=part.part.id,
                other=other.part.id,
                mm=depth_mm,
                text=f"stands {self.length(depth_mm)} inside the room {other.part.name} needs for {room}",
            )

    def _gap_conflict(self, part: Placed, other: Placed, needed_mm: float) -> Conflict:
        found = gap(part.body, other.body)
        where = place_words(part.body, found.at_mm)
        if found.mm < -TOUCH_MM:
            kind, mm = CauseKind.CLASH, -found.mm
            text = f"{other.part.name} overlaps it by {self.length(mm)} at its {where}"
        else:
            kind, mm = CauseKind.KEEP_CLEAR, needed_mm - found.mm
            text = (
                f"{other.part.name} comes within {self.length(max(0.0, found.mm))} of its {where}, "
                f"{self.length(needed_mm)} is to be kept"
            )
        cures = self._cures(part, other)
        return Conflict(
            kind=kind,
            part=part.part.id,
            other=other.part.id,
            mm=mm,
            at_mm=found.at_mm,
            text=f"{text}{cures}",
        )

    def _cures(self, part: Placed, other: Placed) -> str:
        """The two shortest straight shifts that would clear the overlap, in words."""
        ways = sorted((free_interval(part.body, other.body, d), d.value) for d in Direction)
        told = [f"{self.length(mm)} {d}" for mm, d in ways[:2] if TOUCH_MM < mm < float("inf")]
        return f" ({' or '.join(told)} clears it)" if told else ""

    def _relations_of(self, part: str) -> Iterator[Relation]:
        return (r for r in self.relations.values() if part in {r.part, r.of})

    def _pair_relations(self, a: Placed, b: Placed) -> Iterator[tuple[Relation, float]]:
        for relation in self._relations_of(a.part.id):
            if {relation.part, relation.of} == {a.part.id, b.part.id}:
                part, of = (a, b) if relation.part == a.part.id else (b, a)
                yield relation, self.shortfall_mm(relation, part, of)

    def _pair_relation_broken(self, a: Placed, b: Placed) -> bool:
        return any(mm > 0.0 for _, mm in self._pair_relations(a, b))

    def _relation_conflicts(self, part: Placed, other: Placed) -> Iterator[Conflict]:
        for relation, mm in self._pair_relations(part, other):
            if mm > 0.0:
                yield self.relation_conflict(relation, part.part.id, mm)

    def relation_conflict(self, relation: Relation, part: str, mm: float) -> Conflict:
        """A missed relation, told from the side of ``part``."""
        kept = f" of {self.name(relation.of)}" if relation.of is not None else ""
        measure = {
            Keeps.ABOVE: "above the top",
            Keeps.BELOW: "below the underside",
            Keeps.WITHIN: "at most from the nearest face",
            Keeps.APART: "away from the nearest face",
            Keeps.OFF_GROUND: "off the ground",
        }[relation.keeps]
        why = f": {relation.why}" if relation.why else ""
        return Conflict(
            kind=CauseKind.RELATION,
            part=part,
            other=relation.id,
            mm=mm,
            text=(
                f"{self.name(relation.part)} must stay {self.length(relation.by_mm)} {measure}{kept} "
                f"and misses it by {self.length(mm)}{why}"
            ),
        )


def missed_by_mm(relation: Relation, part: Placed, of: Placed | None, ground_z_mm: float) -> float:
    """By how much two placed parts miss a relation [mm]; zero or less when it holds."""
    match relation.keeps, of:
        case Keeps.OFF_GROUND, _:
            return relation.by_mm - (part.still.lo_mm[2] - ground_z_mm)
        case Keeps.ABOVE, Placed():
            return relation.by_mm - (part.still.lo_mm[2] - of.still.hi_mm[2])
        case Keeps.BELOW, Placed():
            return relation.by_mm - (of.still.lo_mm[2] - part.still.hi_mm[2])
        case Keeps.WITHIN, Placed():
            return gap(part.still, of.still).mm - relation.by_mm
        case Keeps.APART, Placed():
            return relation.by_mm - gap(part.still, of.still).mm
        case _:
            return 0.0


def run_of(link: Link, parts: dict[str, Component]) -> Body:
    """The run of a link between its ports, with the parts in their given poses."""
    first, second = (port_mm(parts[e.component], e.port) for e in link.ends)
    return link_body(link, first, second)


def rules_for(vehicle: Vehicle, asked: Asked) -> PairRules:
    """The pair rules of a job."""
    return PairRules(vehicle=vehicle, relations=asked.relations, parts=asked.base, cuts=asked.cuts, new=asked.new)


def rules_now(vehicle: Vehicle) -> PairRules:
    """The pair rules of the vehicle as it stands, with nothing let pass: for the check of the file itself."""
    return PairRules(
        vehicle=Vehicle(
            name=vehicle.name,
            units=vehicle.units,
            ground_z_mm=vehicle.ground_z_mm,
            systems={},
            components={},
            links={},
            spaces={},
            relations={},
        ),
        relations=vehicle.relations,
        parts=vehicle.components,
        cuts=(),
        new=frozenset(),
    )
