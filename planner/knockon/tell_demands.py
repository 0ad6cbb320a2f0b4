"""The demands that cannot hold together in words, each with what would have to give and by how much.

"By how much" is the least over the homes looked at; each is then tried out on the whole vehicle, and only what does
alone is said to do.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from planner.knockon.arrangement import Arrangement
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import TOUCH_MM, rules_for
from planner.knockon.demand_core import DemandModel, least_giving, smallest_core
from planner.knockon.demands import Chance, Chances, Demand, DemandSort, LinkChances
from planner.knockon.giving import (
    Case,
    asked_move_mm,
    given,
    larger_by,
    leaning,
    moved_along,
    moved_part_way,
    shifted_by,
    with_less_room,
    without,
)
from planner.knockon.homes import HomeSearch
from planner.knockon.impossible import impossible
from planner.knockon.options import MILLI
from planner.knockon.outcome import Outcome
from planner.knockon.placed import Placed, placed_at
from planner.knockon.rigid import added
from planner.knockon.sane_shifts import stays_at, stays_in
from planner.knockon.slide import slid
from planner.knockon.tell_growth import Growth
from planner.knockon.tell_lean import MOST_LEAN_DEG, lean_deg, move_in_line_mm, tied_to
from planner.model.effects import Held, Proof
from planner.model.job import Grow
from planner.model.shapes import Direction, Pose, Vec
from planner.space import closer_than, shifted

_TRY_S = 2.0
"""For each trial, as work."""
_FAR_MM = 512.0
"""The job's own placings are tried up to so far aside."""
_MOST_STARTS = 40
_MOST_TRIALS = 6
_SHARES = 8
"""Of a move that is asked for, so many parts are tried, the most first; then to the millimetre."""
_OF_RODS = (DemandSort.ASKED, DemandSort.LINE, DemandSort.KEPT, DemandSort.STAYS)
"""Where rods leave no way these give otherwise than anywhere else."""
_SIDES = ("forwards", "to the left", "downwards"), ("rearwards", "to the right", "upwards")


def tell_demands(out: Outcome, search: HomeSearch) -> tuple[Held, ...]:
    """The smallest set of demands that cannot hold together; empty when it was not looked into."""
    if not out.answer.stuck:
        return ()
    chances, core = _core(out, search)
    teller = _Teller(out, search, chances)
    return tuple(Held(sort=d.sort.value, subjects=d.subjects, text=teller.text(d), gives=teller.gives(d)) for d in core)


def _core(out: Outcome, search: HomeSearch) -> tuple[Chances, tuple[Demand, ...]]:
    """The demands that cannot hold together, and all chances there are; rods that lean are looked at first."""
    by_links = LinkChances(search, out.answer.stuck)
    core = smallest_core(DemandModel(by_links)) if by_links.lean() and not by_links.too_many else ()
    if core:
        return by_links, core
    chances = Chances(search, out.answer.stuck)
    return chances, () if chances.too_many else smallest_core(DemandModel(chances))


@dataclass(slots=True)
class _Teller:
    out: Outcome
    search: HomeSearch
    chances: Chances
    case: Case = field(init=False)

    def __post_init__(self) -> None:
        self.case = (self.out.vehicle, self.out.job)

    def text(self, demand: Demand) -> str:
        """The demand in words."""
        name, first, last = self.out.name, demand.subjects[0], demand.subjects[-1]
        ways: dict[DemandSort, Callable[[], str]] = {
            DemandSort.ASKED: lambda: self._asked_text(first),
            DemandSort.STAYS: lambda: f"{name(first)} stays where it is ({self._freedom(first)})",
            DemandSort.KEEP_CLEAR: lambda: (
                f"{name(first)} and {name(last)} keep {self.out.length(self._keep_mm(demand))} apart"
            ),
            DemandSort.ROOM: lambda: f"{name(first)} keeps its working room free of {name(last)}",
            DemandSort.RELATION: lambda: self._relation_text(first),
            DemandSort.LIMITS: lambda: f"{self.out.asked.spaces[first].name} ends where it does",
            DemandSort.LINK: lambda: (
                f"{name(first)} is not made anew (its freedom is `{self.out.asked.links[first].freedom}`)"
            ),
            DemandSort.LINE: lambda: f"{name(first)} stays within {self._swing(first):g} degrees of its line (`swing`)",
            DemandSort.KEPT: lambda: f"{name(first)} has to be somewhere in its mounting spaces",
        }
        return ways[demand.sort]()

    def _swing(self, link: str) -> float:
        return self.out.asked.links[link].swing_deg or 0.0

    def _freedom(self, part: str) -> str:
        return f"its freedom is `{self.search.base[part].part.freedom}`"

    def _asked_text(self, subject: str) -> str:
        cut = next((c for c in self.out.asked.cuts if c.id == subject), None)
        if cut is not None:
            return f"the job cuts {self.out.name(cut.host)} there ({subject})"
        if subject in self.out.asked.gone or subject not in self.search.base:
            return f"the job does away with {self.out.name(subject)}"
        verb = "makes larger" if subject in self.out.asked.grown else "puts"
        there = "" if subject in self.out.asked.grown else " where it says"
        return f"the job {verb} {self.out.name(subject)}{there}"

    def _relation_text(self, relation_id: str) -> str:
        relation = self.out.asked.relations[relation_id]
        of = f" {self.out.name(relation.of)}" if relation.of is not None else ""
        by = f" by {self.out.length(relation.by_mm)}" if relation.by_mm else ""
        why = f": {relation.why}" if relation.why else ""
        return f"{self.out.name(relation.part)} keeps {relation.keeps}{of}{by} ({relation_id}){why}"

    def gives(self, demand: Demand) -> str:
        """What would have to give, tried out on the whole vehicle; empty when it does not do alone."""
        if isinstance(self.chances, LinkChances) and demand.sort in _OF_RODS:
            return self._in_line(demand)
        if demand.sort is DemandSort.ASKED:
            return self._shift(demand)
        needed = demand.sort is DemandSort.KEPT and self._is_needed(demand.subjects[0])
        least = None if needed else least_giving(self.chances, demand)
        if least is None:
            return ""
        mm, homes = least
        case = given(self.case, demand, mm, self._keep_mm(demand), homes)
        answer = None if case is None else _tried(case, self.out)
        if answer is not None:
            return f"if {self._if(demand, mm, homes)}: {_worth(answer)}"
        spared = None
        if demand.sort is DemandSort.STAYS and not self._is_needed(demand.subjects[0]):
            spared = without(self.case, demand.subjects[0])
        if spared is not None and _tried(spared, self.out) is not None:
            return f"if {self.out.name(demand.subjects[0])} were not there (no mounting space takes it)"
        return ""

    def _is_needed(self, part: str) -> bool:
        """Whether a part is one that nobody does without, or carries one."""
        parts = {i: p.part for i, p in self.search.base.items()}
        never = set(self.out.catalog.never_spared)
        own = {parts[part].kind, parts[part].group} if part in parts else set()
        return bool(own & never) or any(self._is_needed(i) for i, c in parts.items() if c.mounted_on == part)

    def _in_line(self, demand: Demand) -> str:
        """What would have to give where rods leave no way: less of the move, others along with it, more lean.

        That a part might be done without is no help to whoever wants it worked by a rod.
        """
        first, name, length = demand.subjects[0], self.out.name, self.out.length
        if demand.sort is DemandSort.LINE:
            least = least_giving(self.chances, demand)
            put = [p for c in ([] if least is None else least[1]) if c.option is not None for p in c.option.bundle]
            most = lean_deg(self.search, self.out.asked.links[first], put)
            if most > MOST_LEAN_DEG:
                return f"it would have to lean {most:g} degrees, too far for anything that pushes or turns"
            answer = _tried(leaning(self.case, first, most), self.out)
            told = f"if the joints of {name(first)} and its hole let it lean {most:g} degrees (`swing: {most:g}`)"
        elif demand.sort is DemandSort.ASKED and first in self.search.base:
            mm, whole_mm = move_in_line_mm(self.case, self.search, first)
            answer = self._moved(first, mm / whole_mm) if mm else None
            told = f"if {name(first)} were moved {length(mm)} instead of {length(whole_mm)}"
        else:
            return self._along(first)
        return "" if answer is None else f"{told}: {_worth(answer)}"

    def _along(self, stuck: str) -> str:
        """Whether it does to move along with a part whatever rods tie to it."""
        asked = self.out.asked
        for part in sorted(asked.moved):
            tied = tied_to(part, asked.links.values(), asked.fixed)
            case = moved_along(self.case, part, tied) if stuck in tied else None
            answer = None if case is None else _tried(case, self.out)
            if answer is not None:
                names = " and ".join(self.out.name(i) for i in tied)
                return f"if the job moved {names} by as much as {self.out.name(part)}: {_worth(answer)}"
        return ""

    def _if(self, demand: Demand, mm: float, homes: Sequence[Chance]) -> str:
        name, length, first = self.out.name, self.out.length, demand.subjects[0]
        keep = self._keep_mm(demand)
        ways: dict[DemandSort, Callable[[], str]] = {
            DemandSort.KEEP_CLEAR: lambda: (
                f"{name(first)} might come within {length(max(0.0, keep - mm))} instead of {length(keep)} of "
                f"{name(demand.subjects[1])}"
            ),
            DemandSort.ROOM: lambda: (
                f"{name(first)} could do with {length(mm)} less of its working room{self._rooms(first, mm)}"
            ),
            DemandSort.RELATION: lambda: f"{first} might be missed by {length(mm)}",
            DemandSort.LIMITS: lambda: f"{self.out.asked.spaces[first].name} were larger: {self._larger(first, homes)}",
            DemandSort.LINK: lambda: f"{name(first)} might be made anew",
            DemandSort.STAYS: lambda: f"{name(first)} might be moved ({self._freedom(first)})",
            DemandSort.KEPT: lambda: f"{name(first)} might be done without",
        }
        return ways[demand.sort]()

    def _rooms(self, part: str, mm: float) -> str:
        """How less room is written down: the rooms of a part with their new depths, where all lie beside its faces."""
        rooms = with_less_room(self.search.base[part].part, mm).rooms
        if any(r.side is None for r in rooms):
            return f" (smaller `rooms` in the block of `{part}`)"
        told = (f"{{name: {r.name}, needed: {r.needed}, side: {r.side}, depth: {r.depth_mm:g} mm}}" for r in rooms)
        return f" (in the block of `{part}`: `rooms: [{', '.join(told)}]`, or `rooms: []` where it needs none)"

    def _larger(self, space: str, homes: Sequence[Chance]) -> str:
        told = [
            f"{self.out.length(side[i])} {_SIDES[n][i]}"
            for n, side in enumerate(larger_by(space, homes))
            for i in range(3)
            if side[i] > 0.0
        ]
        return " and ".join(told)

    def _keep_mm(self, demand: Demand) -> float:
        if demand.sort is not DemandSort.KEEP_CLEAR:
            return 0.0
        a, b = (self.search.base[i].part for i in demand.subjects)
        return self.search.rules.keeps.keep(a, b).mm

    def _shift(self, demand: Demand) -> str:
        """The least straight shift of what the job puts there that does alone."""
        subject = demand.subjects[0]
        grown = next((c for c in self.case[1].changes if isinstance(c, Grow) and c.part == subject), None)
        if grown is not None:
            return self._growth(grown).words()
        for mm, direction in sorted(self._shifts(demand), key=lambda s: (s[0], s[1].value))[:_MOST_TRIALS]:
            case = shifted_by(self.case, subject, _along(direction, mm))
            answer = None if case is None else _tried(case, self.out)
            if answer is not None:
                what = subject if subject not in self.search.base else self.out.name(subject)
                return f"if {what} were {self.out.length(mm)} further {direction}: {_worth(answer)}"
        return self._part_way(subject)

    def _growth(self, grown: Grow) -> Growth:
        return Growth(
            case=self.case,
            asked=grown,
            tried=lambda case: _try(case, self.out),
            length=self.out.length,
            worth=_worth,
        )

    def _part_way(self, part: str) -> str:
        """How far along the move that the job asks for the part can go, to a whole millimetre."""
        whole_mm = asked_move_mm(self.case, part)
        low, high = 0, math.ceil(whole_mm)
        best: Arrangement | None = None
        for share in range(_SHARES - 1, 0, -1):
            mm = math.floor(whole_mm * share / _SHARES)
            best = self._moved(part, mm / whole_mm) if mm else None
            if best is not None:
                low = mm
                break
            high = mm
        while high - low > 1:
            middle = (low + high) // 2
            found = self._moved(part, middle / whole_mm)
            low, high, best = (low, middle, best) if found is None else (middle, high, found)
        if best is None:
            return ""
        name, length = self.out.name(part), self.out.length
        return f"if {name} were moved {length(low)} instead of {length(whole_mm)}: {_worth(best)}"

    def _moved(self, part: str, share: float) -> Arrangement | None:
        return _tried(moved_part_way(self.case, part, share), self.out)

    def _shifts(self, demand: Demand) -> Iterator[tuple[float, Direction]]:
        """For each direction the least shift, to a whole millimetre, that makes room for some homes."""
        starts = self._starts(demand)
        for direction in self._directions(demand.subjects[0]):
            shifts = [self._clear_mm(demand.subjects[0], direction, homes) for homes in starts]
            found = [mm for mm in shifts if mm is not None and self._is_sane(demand.subjects[0], _along(direction, mm))]
            if found:
                yield min(found), direction

    def _is_sane(self, subject: str, by_mm: Vec) -> bool:
        """Whether a shift leaves a hole in its metal, a part within the vehicle and on what it is mounted on."""
        cut = next((c for c in self.out.asked.cuts if c.id == subject), None)
        if cut is not None:
            hole = self.search.rules.hole(cut)
            return stays_in([self.search.base[cut.host].still], hole, shifted(hole, by_mm))
        base = self.search.base[subject]
        others = [p.still for i, p in self.search.base.items() if i != subject]
        host = self.search.base.get(base.part.mounted_on or "")
        put = shifted(base.still, by_mm)
        return stays_in(others, base.still, put) and (host is None or stays_at(host.still, base.still, put))

    def _directions(self, subject: str) -> list[Direction]:
        """All six for a part; for a hole not the way through the metal, along its least side."""
        cut = next((c for c in self.out.asked.cuts if c.id == subject), None)
        if cut is None:
            return list(Direction)
        hole = self.search.rules.hole(cut)
        through = min(range(3), key=lambda i: hole.hi_mm[i] - hole.lo_mm[i])
        return [d for d in Direction if not d.vector[through]]

    def _starts(self, demand: Demand) -> list[list[Placed]]:
        """Sets of homes for the stuck parts that only this demand bars."""
        if len(self.chances.of_part) == 1:
            [chances] = self.chances.of_part.values()
            barred = [c for c in chances if c.option is not None and all(demand in b.demands for b in c.breaches)]
            return [list(c.option.bundle) for c in barred[:_MOST_STARTS] if c.option is not None]
        least = least_giving(self.chances, demand)
        if least is not None and self.chances.of_part:
            return [[p for c in least[1] if c.option is not None for p in c.option.bundle]]
        others = [p for p in self.out.answer.stuck if p != demand.subjects[0] and p in self.search.base]
        return [[self.search.base[p] for p in others]]

    def _clear_mm(self, subject: str, direction: Direction, homes: list[Placed]) -> float | None:
        """The least whole number of millimetres by which the subject, shifted, is clear of some parts; else None."""
        if self._bars(subject, _along(direction, _FAR_MM), homes):
            return None
        low, high = 0, int(_FAR_MM)
        while high - low > 1:
            middle = (low + high) // 2
            if self._bars(subject, _along(direction, float(middle)), homes):
                low = middle
            else:
                high = middle
        return float(high)

    def _bars(self, subject: str, by_mm: Vec, homes: list[Placed]) -> bool:
        cut = next((c for c in self.out.asked.cuts if c.id == subject), None)
        if cut is not None:
            hole = shifted(self.search.rules.hole(cut), by_mm)
            return any(closer_than(hole, p.still, TOUCH_MM) for p in homes)
        if subject not in self.search.base:
            return True
        base = self.search.base[subject]
        pose = Pose(at_mm=added(base.part.pose.at_mm, by_mm), turn_deg=base.part.pose.turn_deg)
        put = placed_at(base, pose)
        return any(self.search.rules.broken(put, p) for p in homes)


def _along(direction: Direction, mm: float) -> Vec:
    x, y, z = direction.vector
    return (x * mm, y * mm, z * mm)


def _tried(case: Case, out: Outcome) -> Arrangement | None:
    """An arrangement of another vehicle or job, None when there is none or none was found in a short time."""
    answer = _try(case, out)
    return None if answer.proof is Proof.NONE else answer


def _try(case: Case, out: Outcome) -> Arrangement:
    """An arrangement of another vehicle or job; without proof when there is none or none was found in a short time."""
    asked = asked_by(*case)
    rules = rules_for(case[0], asked, out.catalog)
    search = HomeSearch(asked, rules, out.catalog, case[1].hour_worth)
    if impossible(case[0], asked, rules):
        return search.no_answer(())
    answer = search.tried_out(_TRY_S)
    return answer if answer.proof is Proof.NONE else slid(search, answer)


def _worth(answer: Arrangement) -> str:
    """What the answer is then."""
    return f"then it can be done, for {-(-answer.cost // MILLI)} hand-minutes"
