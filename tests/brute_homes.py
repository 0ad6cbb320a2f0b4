"""Every combination of homes, tried one after the other, by plain arithmetic on boxes.

Nothing of knockon/ or space/ is used. It knows only vehicles of blocks that are unturned or turned by quarters about z,
sound at the start, whose links run straight. Costs are whole thousandths of a hand-minute.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from brute_boxes import (
    FREE,
    SEAT,
    STILL,
    TOUCH,
    Block,
    alike,
    blocks,
    bounds,
    carried_pose,
    gap_between,
    grid,
    half,
    minus,
    missed,
    plus,
    port,
    segment_gap,
    slab,
)

from planner.model.catalog import Catalog, When
from planner.model.job import Add, Cut, Grow, Job, Move, Remove, Replace
from planner.model.shapes import Box, Pose, Vec
from planner.model.vehicle import Component, Freedom, Keeps, Link, RoomNeed, Vehicle


@dataclass(frozen=True, eq=False)
class Spot:
    """A part somewhere: what it is mounted on matters for what it may touch. Each place is one object, to be quick."""

    part: str
    pose: Pose
    host: str | None


@dataclass(frozen=True)
class Choice:
    """What becomes of a part: "keep" (stay, or follow its host), "home" or "go"."""

    sort: str
    spot: Spot | None = None
    """Where, for a home."""
    cost: int = 0
    space: str = ""


@dataclass
class Best:
    cost: int
    spots: dict[str, Spot]


@dataclass
class Brute:
    vehicle: Vehicle
    job: Job
    catalog: Catalog
    best: Best | None = None
    tried: int = 0
    strict: bool = False
    """Let nothing pass for having been so at the start."""
    wanted: dict[str, Spot] | None = None
    contact: bool = False
    """Offer homes level with where a part stands or in contact with what stands there, as well as those on the grid."""
    _fits: dict[tuple[Spot, Spot], bool] = field(default_factory=dict)
    _hits: dict[tuple[str, Spot], bool] = field(default_factory=dict)
    _follows: dict[tuple[str, Spot], Spot] = field(default_factory=dict)
    _blocks: dict[tuple[str, Pose], list[Block]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.parts: dict[str, Component] = dict(self.vehicle.components)
        self.fixed: set[str] = set()
        self.new: set[str] = set()
        self.cuts = [c for c in self.job.changes if isinstance(c, Cut)]
        self.heirs: dict[str, str] = {}
        self.links_gone: set[str] = set()
        moved: set[str] = set()
        for change in self.job.changes:
            match change:
                case Add(component=c):
                    self.parts[c.id] = c
                    self.new.add(c.id)
                case Replace(part=old, component=c):
                    del self.parts[old]
                    self.parts[c.id] = c
                    self.new.add(c.id)
                    self.heirs[old] = c.id
                case Remove(part=old):
                    if old in self.parts:
                        del self.parts[old]
                    else:
                        self.links_gone.add(old)
                case Move(part=p, to=pose):
                    self.parts[p] = replace(self.parts[p], pose=pose)
                    moved.add(p)
                case Grow(part=p, by_mm=by):
                    self.parts[p] = replace(self.parts[p], solids=tuple(larger(s, by) for s in self.parts[p].solids))
                    self.fixed.add(p)
                case _:
                    pass
        for i, c in self.parts.items():
            self.parts[i] = replace(c, mounted_on=self.heirs.get(c.mounted_on or "", c.mounted_on))
        self.moved = moved
        self.carried = self._carry(moved)
        self.fixed |= self.new | moved | self.carried
        self.homeless = {
            i for i, c in self.parts.items() if c.mounted_on is not None and c.mounted_on not in self.parts
        }
        self.order = sorted(self.parts, key=lambda i: (len(self.hosts(i)), i))
        self.before = {i: Spot(i, c.pose, c.mounted_on) for i, c in self.parts.items()}
        self.standing = [s for i, s in self.before.items() if self._keeps_still(i)]

    def _carry(self, moved: set[str]) -> set[str]:
        carried = set()
        for i in self.parts:
            if i in moved or i not in self.vehicle.components:
                continue
            mover = next((h for h in self.hosts(i) if h in moved), None)
            if mover is not None:
                was = self.vehicle.components[mover].pose
                pose = carried_pose(self.parts[i].pose, was, self.parts[mover].pose)
                self.parts[i] = replace(self.parts[i], pose=pose)
                carried.add(i)
        return carried

    def hosts(self, part: str) -> list[str]:
        """What a part stands on, nearest first."""
        found, at = [], self.parts[part].mounted_on
        while at is not None and at in self.parts:
            found.append(at)
            at = self.parts[at].mounted_on
        return found

    # -- choices

    def choices(self, part: str) -> list[Choice]:
        c = self.parts[part]
        found = [] if part in self.homeless else [Choice("keep")]
        if part in self.fixed or c.freedom not in FREE:
            return found
        if c.freedom is Freedom.MAY_GO and not any(part in self.hosts(i) for i in self.parts):
            found.append(Choice("go", cost=1000 * c.off_min * c.hands))
        if c.freedom is Freedom.MOVES:
            homes = [h for h in self._homes(c) if h.spot is not None and self._may_stand(h.spot)]
            found.extend(sorted(homes, key=lambda h: h.cost))
        return found

    def _may_stand(self, spot: Spot) -> bool:
        """Whether nothing that never gives way is against it."""
        return self.alone_ok(spot) and all(self.fits(spot, s) for s in self.standing)

    def contacts(self, part: Component) -> Callable[[Pose], list[set[float]]]:
        """For a part in some turn at the origin: where its origin is level with the present place or in contact."""

        def stops(turned: Pose) -> list[set[float]]:
            found = [{v} for v in part.pose.at_mm]
            own = bounds(self.body(part.id, turned))
            own_rooms = [slab(part, turned, r) for r in part.rooms if r.needed is RoomNeed.ALWAYS]
            for other in self.parts.values():
                if other.id == part.id or part.id in self.hosts(other.id):
                    continue
                touch = part.mounted_on == other.id or part.id in other.touches or other.id in part.touches
                keep = 0.0 if touch else max(part.keep_clear_mm, other.keep_clear_mm)
                its = bounds(self.body(other.id, other.pose))
                rooms = [slab(other, other.pose, r) for r in other.rooms if r.needed is RoomNeed.ALWAYS]
                pairs = [(own, its, keep), *((own, r, 0.0) for r in rooms), *((r, its, 0.0) for r in own_rooms)]
                for mine, theirs, gap in pairs:
                    for i in range(3):
                        found[i] |= {theirs[1][i] + gap - mine[0][i], theirs[0][i] - gap - mine[1][i]}
            return found

        return stops

    def _homes(self, part: Component) -> Iterator[Choice]:
        steps = moved_steps_min(self.catalog, part)
        for space in self.vehicle.spaces.values():
            on = self.heirs.get(space.on, space.on)
            if on not in self.parts or on == part.id or on in self.moved | self.carried:
                continue
            if space.takes and part.id not in space.takes and part.kind not in space.takes:
                continue
            stops = self.contacts(part) if self.contact else None
            for pose in grid(part, space, stops):
                far = math.dist(pose.at_mm, part.pose.at_mm)
                if far < 1e-6 and pose.turn_deg == part.pose.turn_deg:
                    continue
                cost = 1000 * steps + handling(part) + round(far)
                yield Choice("home", Spot(part.id, pose, on), cost, space.id)

    # -- search

    def run(self) -> Best | None:
        self.best = None
        self.menu = {i: self.choices(i) for i in self.order}
        self._go(0, {}, 0)
        return self.best

    def _go(self, n: int, spots: dict[str, Spot | None], cost: int) -> None:
        if self.best is not None and cost >= self.best.cost:
            return
        if n == len(self.order):
            self.tried += 1
            there = {i: s for i, s in spots.items() if s is not None}
            links = self.links_cost(there)
            if links is not None and (self.best is None or cost + links < self.best.cost):
                self.best = Best(cost + links, there)
            return
        part = self.order[n]
        for choice in self.menu[part]:
            spot, price = self._spot(part, choice, spots)
            if (spot is None and choice.sort != "go") or not self._is_wanted(part, spot):
                continue
            if spot is None or self._stands(spot, spots):
                spots[part] = spot
                self._go(n + 1, spots, cost + price)
                del spots[part]

    def _is_wanted(self, part: str, spot: Spot | None) -> bool:
        if self.wanted is None:
            return True
        there = self.wanted.get(part)
        if spot is None or there is None:
            return spot is there
        return alike(spot.pose, there.pose) and spot.host == there.host

    def _spot(self, part: str, choice: Choice, spots: dict[str, Spot | None]) -> tuple[Spot | None, int]:
        if choice.sort == "go":
            return None, choice.cost
        if choice.sort == "home":
            return choice.spot, choice.cost
        start = self.before[part]
        host = None if part in self.fixed else start.host
        if host is None or host not in self.parts:
            return start, 0
        under = spots[host]
        if under is None:
            return None, 0
        if under.pose == self.before[host].pose:
            return start, 0
        if (part, under) not in self._follows:
            pose = carried_pose(start.pose, self.before[host].pose, under.pose)
            self._follows[part, under] = Spot(part, pose, host)
        return self._follows[part, under], handling(self.parts[part])

    def _stands(self, spot: Spot, spots: dict[str, Spot | None]) -> bool:
        if not self.alone_ok(spot):
            return False
        for other in spots.values():
            if other is not None and not self.fits(spot, other):
                return False
        return all(self._rests(s, {**spots, spot.part: spot}) for s in (spot, *spots.values()) if self._is_rehoused(s))

    def _is_rehoused(self, spot: Spot | None) -> bool:
        return spot is not None and spot.host != self.before[spot.part].host

    def _rests(self, spot: Spot | None, known: dict[str, Spot | None]) -> bool:
        """A home on a part that may itself move only counts while that part stays."""
        assert spot is not None
        if spot.host not in known:
            return True
        under = known[spot.host]
        return under is not None and under.pose == self.before[under.part].pose

    # -- rules

    def body(self, part: str, pose: Pose) -> list[Block]:
        key = (part, pose)
        if key not in self._blocks:
            self._blocks[key] = blocks(self.parts[part], pose)
        return self._blocks[key]

    def alone_ok(self, spot: Spot) -> bool:
        body = self.body(spot.part, spot.pose)
        for relation in self.vehicle.relations.values():
            if relation.keeps is Keeps.OFF_GROUND and self.heirs.get(relation.part, relation.part) == spot.part:
                low = min(b[0][2] for b in body)
                if low - self.vehicle.ground_z_mm < relation.by_mm - TOUCH:
                    return False
        if spot.part in self.new:
            return True
        for cut in self.cuts:
            if cut.host == spot.host:
                hole = [(minus(cut.hole.pose.at_mm, half(cut.hole)), plus(cut.hole.pose.at_mm, half(cut.hole)))]
                if gap_between(hole, body) < TOUCH:
                    return False
        return True

    def fits(self, a: Spot, b: Spot) -> bool:
        if (a, b) not in self._fits:
            moved = any(s.part in self.fixed or s.pose != self.before[s.part].pose for s in (a, b))
            self._fits[a, b] = not moved or self.pair_ok(a, b)
        return self._fits[a, b]

    def pair_ok(self, a: Spot, b: Spot) -> bool:
        one, two = self.body(a.part, a.pose), self.body(b.part, b.pose)
        if not self._relations_hold(a.part, one, b.part, two):
            return False
        pa, pb = self.parts[a.part], self.parts[b.part]
        if a.host == b.part or b.host == a.part or a.part in pb.touches or b.part in pa.touches:
            brought = a.part in self.new or b.part in self.new
            if not brought and self._closer(a.part, one, b.part, two, -SEAT):
                return False
        elif self._closer(a.part, one, b.part, two, max(pa.keep_clear_mm, pb.keep_clear_mm) - TOUCH):
            return False
        for owner, where, other in ((pa, a.pose, two), (pb, b.pose, one)):
            for room in owner.rooms:
                if room.needed is RoomNeed.ALWAYS and gap_between([slab(owner, where, room)], other) < -TOUCH:
                    return False
        return True

    def _closer(self, a: str, one: list[Block], b: str, two: list[Block], needed: float) -> bool:
        """Whether two parts are closer than needed, and closer than they were."""
        found = gap_between(one, two)
        if found >= needed:
            return False
        then = self._gap_then(a, b)
        return then is None or then >= needed or found < then - 2 * TOUCH

    def _gap_then(self, a: str, b: str) -> float | None:
        """Gap of a pair at the start: a part that was bolted flush to the wall may still stand flush to it."""
        there = self.vehicle.components
        if self.strict or a not in there or b not in there:
            return None
        return gap_between(blocks(there[a], there[a].pose), blocks(there[b], there[b].pose))

    def _relations_hold(self, a: str, one: list[Block], b: str, two: list[Block]) -> bool:
        for r in self.vehicle.relations.values():
            part, of = self.heirs.get(r.part, r.part), self.heirs.get(r.of or "", r.of)
            if {part, of} != {a, b}:
                continue
            mine, theirs = (one, two) if part == a else (two, one)
            if missed(r.keeps, r.by_mm, mine, theirs) > TOUCH:
                return False
        return True

    def links_cost(self, spots: dict[str, Spot]) -> int | None:
        total = 0
        for link in self.vehicle.links.values():
            fate = self.link_fate(link, spots)
            if fate == "remake" and link.freedom not in FREE:
                return None
            if fate == "adjust":
                total += 1000 * link.adjust_min * link.hands
            elif fate == "remake":
                total += 1000 * (link.off_min + link.remake_min + link.on_min) * link.hands
                total += math.ceil(1000 * 60 * link.price / self.job.hour_worth)
        return total

    def link_fate(self, link: Link, spots: dict[str, Spot]) -> str:
        ends = [self.heirs.get(e.component, e.component) for e in link.ends]
        if link.id in self.links_gone or any(e not in spots for e in ends):
            return "nothing"
        if any(e.port and e.port not in self.parts[p].ports_mm for e, p in zip(link.ends, ends, strict=True)):
            return "nothing"
        old = [port(self.vehicle.components[e.component], e.port, None) for e in link.ends]
        now = [port(self.parts[p], e.port, spots[p].pose) for e, p in zip(link.ends, ends, strict=True)]
        if self._run_hit(link, old, spots):
            return "remake"
        fate = stretched(link, old, now)
        swung = fate == "adjust" and link.rigid and any(self._met(link, now, s) for s in self.standing)
        return "remake" if swung else fate

    def _run_hit(self, link: Link, run: list[Vec], spots: dict[str, Spot]) -> bool:
        return any(self._hit(link, run, spot) for spot in spots.values())

    def _hit(self, link: Link, run: list[Vec], spot: Spot) -> bool:
        if (link.id, spot) not in self._hits:
            self._hits[link.id, spot] = self._stands_in(link, run, spot)
        return self._hits[link.id, spot]

    def _stands_in(self, link: Link, run: list[Vec], spot: Spot) -> bool:
        changed = spot.part in self.fixed or spot.pose != self.before[spot.part].pose
        return changed and self._met(link, run, spot)

    def _met(self, link: Link, run: list[Vec], spot: Spot) -> bool:
        """Whether a straight run comes too close to a part that it has no business with."""
        assert not link.via_mm
        leave = {e.component for e in link.ends} | set(link.passes)
        leave |= {self.heirs.get(i, i) for i in leave}
        if spot.part in leave or link.id in self.parts[spot.part].touches:
            return False
        free = min(segment_gap(run[0], run[1], b) for b in self.body(spot.part, spot.pose)) - link.across_mm / 2
        return free < self.parts[spot.part].keep_clear_mm - TOUCH

    def _keeps_still(self, part: str) -> bool:
        """Whether nothing but the job itself could move a part."""
        for at in (part, *self.hosts(part)):
            if at in self.fixed:
                return True
            if self.parts[at].freedom in FREE:
                return False
        return True

    # -- questions about an answer

    def judged(self, spots: dict[str, Spot]) -> int | None:
        """Least cost at which these places come about, None when they break a rule or are no combination at all."""
        if spots.keys() - set(self.order):
            return None
        self.menu = {i: self.choices(i) for i in self.order}
        self.best, self.wanted = None, spots
        self._go(0, {}, 0)
        best, self.best, self.wanted = self.best, None, None
        return None if best is None else best.cost

    def pushed_by_movers_only(self, best: Best) -> list[str]:
        """Parts that moved though nothing the job itself did stood against their old place."""
        found = []
        for i, spot in best.spots.items():
            start = self.before[i]
            if i in self.fixed or spot.pose == start.pose or i in self.homeless or not self.alone_ok(start):
                continue
            host = start.host
            follows = host in best.spots and best.spots[host].pose != self.before[host].pose and spot.host == host
            if follows or any(not self.fits(start, self.before[f]) for f in self.fixed):
                continue
            movers = [s for j, s in best.spots.items() if j not in self.fixed and s.pose != self.before[j].pose]
            if any(not self.pair_ok(start, s) for s in movers if s.part != i):
                found.append(i)
        return found

    def depth(self, best: Best) -> int:
        """How many pushes, one upon the other, lead to the part furthest from what the job itself did."""
        moved = {i: s for i, s in best.spots.items() if i not in self.fixed and s.pose != self.before[i].pose}
        reached = {f: self.before[f] for f in self.fixed}
        levels = 0
        while True:
            pushed = {
                i: s
                for i, s in moved.items()
                if i not in reached
                and any(not self.pair_ok(self.before[i], r) for r in reached.values() if r.part != i)
            }
            if not pushed:
                return levels
            levels += 1
            reached |= pushed


def larger(solid: object, by: Vec) -> Box:
    assert isinstance(solid, Box)
    return replace(solid, size_mm=plus(solid.size_mm, by))


def handling(part: Component) -> int:
    return 0 if part.rides else 1000 * (part.off_min + part.on_min) * part.hands


def moved_steps_min(catalog: Catalog, part: Component) -> int:
    """Hand-minutes of the "moved" template: named by kind, else by group, else for any."""
    for wanted in (part.kind, part.group, None):
        for _, template in sorted(catalog.templates.items()):
            of = template.trigger.of
            if template.trigger.when is When.MOVED and ((wanted in of) if wanted is not None else not of):
                return sum(s.minutes * s.hands for s in template.steps)
    return 0


def stretched(link: Link, old: list[Vec], now: list[Vec]) -> str:
    if max(math.dist(a, b) for a, b in zip(old, now, strict=True)) <= STILL:
        return "nothing"
    longer = math.dist(*now) - math.dist(*old)
    if link.rigid:
        return "remake" if abs(longer) > link.adjust_mm else "adjust"
    return "remake" if longer > link.slack_mm + link.adjust_mm else "adjust"
