"""When there is no answer: everything that the stuck parts are held to, and which homes break what.

A demand is something that could be otherwise: what the job asks, a part that stays, a gap to be kept, a working room, a
relation, the limits of a mounting space, a link that may not be made anew, a rod that may not leave its line, a part
that has to be in the car at all. A home breaks some of them; where two things overlap outright only their being there
can give way.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from planner.knockon.home_list import Box, places, product, space_box, spaces_for, stops
from planner.knockon.homes import HomeSearch
from planner.knockon.link_change import Fate, swing_between
from planner.knockon.options import Candidate, Option, Sort, follow_option, home_option, pinned, stay_option
from planner.knockon.placed import Placed, place
from planner.knockon.rigid import added
from planner.model.effects import CauseKind
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Freedom, Link, Space
from planner.space import extent_mm

BEYOND_MM = 100.0
"""How far homes beyond the limits of a space are looked at."""
MOST_HOMES = 60
"""In each space, of each of several stuck parts, so many homes are looked at with those in contact and beyond; above,
those on the grid alone."""
MOST_PAIRS = 150_000
"""With more pairs of homes of two stuck parts than this, the demands are not looked into."""


class DemandSort(StrEnum):
    """What could be otherwise."""

    ASKED = "asked for"
    STAYS = "stays"
    KEEP_CLEAR = "keep-clear"
    ROOM = "working room"
    RELATION = "relation"
    LIMITS = "space"
    LINK = "link"
    LINE = "line"
    KEPT = "kept"


@dataclass(frozen=True, slots=True, order=True)
class Demand:
    """One demand: of what sort, about which parts, links, spaces or relations."""

    sort: DemandSort
    subjects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Breach:
    """Demands of which one would have to give for a home (or two homes together) to be allowed.

    ``mm`` is by how much the last of them is broken, where that can be measured.
    """

    demands: tuple[Demand, ...]
    mm: float | None = None


@dataclass(frozen=True, slots=True)
class Chance:
    """What could become of a stuck part if some demands gave: an option, None when it is left out."""

    option: Option | None
    breaches: tuple[Breach, ...]
    overhang: tuple[Vec, Vec] = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    """How far it sticks out of its space at the low and at the high faces [mm]."""
    needs: tuple[str, int] | None = None
    """Another stuck part, and which of its chances this one rests on."""


@dataclass(slots=True)
class Chances:
    """Everything that could become of the stuck parts."""

    search: HomeSearch
    parts: tuple[str, ...]
    of_part: dict[str, list[Chance]] = field(default_factory=dict)
    pairs: list[tuple[tuple[str, int], tuple[str, int], Breach]] = field(default_factory=list)
    always: list[Breach] = field(default_factory=list)
    """What is broken whatever becomes of the parts."""
    on_grid_alone: set[tuple[str, str, Vec]] = field(default_factory=set)
    """Parts, spaces and turns [deg] of which only the homes on the grid were looked at."""
    too_many: bool = False
    """There were more pairs than are looked into: nothing is known."""

    def __post_init__(self) -> None:
        """Look at every option of every part, and at every two of different parts."""
        movers = [p for p in self.search.movers.hosts_first() if p in self.parts]
        for part in movers:
            self.of_part[part] = _thinned(list(self._of(part)), alone=len(movers) == 1)
        counts = [len(c) for c in self.of_part.values()]
        self.too_many = sum(a * b for n, a in enumerate(counts) for b in counts[n + 1 :]) > MOST_PAIRS
        for n, p in enumerate(movers if not self.too_many else ()):
            for q in movers[n + 1 :]:
                self.pairs.extend(self._between(p, q))
        if not movers:
            self.always = list(self._of_the_job())

    def demands(self) -> list[Demand]:
        """Every demand that is broken by anything."""
        breaches = [b for chances in self.of_part.values() for c in chances for b in c.breaches]
        breaches += [b for _, _, b in self.pairs] + self.always
        return sorted({d for b in breaches for d in b.demands})

    def rests(self) -> Iterator[tuple[tuple[str, int], tuple[str, int]]]:
        """Which chance rests on which other one: a follower on its host's, a home on a stuck part on its staying."""
        for part, chances in self.of_part.items():
            for i, chance in enumerate(chances):
                needs = chance.needs or self._ground(chance)
                if needs is not None:
                    yield (part, i), needs

    def _ground(self, chance: Chance) -> tuple[str, int] | None:
        if chance.option is None or chance.option.sort not in {Sort.HOME, Sort.REMADE}:
            return None
        controller = self.search.movers.controller(self.search.asked.spaces[chance.option.space].on)
        if controller is None or controller not in self.of_part:
            return None
        base = self.search.base[controller].part.pose
        of_host = enumerate(self.of_part[controller])
        return next((controller, i) for i, c in of_host if c.option is not None and c.option.pose == base)

    def _of(self, part: str) -> Iterator[Chance]:
        yield Chance(None, (Breach((Demand(DemandSort.KEPT, (part,)),)),))
        search = self.search
        placed = search.base[part]
        carried = tuple(search.base[i] for i in search.movers.carried_by(part))
        host = search.movers.host_controller(part)
        if host is None or host not in self.of_part:
            option = stay_option(placed, carried)
            gone = [Breach((Demand(DemandSort.ASKED, (placed.part.mounted_on or "",)),))]
            yield Chance(option, (*(gone if part in search.asked.homeless else ()), *self._breaches(option)))
        else:
            yield from self._following(placed, carried, host)
        for option in () if carried else search.offers.remaking.options(placed):
            yield Chance(option, tuple(self._breaches(option)))
        for candidate, overhang in self._homes(placed, carried):
            on = search.asked.spaces[candidate.space].on
            if search.movers.controller(on) == part:
                continue
            option = home_option(candidate, placed, carried, on)
            beyond = max(a + b for a, b in zip(*overhang, strict=True))
            limits = [Breach((Demand(DemandSort.LIMITS, (candidate.space,)),), beyond)] if beyond > 0.0 else []
            yield Chance(option, (*limits, *self._breaches(option)), overhang)

    def _following(self, placed: Placed, carried: tuple[Placed, ...], host: str) -> Iterator[Chance]:
        under = self.search.asked.base[host]
        for index, chance in enumerate(self.of_part[host]):
            if chance.option is not None and chance.option.pose is not None:
                option = follow_option(placed, carried, under, chance.option.pose)
                yield Chance(option, tuple(self._breaches(option)), needs=(host, index))

    def _homes(self, placed: Placed, carried: tuple[Placed, ...]) -> Iterator[tuple[Candidate, tuple[Vec, Vec]]]:
        part, asked = placed.part, self.search.asked
        if part.freedom is not Freedom.MOVES:
            return
        leave = frozenset(c.part.id for c in carried)
        for space in sorted(spaces_for(part, asked), key=lambda s: s.id):
            for turn in sorted({added(part.pose.turn_deg, t) for t in ((0.0, 0.0, 0.0), *part.turns_deg)}):
                turned = replace(part, pose=Pose(turn_deg=turn))
                found = self._in(space, turned, leave)
                yield from (
                    (Candidate(cost=0, pose=Pose(at_mm=at, turn_deg=turn), space=space.id), o) for at, o in found
                )

    def _in(self, space: Space, turned: Component, leave: frozenset[str]) -> Iterator[tuple[Vec, tuple[Vec, Vec]]]:
        extent = extent_mm(turned.solids, turned.pose)
        contact = self.search.offers.standing.stops(place(turned), space, leave, beyond_mm=BEYOND_MM)
        at = np.concatenate(
            [places(space, extent, None), places(space, extent, contact), beyond(space, extent, contact)]
        )
        if len(at) > MOST_HOMES and len(self.parts) > 1:
            self.on_grid_alone.add((turned.id, space.id, turned.pose.turn_deg))
            at = places(space, extent, None)
        for row in np.unique(at, axis=0):
            x, y, z = (float(v) for v in row)
            yield (x, y, z), overhang_mm(space, extent, (x, y, z))

    def _breaches(self, option: Option) -> Iterator[Breach]:
        """What an option breaks beside everything that never gives way."""
        search = self.search
        for placed in option.bundle:
            for conflict in search.rules.cut_away(placed):
                yield Breach((Demand(DemandSort.ASKED, (conflict.other,)),))
            for miss in search.rules.kept.alone(placed):
                yield Breach((Demand(DemandSort.RELATION, (miss.relation.id,)),), miss.mm)
            for other in search.world.broken(placed):
                yield from self._against(placed, other)
        yield from self._links(option)
        yield from self._runs(option)

    def _against(self, placed: Placed, other: Placed) -> Iterator[Breach]:
        being_there = self._being_there(other.part.id)
        for rule, mm in self._rules(placed, other):
            yield Breach((being_there,) if rule is None else (being_there, rule), mm)

    def _being_there(self, part: str) -> Demand:
        sort = DemandSort.ASKED if part in self.search.asked.fixed else DemandSort.STAYS
        return Demand(sort, (part,))

    def _rules(self, a: Placed, b: Placed) -> Iterator[tuple[Demand | None, float | None]]:
        """The demands two parts break besides being there, and by how much [mm]; None when they overlap outright."""
        if self.search.clashes.surely_broken(a, b):
            yield None, None
            return
        for kind, whom, mm in self.search.rules.measured(a, b):
            other = a.part.id if whom == b.part.id else b.part.id
            match kind:
                case CauseKind.KEEP_CLEAR:
                    first, second = sorted((a.part.id, b.part.id))
                    yield Demand(DemandSort.KEEP_CLEAR, (first, second)), mm
                case CauseKind.ROOM_LOST:
                    yield Demand(DemandSort.ROOM, (whom, other)), mm
                case CauseKind.RELATION:
                    yield Demand(DemandSort.RELATION, (whom,)), mm
                case _:
                    yield None, None

    def _links(self, option: Option) -> Iterator[Breach]:
        for link, fate in self.search.links.forbidding(option):
            yield self._of_link(link, fate, option.bundle)

    def _of_link(self, link_id: str, fate: Fate, put: Iterable[Placed]) -> Breach:
        """A link that some parts, put so, have made anew or lean out of its line: against what the job puts there."""
        if fate is not Fate.USELESS:
            return Breach((Demand(DemandSort.LINK, (link_id,)),))
        facts = self.search.links.facts
        link = facts.asked.links[link_id]
        ends = [e.component for e in link.ends]
        placed = {i: self.search.base[i] for i in ends} | {p.part.id: p for p in put if p.part.id in ends}
        asked = sorted({i for i in ends if i in facts.asked.fixed})
        over_mm = over_line_mm(link, facts.ports_before(link), facts.ports_in(link, placed))
        return Breach((*(Demand(DemandSort.ASKED, (i,)) for i in asked), Demand(DemandSort.LINE, (link_id,))), over_mm)

    def _runs(self, option: Option) -> Iterator[Breach]:
        kept = self.search.rules.kept
        if not kept.runs or self.search.suits_runs(option):
            return
        put = {**self.search.world.placed, **{p.part.id: p for p in option.bundle}}
        for relation in sorted({m.relation.id for m in kept.all_of(put) if m.third}):
            yield Breach((Demand(DemandSort.RELATION, (relation,)),))

    def _between(self, p: str, q: str) -> Iterator[tuple[tuple[str, int], tuple[str, int], Breach]]:
        firsts, seconds = self.of_part[p], self.of_part[q]
        book = self.search.clashes
        first = [(i, c.option) for i, c in enumerate(firsts) if c.option is not None]
        second = [(j, c.option) for j, c in enumerate(seconds) if c.option is not None]
        clashes = book.clashes(p, [o for _, o in first], q, [o for _, o in second])
        for a, b in np.argwhere(clashes).tolist():
            (i, one), (j, other) = first[a], second[b]
            for breach in self._of_bundles(one, other):
                yield (p, i), (q, j), breach
        yield from self._linked(p, q)

    def _linked(self, p: str, q: str) -> Iterator[tuple[tuple[str, int], tuple[str, int], Breach]]:
        first = [(i, c.option) for i, c in enumerate(self.of_part[p]) if c.option is not None]
        second = [(j, c.option) for j, c in enumerate(self.of_part[q]) if c.option is not None]
        for link, a, b, fate in self.search.links.forbidding_both(p, [o for _, o in first], q, [o for _, o in second]):
            (i, one), (j, other) = first[a], second[b]
            yield (p, i), (q, j), self._of_link(link, fate, (*one.bundle, *other.bundle))

    def _of_bundles(self, one: Option, other: Option) -> Iterator[Breach]:
        for x in one.bundle:
            for y in other.bundle:
                if self.search.clashes.broken(x, y):
                    for rule, mm in self._rules(x, y):
                        yield Breach(() if rule is None else (rule,), mm)

    def _of_the_job(self) -> Iterator[Breach]:
        """What the parts that never give way break among themselves, one of them being placed by the job."""
        search = self.search
        for stuck in self.parts:
            if stuck in search.asked.links:
                yield from self._spoilt(stuck)
            elif stuck in search.asked.homeless:
                host = search.asked.base[stuck].mounted_on or ""
                yield Breach((Demand(DemandSort.ASKED, (host,)), Demand(DemandSort.KEPT, (stuck,))))
        for i, part in search.world.placed.items():
            for conflict in search.rules.cut_away(part):
                yield Breach((self._being_there(i), Demand(DemandSort.ASKED, (conflict.other,))))
            for miss in search.rules.kept.alone(part):
                yield Breach((self._being_there(i), Demand(DemandSort.RELATION, (miss.relation.id,))), miss.mm)
            for other in search.world.broken(part):
                if other.part.id > i and {i, other.part.id} & search.asked.fixed:
                    for breach in self._against(part, other):
                        yield replace(breach, demands=(self._being_there(i), *breach.demands))

    def _spoilt(self, link: str) -> Iterator[Breach]:
        """A link that may not be made anew against what the job does at its ends or in its run."""
        asked = self.search.asked
        ends = [e.component for e in asked.links[link].ends]
        if self.search.links.facts.fate_at_base(asked.links[link]) is Fate.USELESS:
            yield self._of_link(link, Fate.USELESS, ())
            return
        placings = [i for i in ends if i in asked.fixed] or self.search.links.facts.hitters(asked.links[link])
        yield Breach((*(Demand(DemandSort.ASKED, (i,)) for i in sorted(placings)), Demand(DemandSort.LINK, (link,))))


@dataclass(slots=True)
class LinkChances(Chances):
    """The same as far as the links alone decide it: quickly found, and often it is they that leave no way."""

    def _breaches(self, option: Option) -> Iterator[Breach]:
        return self._links(option)

    def _between(self, p: str, q: str) -> Iterator[tuple[tuple[str, int], tuple[str, int], Breach]]:
        return self._linked(p, q)

    def lean(self) -> bool:
        """Whether a rod or shaft would leave its line anywhere."""
        return any(d.sort is DemandSort.LINE for d in self.demands())


def over_line_mm(link: Link, before: tuple[Vec, Vec], after: tuple[Vec, Vec]) -> float:
    """How far [mm] an end of a rod or shaft would have to come back, round the other, to be where it may lean to."""
    over_deg = swing_between(before, after) - (link.swing_deg if link.swing_deg is not None else math.inf)
    return max(0.0, math.dist(*after) * math.radians(over_deg))


def beyond(space: Space, extent: Box, contact: list[set[float]]) -> np.ndarray:
    """Origins (n, 3) [mm] of a part that sticks out of a space along one axis, or because it is too large for it."""
    (space_lo, space_hi), (low, high) = space_box(space), extent
    inside, outside = [], []
    for i in range(3):
        first, last = space_lo[i] - low[i], space_hi[i] - high[i]
        side = pinned(space.against, i)
        if last < first:
            inside.append([first] if side < 0 else [last] if side > 0 else [first, last])
        else:
            inside.append(stops(first, last, space.step_mm, side))
        steps = [k * space.step_mm for k in range(1, int(BEYOND_MM / space.step_mm) + 1)]
        near = [v for v in contact[i] if first - BEYOND_MM <= v < first or last < v <= last + BEYOND_MM]
        outside.append([] if side else sorted({*(first - s for s in steps), *(last + s for s in steps), *near}))
    found = [product([outside[i] if i == axis else inside[i] for i in range(3)]) for axis in range(3)]
    at = np.concatenate([product(inside), *found])
    return at[[max(a + b for a, b in zip(*overhang_mm(space, extent, row), strict=True)) <= BEYOND_MM for row in at]]


def overhang_mm(space: Space, extent: Box, at_mm: Vec) -> tuple[Vec, Vec]:
    """How far a part with this extent, its origin there, sticks out at the low and the high faces of a space [mm]."""
    (space_lo, space_hi), (low, high) = space_box(space), extent
    under = [max(0.0, space_lo[i] - low[i] - at_mm[i]) for i in range(3)]
    over = [max(0.0, at_mm[i] - (space_hi[i] - high[i])) for i in range(3)]
    small = [[0.0 if v < 1e-6 else v for v in side] for side in (under, over)]  # noqa: PLR2004 rounding
    return (small[0][0], small[0][1], small[0][2]), (small[1][0], small[1][1], small[1][2])


def _thinned(chances: list[Chance], *, alone: bool) -> list[Chance]:
    """Without those that break the same as another one by no less, when nothing else is chosen beside them."""
    if not alone:
        return chances
    best: dict[tuple[tuple[Demand, ...], ...], Chance] = {}
    for chance in chances:
        key = tuple(sorted({b.demands for b in chance.breaches}))
        if key not in best or _worst_mm(chance) < _worst_mm(best[key]):
            best[key] = chance
    return list(best.values())


def _worst_mm(chance: Chance) -> float:
    return max((b.mm for b in chance.breaches if b.mm is not None), default=0.0)
