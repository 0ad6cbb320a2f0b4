"""Which two parts cannot stay as they are beside each other, and why, with the number that says so."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from planner.knockon.asked import Asked
from planner.knockon.clearances import Keep, KeepBook
from planner.knockon.placed import Placed, place
from planner.knockon.relations import RelationRules
from planner.model.catalog import Catalog
from planner.model.effects import CauseKind
from planner.model.job import Cut
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Driver, Link, Relation, Vehicle
from planner.space import Body, Gap, closer_than, free_interval, gap, link_body, place_words, port_mm, solid_body
from planner.units import format_length

TOUCH_MM = 0.05
"""Overlap below this is two parts touching."""
EXACT_MM = 0.01
"""A gap is below a limit when it is so by more than this, as ``space.closer_than`` has it."""
SEAT_MM = 1.0
"""Parts that are meant to touch may lie this deep in each other: paint, gaskets and a tape measure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Why ``part`` cannot stay where it is: ``other`` (a part, cut or relation's other end) forbids it."""

    kind: CauseKind
    part: str
    other: str
    text: str
    mm: float | None
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
    keeps: KeepBook = field(default_factory=KeepBook)
    driver: Driver | None = None
    """Who drives when the job is done."""
    strict: frozenset[str] = frozenset()
    """Relations of the job itself: they hold in full."""
    kept: RelationRules = field(init=False)
    _present: dict[str, Placed] = field(default_factory=dict)
    _present_gaps: dict[tuple[str, str], float] = field(default_factory=dict)
    _present_links: dict[str, Body] = field(default_factory=dict)
    _holes: dict[str, Body] = field(default_factory=dict)
    _spared: dict[str, tuple[Link, frozenset[str]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Give the relations their view of the parts."""
        self.kept = RelationRules(
            vehicle=self.vehicle,
            relations=self.relations,
            parts=self.parts,
            driver=self.driver,
            present=self.present,
            name=self.name,
            strict=self.strict,
        )

    def present(self, part: str) -> Placed | None:
        """The part as it stands in the vehicle now, None for a part the job adds."""
        if part not in self.vehicle.components:
            return None
        if part not in self._present:
            self._present[part] = place(self.vehicle.components[part])
        return self._present[part]

    def set_anew(self, *parts: Placed) -> frozenset[str]:
        """Those of some parts that stand elsewhere than in the vehicle now: their places are set in this job."""
        known = [(p, self.present(p.part.id)) for p in parts]
        return frozenset(p.part.id for p, then in known if then is not None and then.part.pose != p.part.pose)

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
        limit_mm = self.gap_limit_mm(a.part, b.part)
        if limit_mm is not None and closer_than(a.body, b.body, limit_mm) and self.got_worse(a, b):
            return True
        return self.rooms_lost(a, b) or self.kept.any_between(a, b)

    def gap_limit_mm(self, a: Component, b: Component) -> float | None:
        """The gap [mm] below which two parts conflict, unless it was so at the start; None when no gap counts."""
        if not self.meant_to_touch(a, b):
            return self.keeps.keep(a, b).mm - TOUCH_MM
        return -SEAT_MM if self._may_press(a, b) else None

    def gap_cut_mm(self, a: Placed, b: Placed) -> float:
        """The gap [mm] below which two parts conflict for good: less than their limit when it was so at the start."""
        limit_mm = self.gap_limit_mm(a.part, b.part)
        if limit_mm is None:
            return -math.inf
        needed_mm = -SEAT_MM if self.meant_to_touch(a.part, b.part) else self.keeps.keep(a.part, b.part).mm
        then_a, then_b = self.present(a.part.id), self.present(b.part.id)
        if then_a is None or then_b is None or self.kept_before(a, b, needed_mm):
            return limit_mm - EXACT_MM
        return min(limit_mm - EXACT_MM, self._gap_then(then_a, then_b) - 2 * TOUCH_MM)

    def got_worse(self, a: Placed, b: Placed) -> bool:
        """Whether a gap that is below its limit is the job's doing."""
        touching = self.meant_to_touch(a.part, b.part)
        return self._worse_gap(a, b, -SEAT_MM if touching else self.keeps.keep(a.part, b.part).mm)

    def rooms_count(self, a: Component, b: Component) -> bool:
        """Whether either may not stand in the other's working rooms: not when they come off as one."""
        return bool(a.rooms or b.rooms) and self._carrier(a) != self._carrier(b)

    def rooms_lost(self, a: Placed, b: Placed) -> bool:
        """Whether either of two parts takes a working room of the other."""
        return any(self._room_lost(x, y) for x, y in ((a, b), (b, a)))

    def between(self, part: Placed, other: Placed) -> tuple[Conflict, ...]:
        """Every conflict of ``part`` with ``other``, told from the side of ``part``."""
        found = list(self._relation_conflicts(part, other))
        keep = self._too_near(part, other)
        if keep is not None:
            found.append(self._gap_conflict(part, other, keep))
        found.extend(self._room_conflicts(part, other))
        return tuple(found)

    def measured(self, a: Placed, b: Placed) -> Iterator[tuple[CauseKind, str, float | None]]:
        """Every conflict of two placed parts as its kind, whom it is about, and by how much [mm]; no words, no places.

        Whom: the relation for a broken relation, the part whose room is lost, else the second part.
        """
        for miss in self.kept.between(a, b):
            yield CauseKind.RELATION, miss.relation.id, miss.mm
        keep = self._too_near(a, b)
        if keep is not None and self.meant_to_touch(a.part, b.part):
            yield CauseKind.CLASH, b.part.id, None
        elif keep is not None:
            found_mm = gap(a.body, b.body).mm
            kind = CauseKind.CLASH if found_mm < -TOUCH_MM else CauseKind.KEEP_CLEAR
            yield kind, b.part.id, keep.mm - found_mm
        for owner, other in ((a, b), (b, a)):
            for _, body in self._lost_rooms(owner, other):
                yield CauseKind.ROOM_LOST, owner.part.id, -gap(body, other.still).mm

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

    def own_relation_missed(self, part: Placed) -> bool:
        """Whether the part misses a relation that binds it to no other part: ground, driver, standing upright."""
        return self.kept.any_alone(part)

    def spared_by(self, link: Link, part: Component) -> bool:
        """Whether a part may stand in the run of a link: an end of it, one it passes or one that touches it."""
        return part.id in self._passed(link) or link.id in part.touches

    def _passed(self, link: Link) -> frozenset[str]:
        if link.id not in self._spared or self._spared[link.id][0] is not link:
            self._spared[link.id] = (link, frozenset({*(e.component for e in link.ends), *link.passes}))
        return self._spared[link.id][1]

    def link_hit(self, link: Link, run: Body, part: Placed) -> bool:
        """Whether a part stands in (or too close to) the run of a link it has no business touching."""
        if self.spared_by(link, part.part):
            return False
        needed = self.keeps.keep(link, part.part).mm
        if not closer_than(run, part.body, needed - TOUCH_MM):
            return False
        then = self.present(part.part.id)
        if then is None or link.id not in self.vehicle.links:
            return True
        present_mm = self._present_gap(
            ("~" + link.id, part.part.id), lambda: gap(self.present_run(link.id), then.body).mm
        )
        return present_mm >= needed - TOUCH_MM or gap(run, part.body).mm < present_mm - 2 * TOUCH_MM

    def hit_words(self, link: Link, run: Body, part: Placed) -> str:
        """How a part stands towards the run of a link that it hits (:meth:`link_hit`)."""
        keep, found = self.keeps.keep(link, part.part), gap(run, part.body)
        if found.mm < TOUCH_MM or keep.rule is None:
            return f"{part.part.name} stands in its run"
        near, kept = self.length(found.mm), self.length(keep.mm)
        return f"{part.part.name} comes within {near} of its run, {kept} is to be kept{keep.because}"

    def present_run(self, link: str) -> Body:
        """The run of a link of the vehicle as it stands."""
        if link not in self._present_links:
            self._present_links[link] = run_of(self.vehicle.links[link], self.vehicle.components)
        return self._present_links[link]

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

    def _may_press(self, a: Component, b: Component) -> bool:
        """Whether two parts that are meant to touch may have got into each other deeper than they were.

        Only a change can do that: in the vehicle as it stands, or with a part the job adds, what goes through what is
        the owner's own word.
        """
        known = self.vehicle.components
        return a.id in known and b.id in known and self._carrier(a) != self._carrier(b)

    def _too_deep(self, a: Placed, b: Placed) -> bool:
        """Whether two parts that are meant to touch have got into each other deeper than they were."""
        pressed = self._may_press(a.part, b.part) and closer_than(a.body, b.body, -SEAT_MM)
        return pressed and self._worse_gap(a, b, -SEAT_MM)

    def _carrier(self, part: Component) -> str:
        while part.rides and part.mounted_on in self.parts:
            part = self.parts[part.mounted_on]
        return part.id

    def kept_before(self, a: Placed, b: Placed, needed_mm: float) -> bool:
        """Whether two parts kept a gap at the start, or one of them is new: any shortfall is then the job's doing."""
        then_a, then_b = self.present(a.part.id), self.present(b.part.id)
        return then_a is None or then_b is None or self._gap_then(then_a, then_b) >= needed_mm - TOUCH_MM

    def _too_near(self, a: Placed, b: Placed) -> Keep | None:
        """What two parts keep that stand nearer than that, and not because they stood so before; else None."""
        if self.meant_to_touch(a.part, b.part):
            return Keep(mm=0.0) if self._too_deep(a, b) else None
        keep = self.keeps.keep(a.part, b.part)
        near = closer_than(a.body, b.body, keep.mm - TOUCH_MM) and self._worse_gap(a, b, keep.mm)
        return keep if near else None

    def _worse_gap(self, a: Placed, b: Placed, needed_mm: float) -> bool:
        if self.kept_before(a, b, needed_mm):
            return True
        then_a, then_b = self.present(a.part.id), self.present(b.part.id)
        if then_a is None or then_b is None:
            return True
        return gap(a.body, b.body).mm < self._gap_then(then_a, then_b) - 2 * TOUCH_MM

    def _gap_then(self, a: Placed, b: Placed) -> float:
        first, second = sorted((a, b), key=lambda p: p.part.id)
        return self._present_gap((first.part.id, second.part.id), lambda: gap(first.body, second.body).mm)

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
        for owner, intruder in ((part, other), (other, part)):
            for room, body in self._lost_rooms(owner, intruder):
                found = gap(body, intruder.still)
                deep = self.length(-found.mm)
                text = f"stands {deep} inside the room {other.part.name} needs for {room}"
                if owner is part:
                    text = f"{other.part.name} takes {deep} of its room for {room}"
                yield Conflict(
                    kind=CauseKind.ROOM_LOST,
                    part=part.part.id,
                    other=other.part.id,
                    mm=-found.mm,
                    at_mm=found.at_mm,
                    text=text,
                )

    def _gap_conflict(self, part: Placed, other: Placed, keep: Keep) -> Conflict:
        found = gap(part.body, other.body)
        where = place_words(part.body, found.at_mm)
        if found.mm < -TOUCH_MM:
            kind, mm = CauseKind.CLASH, -found.mm
            text = f"{other.part.name} overlaps it by {self.length(mm)} at its {where}"
        else:
            kind, mm = CauseKind.KEEP_CLEAR, keep.mm - found.mm
            text = (
                f"{other.part.name} comes within {self.length(max(0.0, found.mm))} of its {where}, "
                f"{self.length(keep.mm)} is to be kept{keep.because}"
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

    def _relation_conflicts(self, part: Placed, other: Placed) -> Iterator[Conflict]:
        for miss in self.kept.between(part, other):
            yield Conflict(
                kind=CauseKind.RELATION, part=part.part.id, other=miss.relation.id, mm=miss.mm, text=miss.text
            )


def run_of(link: Link, parts: dict[str, Component]) -> Body:
    """The run of a link between its ports, with the parts in their given poses."""
    first, second = (port_mm(parts[e.component], e.port) for e in link.ends)
    return link_body(link, first, second)


def crossing_of(one: tuple[Link, Body], other: tuple[Link, Body]) -> Gap | None:
    """Where two stiff links go through each other; a hose or wire gives way, and links of one port share it."""
    (first, a), (second, b) = one, other
    shared = {(e.component, e.port) for e in first.ends} & {(e.component, e.port) for e in second.ends}
    if shared or not (first.rigid and second.rigid) or not closer_than(a, b, -TOUCH_MM):
        return None
    return gap(a, b)


def rules_for(vehicle: Vehicle, asked: Asked, catalog: Catalog | None = None) -> PairRules:
    """The pair rules of a job; without a catalog the parts keep only what they ask for themselves."""
    return PairRules(
        vehicle=vehicle,
        relations=asked.relations,
        parts=asked.base,
        cuts=asked.cuts,
        new=asked.new,
        keeps=KeepBook(catalog),
        driver=asked.driver,
        strict=asked.strict,
    )


def rules_now(vehicle: Vehicle) -> PairRules:
    """The pair rules of the vehicle as it stands, with nothing let pass: for the check of the file itself."""
    return PairRules(
        vehicle=replace(vehicle, systems={}, components={}, links={}, spaces={}, relations={}),
        relations=vehicle.relations,
        parts=vehicle.components,
        cuts=(),
        new=frozenset(),
        driver=vehicle.driver,
    )
