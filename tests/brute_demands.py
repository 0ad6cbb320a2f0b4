"""Which sets of demands can hold together: every combination of homes tried, by plain arithmetic on boxes.

Nothing of knockon/ is used. A demand is (sort, ids), as the answer names it. A stuck part takes along what it carries;
a stuck part on a stuck one follows it, goes to a home of its own or is left out. Other parts that could be moved are
not there.
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
    alike,
    bounds,
    carried_pose,
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
from brute_homes import Brute, Spot, stretched

from planner.model.job import Cut
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Keeps, Link, RoomNeed, Space

Demand = tuple[str, tuple[str, ...]]
Violation = frozenset[Demand]
"""One of these would have to give."""
BEYOND = 100.0


@dataclass(frozen=True, eq=False)
class Fate:
    """What may become of a stuck part: where it and what it carries are (nowhere: left out), and what that breaks.

    ``follows`` is the fate of its host that it comes with; ``ground`` a stuck part that has to stay for it.
    """

    spots: tuple[Spot, ...]
    violations: frozenset[Violation]
    follows: Fate | None = None
    ground: str | None = None


@dataclass
class DemandBrute(Brute):
    """The stuck parts against everything they are held to."""

    stuck: tuple[str, ...] = ()
    on_grid_alone: Collection[tuple[str, str, tuple[float, float, float]]] = ()
    """Parts, spaces and turns [deg] of which only homes on the grid count."""
    _lists: dict[str, list[Fate]] = field(default_factory=dict)
    _pairs: dict[tuple[Fate, Fate], frozenset[Violation]] = field(default_factory=dict)

    def movable(self, part: str) -> bool:
        return part not in self.fixed and self.parts[part].freedom in FREE

    def mover_of(self, part: str) -> str | None:
        """The part that takes this one along: itself or the nearest below it that may be moved."""
        for at in (part, *self.hosts(part)):
            if at in self.fixed:
                return None
            if self.movable(at):
                return at
        return None

    def can_hold(self, demands: Collection[Demand]) -> bool:
        """Whether some combination breaks nothing but what gives."""
        held = frozenset(demands)
        movers = [p for p in self.order if p in self.stuck and self.movable(p)]
        if not movers:
            return all(v - held for v in self._of_the_job())
        for part in movers:
            if part not in self._lists:
                self._lists[part] = list(self._fates(part))
        return self._holds(movers, {}, held)

    def _holds(self, movers: list[str], chosen: dict[str, Fate], held: frozenset[Demand]) -> bool:
        if len(chosen) == len(movers):
            return all(self._stays(f.ground, chosen) for f in chosen.values() if f.ground is not None)
        part = movers[len(chosen)]
        for fate in self._lists[part]:
            if fate.follows is not None and fate.follows not in chosen.values():
                continue
            alone = all(v - held for v in fate.violations)
            fits = alone and all(v - held for other in chosen.values() for v in self._both(other, fate))
            if fits and self._holds(movers, {**chosen, part: fate}, held):
                return True
        return False

    def _stays(self, part: str, chosen: dict[str, Fate]) -> bool:
        if part not in chosen:
            return True
        there = next((s for s in chosen[part].spots if s.part == part), None)
        return there is not None and alike(there.pose, self.before[part].pose) and there.host == self.before[part].host

    def _both(self, one: Fate, other: Fate) -> frozenset[Violation]:
        if (one, other) not in self._pairs:
            found = {v for a in one.spots for b in other.spots for v in self._pair(a, b, ())}
            self._pairs[one, other] = frozenset(found) | frozenset(self._links_of_both(one.spots, other.spots))
        return self._pairs[one, other]

    def _fates(self, part: str) -> Iterator[Fate]:
        """Left out, staying or following, and every home on the grid, in contact or beyond."""
        yield Fate((), frozenset({frozenset({("kept", (part,))})}))
        here = self.before[part]
        below = next((m for h in self.hosts(part) if (m := self.mover_of(h)) is not None), None)
        if below in self._lists:
            for under in self._lists[below]:
                host = next((s for s in under.spots if s.part == below), None)
                if host is not None:
                    pose = carried_pose(here.pose, self.before[below].pose, host.pose)
                    yield self._fate(part, Spot(part, pose, here.host), frozenset(), follows=under)
        else:
            gone = {("asked for", (here.host or "",))} if part in self.homeless else set()
            yield self._fate(part, here, frozenset(gone))
        for spot, limits in self._homes_and_beyond(part):
            ground = self.mover_of(spot.host or "")
            if ground != part:
                yield self._fate(part, spot, limits, ground=ground)

    def _fate(self, part: str, spot: Spot, limits: frozenset[Demand], **more: object) -> Fate:
        riders = [r for r in self.parts if r != part and self.mover_of(r) == part]
        start = self.before[part].pose
        carried = [Spot(r, carried_pose(self.before[r].pose, start, spot.pose), self.before[r].host) for r in riders]
        spots = (spot, *(s if s.pose != self.before[s.part].pose else self.before[s.part] for s in carried))
        found = {v for s in spots for v in self._alone(s)} | set(self._links_of(part, spots))
        return Fate(spots, frozenset(found | ({limits} if limits else set())), **more)  # type: ignore[arg-type]

    def _homes_and_beyond(self, part: str) -> Iterator[tuple[Spot, frozenset[Demand]]]:
        """Homes with the space they stick out of."""
        c = self.parts[part]
        if c.freedom is not Freedom.MOVES:
            return
        for space in self.vehicle.spaces.values():
            on = self.heirs.get(space.on, space.on)
            if (
                on in self.parts
                and on not in self.moved | self.carried
                and on != part
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
            if (c.id, space.id, turned.turn_deg) in self.on_grid_alone:
                places = set(product(*inside)) if all(last >= first for first, last in ends) else set()
            for at in sorted(places):
                over = [max(0.0, f - v) + max(0.0, v - t) for v, (f, t) in zip(at, ends, strict=True)]
                if max(over) <= BEYOND:
                    yield Pose(at_mm=at, turn_deg=turned.turn_deg), max(over) > 1e-6

    def _alone(self, spot: Spot) -> Iterator[Violation]:
        yield from self._own(spot.part, spot, self.body(spot.part, spot.pose))
        for other in self.standing:
            yield from self._pair(spot, other, (self._being_there(other.part),))

    def _links_of(self, part: str, spots: tuple[Spot, ...]) -> Iterator[Violation]:
        """Links that would have to be made anew with a part, and what it carries, there."""
        now = {**self.before, **{s.part: s for s in spots}}
        for link in self._tied():
            ends = [self.heirs.get(e.component, e.component) for e in link.ends]
            alone = all(self.mover_of(e) in {part, None} for e in ends)
            run = self._run_then(link)
            if any(self._stands_in(link, run, s) for s in spots) or (alone and self.link_fate(link, now) == "remake"):
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

    def _links_of_both(self, one: tuple[Spot, ...], other: tuple[Spot, ...]) -> Iterator[Violation]:
        spots = {s.part: s for s in (*one, *other)}
        for link in self._tied():
            ends = [self.heirs.get(e.component, e.component) for e in link.ends]
            if not all(e in spots for e in ends) or len({e in {s.part for s in one} for e in ends}) < 2:
                continue
            old, now = (
                self._run_then(link),
                [port(self.parts[e], x.port, spots[e].pose) for e, x in zip(ends, link.ends, strict=True)],
            )
            fate = stretched(link, old, now)
            swung = fate == "adjust" and link.rigid and any(self._met(link, now, s) for s in self.standing)
            if fate == "remake" or swung:
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
        for stuck in self.stuck:
            if stuck in self.vehicle.links:
                yield self._spoilt(self.vehicle.links[stuck])
            elif stuck in self.homeless:
                yield frozenset({("asked for", (self.before[stuck].host or "",)), ("kept", (stuck,))})
        for a, b in combinations(self.standing, 2):
            if {a.part, b.part} & self.fixed:
                yield from self._pair(a, b, (self._being_there(a.part), self._being_there(b.part)))
        for spot in self.standing:
            for violation in self._own(spot.part, spot, self.body(spot.part, spot.pose)):
                yield violation | {self._being_there(spot.part)}

    def _spoilt(self, link: Link) -> Violation:
        """A link that the job's own placings stretch, or stand in the run of."""
        ends = [self.heirs.get(e.component, e.component) for e in link.ends]
        placings = [e for e in ends if e in self.fixed]
        run = self._run_then(link)
        placings = placings or [i for i in sorted(self.fixed) if self._met(link, run, self.before[i])]
        return frozenset({("link", (link.id,)), *(("asked for", (i,)) for i in placings)})
