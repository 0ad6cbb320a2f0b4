"""Which sets of demands can hold together: every combination of homes tried, by plain arithmetic on boxes.

Nothing of knockon/ is used. A demand is (sort, ids), as the answer names it. Only parts that carry nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from itertools import combinations, product

from brute_boxes import (
    FREE,
    SEAT,
    TOUCH,
    Block,
    bounds,
    gap_between,
    half,
    minus,
    missed,
    mixed,
    plus,
    port,
    slab,
    stops,
)
from brute_homes import Brute, Spot

from planner.model.job import Cut
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Keeps, Link, RoomNeed, Space

Demand = tuple[str, tuple[str, ...]]
Violation = frozenset[Demand]
"""One of these would have to give."""
BEYOND = 100.0


@dataclass
class DemandBrute(Brute):
    """The stuck parts against everything they are held to."""

    stuck: tuple[str, ...] = ()
    _lists: dict[str, list[tuple[Spot | None, frozenset[Violation]]]] = field(default_factory=dict)
    _pairs: dict[tuple[Spot, Spot], frozenset[Violation]] = field(default_factory=dict)

    def movable(self, part: str) -> bool:
        return part not in self.fixed and self.parts[part].freedom in FREE

    def can_hold(self, demands: Collection[Demand]) -> bool:
        """Whether some combination breaks nothing but what gives."""
        held = frozenset(demands)
        movers = [p for p in self.stuck if p in self.parts and self.movable(p)]
        if not movers:
            return all(v - held for v in self._of_the_job())
        lists = []
        for part in movers:
            if part not in self._lists:
                self._lists[part] = [(s, frozenset(self._alone(part, s, b))) for s, b in self._chances(part)]
            lists.append([s for s, violations in self._lists[part] if all(v - held for v in violations)])
        return any(self._together(spots, held) for spots in product(*lists))

    def _together(self, spots: tuple[Spot | None, ...], held: frozenset[Demand]) -> bool:
        there = [s for s in spots if s is not None]
        for a, b in combinations(there, 2):
            if (a, b) not in self._pairs:
                self._pairs[a, b] = frozenset(self._pair(a, b, ())) | frozenset(self._links_of_both(a, b))
            if not all(v - held for v in self._pairs[a, b]):
                return False
        return True

    def _chances(self, part: str) -> Iterator[tuple[Spot | None, frozenset[Demand]]]:
        """Left out, staying, and every home on the grid, in contact or beyond; with the space it sticks out of."""
        yield None, frozenset({("kept", (part,))})
        host = self.before[part].host
        yield self.before[part], frozenset({("asked for", (host,))}) if part in self.homeless else frozenset()
        c = self.parts[part]
        if c.freedom is not Freedom.MOVES:
            return
        for space in self.vehicle.spaces.values():
            on = self.heirs.get(space.on, space.on)
            if (
                on in self.parts
                and on not in self.moved | self.carried
                and part in {*space.takes, *([part] * (not space.takes))}
            ):
                for pose, sticks_out in self._poses(c, space):
                    yield Spot(part, pose, on), frozenset({("space", (space.id,))}) if sticks_out else frozenset()

    def _poses(self, c: Component, space: Space) -> Iterator[tuple[Pose, bool]]:
        low, high = (minus(space.box.pose.at_mm, half(space.box)), plus(space.box.pose.at_mm, half(space.box)))
        for turn in dict.fromkeys([0.0, *(t[2] for t in c.turns_deg)]):
            turned = Pose(turn_deg=(0.0, 0.0, c.pose.turn_deg[2] + turn))
            own = bounds(self.body(c.id, turned))
            contact = self.contacts(c)(turned)
            sides = [space.against.vector[i] if space.against is not None else 0.0 for i in range(3)]
            ends = [(low[i] - own[0][i], high[i] - own[1][i]) for i in range(3)]
            inside, more, outside = [], [], []
            for (first, last), side, near in zip(ends, sides, contact, strict=True):
                if last < first:
                    on_grid = [first] if side < 0 else [last] if side > 0 else [first, last]
                else:
                    on_grid = stops(first, last, space.step_mm, side)
                inside.append(on_grid)
                close = {v for v in near if first < v < last and v not in on_grid}
                more.append([] if side or last < first else sorted(close))
                steps = [k * space.step_mm for k in range(1, int(BEYOND / space.step_mm) + 1)]
                far = [v for v in near if first - BEYOND <= v < first or last < v <= last + BEYOND]
                outside.append([] if side else [*(first - s for s in steps), *(last + s for s in steps), *far])
            places = mixed(inside, more) if all(last >= first for first, last in ends) else set()
            for axes in ([*inside], *([outside[i] if i == n else inside[i] for i in range(3)] for n in range(3))):
                places |= set(product(*axes))
            for at in sorted(places):
                over = [max(0.0, f - v) + max(0.0, v - t) for v, (f, t) in zip(at, ends, strict=True)]
                if max(over) <= BEYOND:
                    yield Pose(at_mm=at, turn_deg=turned.turn_deg), max(over) > 1e-6

    def _alone(self, part: str, spot: Spot | None, limits: frozenset[Demand]) -> Iterator[Violation]:
        if limits:
            yield limits
        if spot is None:
            return
        body = self.body(part, spot.pose)
        yield from self._own(part, spot, body)
        for other in self.standing:
            yield from self._pair(spot, other, (self._being_there(other.part),))
        for link in self._tied():
            ends = {e.component for e in link.ends}
            others = [e for e in ends if e != part and self.movable(e)]
            spots = {**self.before, part: spot}
            run = self._run_then(link)
            if self._stands_in(link, run, spot) or (not others and self.link_fate(link, spots) == "remake"):
                yield frozenset({("link", (link.id,))})

    def _own(self, part: str, spot: Spot, body: list[Block]) -> Iterator[Violation]:
        for relation in self.vehicle.relations.values():
            mine = relation.keeps is Keeps.OFF_GROUND and self.heirs.get(relation.part, relation.part) == part
            if mine and min(b[0][2] for b in body) - self.vehicle.ground_z_mm < relation.by_mm - TOUCH:
                yield frozenset({("relation", (relation.id,))})
        for cut in self.cuts:
            if cut.host == spot.host and part not in self.new and gap_between([self._hole(cut)], body) < TOUCH:
                yield frozenset({("asked for", (cut.id,))})

    def _hole(self, cut: Cut) -> Block:
        return minus(cut.hole.pose.at_mm, half(cut.hole)), plus(cut.hole.pose.at_mm, half(cut.hole))

    def _tied(self) -> list[Link]:
        """Links that may not be made anew and go with no part."""
        found = []
        for link in self.vehicle.links.values():
            ends = [self.heirs.get(e.component, e.component) for e in link.ends]
            kept = link.id not in self.links_gone and all(e in self.parts for e in ends)
            if kept and link.freedom not in FREE and not any(self.parts[e].freedom is Freedom.MAY_GO for e in ends):
                found.append(link)
        return found

    def _run_then(self, link: Link) -> list[tuple[float, float, float]]:
        return [port(self.vehicle.components[e.component], e.port, None) for e in link.ends]

    def _links_of_both(self, a: Spot, b: Spot) -> Iterator[Violation]:
        for link in self._tied():
            if {e.component for e in link.ends} == {a.part, b.part}:
                spots = {a.part: a, b.part: b}
                swung = {s.part: s for s in self.standing}
                if self.link_fate(link, {**swung, **spots}) == "remake" and not any(
                    self._stands_in(link, self._run_then(link), s) for s in self.standing
                ):
                    yield frozenset({("link", (link.id,))})

    def _being_there(self, part: str) -> Demand:
        return ("asked for" if part in self.fixed else "stays", (part,))

    def _pair(self, a: Spot, b: Spot, being_there: tuple[Demand, ...]) -> Iterator[Violation]:
        """What two parts break, by the same arithmetic as :meth:`Brute.pair_ok`."""
        if all(s.part not in self.fixed and s.pose == self.before[s.part].pose for s in (a, b)):
            return
        pa, pb = self.parts[a.part], self.parts[b.part]
        one, two = self.body(a.part, a.pose), self.body(b.part, b.pose)
        for r in self.vehicle.relations.values():
            part, of = self.heirs.get(r.part, r.part), self.heirs.get(r.of or "", r.of)
            if {part, of} == {a.part, b.part}:
                mine, theirs = (one, two) if part == a.part else (two, one)
                if missed(r.keeps, r.by_mm, mine, theirs) > TOUCH:
                    yield frozenset({*being_there, ("relation", (r.id,))})
        found = gap_between(one, two)
        if a.host == b.part or b.host == a.part or a.part in pb.touches or b.part in pa.touches:
            if not {a.part, b.part} & self.new and self._closer(a.part, one, b.part, two, -SEAT):
                yield frozenset(being_there)
        elif self._closer(a.part, one, b.part, two, max(pa.keep_clear_mm, pb.keep_clear_mm) - TOUCH):
            first, second = sorted((a.part, b.part))
            keep: tuple[Demand, ...] = () if found < -TOUCH else (("keep-clear", (first, second)),)
            yield frozenset({*being_there, *keep})
        for owner, where, other, others in ((pa, a.pose, b.part, two), (pb, b.pose, a.part, one)):
            for room in owner.rooms:
                if room.needed is RoomNeed.ALWAYS and gap_between([slab(owner, where, room)], others) < -TOUCH:
                    yield frozenset({*being_there, ("working room", (owner.id, other))})

    def _of_the_job(self) -> Iterator[Violation]:
        for a, b in combinations(self.standing, 2):
            if {a.part, b.part} & self.fixed:
                yield from self._pair(a, b, (self._being_there(a.part), self._being_there(b.part)))
        for spot in self.standing:
            for violation in self._own(spot.part, spot, self.body(spot.part, spot.pose)):
                yield violation | {self._being_there(spot.part)}
