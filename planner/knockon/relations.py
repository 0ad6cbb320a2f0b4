"""Whether what must stay true between parts holds where they are put, and by how much it is missed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from planner.knockon.measures import Setting, Shortfall, line_of, run_shortfall_mm, setting_of, shortfall
from planner.knockon.placed import Placed
from planner.knockon.relation_words import Speech, in_the_run_words, miss_words
from planner.model.vehicle import Component, Driver, Keeps, Relation, Vehicle
from planner.space import Body, closer_than

KEPT_MM = 0.05
"""A relation missed by no more than this holds."""
KEPT_DEG = 0.05
"""The same for an angle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """A relation that does not hold: by how much [mm], None for an angle, and the plain sentence that says so."""

    relation: Relation
    mm: float | None
    text: str
    third: str = ""
    """The part that stands in a straight run, when that is what is missed."""


@dataclass(slots=True, kw_only=True)
class RelationRules:
    """The relations of a vehicle, with what was already missed as much at the start let pass.

    ``vehicle`` is the vehicle as it stands and ``parts`` those there are afterwards, as the job itself leaves them;
    ``driver`` sits on those. ``present`` gives a part as it stands in the vehicle now, None for a part the job adds;
    ``name`` the name a person knows it by. Relations named in ``strict`` must hold in full whatever was so before.
    """

    vehicle: Vehicle
    relations: dict[str, Relation]
    parts: Mapping[str, Component]
    driver: Driver | None
    present: Callable[[str], Placed | None]
    name: Callable[[str], str]
    strict: frozenset[str] = frozenset()
    runs: tuple[Relation, ...] = field(init=False)
    """The straight runs, in which third parts may stand."""
    _now: Setting = field(init=False)
    _then: Setting = field(init=False)
    _speech: Speech = field(init=False)

    def __post_init__(self) -> None:
        self.runs = tuple(r for r in self.relations.values() if r.keeps is Keeps.STRAIGHT_RUN)
        self._now = setting_of(self.vehicle, self.driver, self.parts)
        self._then = setting_of(self.vehicle, self.vehicle.driver, self.vehicle.components)
        self._speech = Speech(name=self.name, units=self.vehicle.units)

    def alone(self, part: Placed) -> Iterator[Miss]:
        """Relations missed by the part whatever stands beside it."""
        for relation in self.relations.values():
            if relation.of is None and relation.part == part.part.id:
                yield from self._missed(relation, part, None)

    def between(self, a: Placed, b: Placed) -> Iterator[Miss]:
        """Relations missed by the two parts towards each other, third parts left out."""
        for relation in self.relations.values():
            if relation.part == a.part.id and relation.of == b.part.id:
                yield from self._missed(relation, a, b)
            elif relation.part == b.part.id and relation.of == a.part.id:
                yield from self._missed(relation, b, a)

    def any_between(self, a: Placed, b: Placed) -> bool:
        """Whether the two miss a relation towards each other; the fast form of :meth:`between`."""
        ends = {(a.part.id, b.part.id): (a, b), (b.part.id, a.part.id): (b, a)}
        return any(
            self._shortfall(relation, *ends[relation.part, relation.of]) is not None
            for relation in self.relations.values()
            if relation.of is not None and (relation.part, relation.of) in ends
        )

    def any_alone(self, part: Placed) -> bool:
        """Whether the part misses a relation whatever stands beside it; the fast form of :meth:`alone`."""
        return any(
            self._shortfall(relation, part, None) is not None
            for relation in self.relations.values()
            if relation.of is None and relation.part == part.part.id
        )

    def all_of(self, placed: Mapping[str, Placed]) -> Iterator[Miss]:
        """Every relation that is missed by parts that are placed."""
        for relation in self.relations.values():
            part, of = placed.get(relation.part), placed.get(relation.of or "")
            if part is None or (of is None and relation.of is not None):
                continue
            yield from self._missed(relation, part, of)
            if of is not None and relation.keeps is Keeps.STRAIGHT_RUN:
                for other in placed.values():
                    yield from self.in_the_run(relation, part, of, other)

    def run_line(self, relation: Relation, part: Placed, of: Placed) -> Body | None:
        """The line that a straight run keeps free, None when its two places are one."""
        return line_of(relation, part, of)

    def bars(self, relation: Relation, line: Body, other: Placed) -> bool:
        """Whether a third part stands in a straight run; the fast form of :meth:`in_the_run`."""
        return (
            self._is_third(relation, other)
            and closer_than(line, other.body, relation.by_mm)
            and self._run_missed_mm(relation, line, other) is not None
        )

    def in_the_run(self, relation: Relation, part: Placed, of: Placed, other: Placed) -> Iterator[Miss]:
        """The miss of a straight run in which ``other`` stands, if it does."""
        line = line_of(relation, part, of)
        if line is None or not self.bars(relation, line, other):
            return
        mm = self._run_missed_mm(relation, line, other)
        if mm is not None:
            text = in_the_run_words(relation, mm, other, self._speech)
            yield Miss(relation=relation, mm=mm, text=text, third=other.part.id)

    def _is_third(self, relation: Relation, other: Placed) -> bool:
        """Whether the part has to keep out of the run: not an end, what rides on one, or what the run goes through."""
        spared = {relation.part, relation.of, *relation.passes}
        part = other.part
        while part.id not in spared and part.rides and part.mounted_on is not None and part.mounted_on in self.parts:
            part = self.parts[part.mounted_on]
        return part.id not in spared

    def _run_missed_mm(self, relation: Relation, line: Body, other: Placed) -> float | None:
        missed = run_shortfall_mm(relation, line, other)
        if missed <= KEPT_MM:
            return None
        then = [self._before(relation, i) for i in (relation.part, relation.of or "", other.part.id)]
        if then[0] is not None and then[1] is not None and then[2] is not None:
            line_then = line_of(relation, then[0], then[1])
            if line_then is not None and missed <= run_shortfall_mm(relation, line_then, then[2]) + KEPT_MM:
                return None
        return missed

    def _before(self, relation: Relation, part: str) -> Placed | None:
        return None if relation.id in self.strict else self.present(part)

    def _missed(self, relation: Relation, part: Placed, of: Placed | None) -> Iterator[Miss]:
        missed = self._shortfall(relation, part, of)
        if missed is not None:
            text = miss_words(relation, missed, part, of, self._now, self._speech)
            yield Miss(relation=relation, mm=missed.mm if missed.mm > KEPT_MM else None, text=text)

    def _shortfall(self, relation: Relation, part: Placed, of: Placed | None) -> Shortfall | None:
        """By how much a relation is missed; None when it holds, or was missed as much at the start."""
        missed = shortfall(relation, part, of, self._now)
        if _holds(missed):
            return None
        part_then = self._before(relation, relation.part)
        of_then = self._before(relation, relation.of) if relation.of is not None else None
        if part_then is not None and (relation.of is None or of_then is not None):
            then = shortfall(relation, part_then, of_then, self._then)
            if _holds(Shortfall(mm=missed.mm - max(0.0, then.mm), deg=missed.deg - max(0.0, then.deg))):
                return None
        return missed


def _holds(missed: Shortfall) -> bool:
    return missed.mm <= KEPT_MM and missed.deg <= KEPT_DEG
