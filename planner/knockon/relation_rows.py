"""What relations ask of the choice of homes beyond single parts and pairs: straight runs, in which third parts stand.

A run depends on three parts, so its rows would be as many as their homes multiplied. They are added lazily instead: an
answer in which a run is barred is ruled out, with all that differ from it in the home of one of the three and are
barred as well, and the choice is made again. Rows only ever rule out what is barred, so an answer that breaks none is
still the best of all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from planner.knockon.homes_model import HomesModel
from planner.knockon.movers import Movers
from planner.knockon.options import Option
from planner.knockon.placed import Placed
from planner.knockon.relations import Miss, RelationRules
from planner.model.shapes import Pose, Solid
from planner.model.vehicle import Relation

_Key = tuple[str, str, Pose | None, str, tuple[Solid, ...]]


def _key(option: Option) -> _Key:
    """What an option does, the same however far the homes are listed; a part may come in several shapes."""
    solids = tuple(solid for placed in option.bundle for solid in placed.part.solids)
    return (option.part, option.sort, option.pose, option.space, solids)


@dataclass(slots=True, kw_only=True)
class RelationRows:
    """Straight runs against the choice of homes; ``world`` is what can never give way."""

    rules: RelationRules
    movers: Movers
    base: Mapping[str, Placed]
    world: Mapping[str, Placed]
    _never: dict[tuple[_Key, ...], None] = field(default_factory=dict)

    def trouble(self) -> tuple[str, ...]:
        """Parts that never give way and miss a relation: those of the job, and runs that it bars."""
        for miss in self.rules.all_of(self.world):
            return tuple(dict.fromkeys(i for i in _members(miss) if i in self.world))
        return ()

    def suits(self, bundle: tuple[Placed, ...]) -> bool:
        """Whether parts, put there, leave every run free whose other members can never give way."""
        if not self.rules.runs:
            return True
        put = {p.part.id: p for p in bundle}
        known = {**self.world, **put}
        for relation in self.rules.runs:
            ends = known.get(relation.part), known.get(relation.of or "")
            if ends[0] is None or ends[1] is None:
                continue
            others = known if {relation.part, relation.of} & put.keys() else put
            line = self.rules.run_line(relation, ends[0], ends[1])
            if line is not None and any(self.rules.bars(relation, line, p) for p in others.values()):
                return False
        return True

    def add(self, model: HomesModel) -> None:
        """Rule out what was found to bar a run."""
        if not self._never:
            return
        index = {_key(option): choice for choice, option in model.all_choices()}
        for barred in self._never:
            if all(key in index for key in barred):
                model.forbid_all([index[key] for key in barred])

    def ruled(self) -> frozenset[str]:
        """Parts that a row found so far is about."""
        return frozenset(part for barred in self._never for part, *_ in barred)

    def widen(
        self, placed: Mapping[str, Placed], chosen: Mapping[str, Option], options: Mapping[str, tuple[Option, ...]]
    ) -> bool:
        """Let the parts of a missed relation be moved, or rule the arrangement out; False when none is missed."""
        changed = False
        for miss in list(self.rules.all_of(placed)):
            fresh = [self.movers.activate(i) for i in _members(miss) if self.movers.chain(i)]
            if any(fresh):
                changed = True
            elif miss.third:
                changed = self._rule_out(miss, chosen, options) or changed
        return changed

    def _rule_out(self, miss: Miss, chosen: Mapping[str, Option], options: Mapping[str, tuple[Option, ...]]) -> bool:
        movers = sorted({c for i in _members(miss) if (c := self.movers.controller(i)) is not None})
        if not movers or any(m not in chosen for m in movers):
            return False
        before = len(self._never)
        for mover in movers:
            for option in options[mover]:
                taken = [option if m == mover else chosen[m] for m in movers]
                if self._barred(miss.relation, miss.third, taken):
                    self._never[tuple(_key(o) for o in taken)] = None
        return len(self._never) > before

    def _barred(self, relation: Relation, third: str, taken: list[Option]) -> bool:
        put = {p.part.id: p for option in taken for p in option.bundle}
        found = [self._at(i, put) for i in (relation.part, relation.of or "", third)]
        part, of, other = found
        if part is None or of is None or other is None:
            return False
        line = self.rules.run_line(relation, part, of)
        return line is not None and self.rules.bars(relation, line, other)

    def _at(self, part: str, put: Mapping[str, Placed]) -> Placed | None:
        """Where a part is with these options taken; None when one of them sends it away."""
        return put.get(part) if self.movers.controller(part) is not None else self.base.get(part)


def _members(miss: Miss) -> Iterator[str]:
    yield from (i for i in (miss.relation.part, miss.relation.of, miss.third) if i)
