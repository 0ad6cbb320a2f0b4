"""How far two things are kept apart: each part's own keep-clear, the catalog's rules, the owner's word on a pair."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from planner.model.catalog import Catalog, ClearanceRule, Kind
from planner.model.vehicle import Component, Link

Thing = Component | Link
_Sort = tuple[str, str, bool, bool]
"""Kind, group, whether it moves by what the file says, whether it is a link: what the rules know of a thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keep:
    """The least gap [mm] of a pair, and the catalog's rule that asks for it (None: their own keep-clear does)."""

    mm: float
    rule: ClearanceRule | None = None

    @property
    def because(self) -> str:
        """Why the rule asks for it and what its number rests on, as the end of a sentence."""
        return "" if self.rule is None else f": {self.rule.why} ({source_words(self.rule)})"


def source_words(rule: ClearanceRule) -> str:
    """What a rule's number rests on, in a few words."""
    return _in_short(rule.source)


def keep_clear_words(kind: Kind) -> str:
    """What a kind's keep-clear rests on, in a few words: its source may say so of each sort of number."""
    pieces = [piece.strip() for piece in kind.source.split(";")]
    return _in_short(next((piece for piece in pieces if "(clearances)" in piece), pieces[0]))


def _in_short(source: str) -> str:
    for told in ("starting guess", "common practice"):
        if source.startswith(told):
            return told
    return source.partition(" (")[0]


@dataclass(slots=True)
class KeepBook:
    """The gaps to be kept by a catalog's rules; without a catalog only those of the parts themselves."""

    catalog: Catalog | None = None
    _tags: dict[_Sort, frozenset[str]] = field(default_factory=dict)
    _found: dict[tuple[_Sort, _Sort], ClearanceRule | None] = field(default_factory=dict)
    _reach: dict[_Sort, float] = field(default_factory=dict)

    def keep(self, a: Thing, b: Thing) -> Keep:
        """The gap two things keep: the largest that either of them or a rule asks for, unless their owner says less."""
        said = [mm for mm in (a.near_mm.get(b.id), b.near_mm.get(a.id)) if mm is not None]
        if said:
            return Keep(mm=min(said))
        own_mm = max(_own_mm(a), _own_mm(b))
        rule = self.rule(a, b)
        return Keep(mm=own_mm) if rule is None or rule.keep_mm <= own_mm else Keep(mm=rule.keep_mm, rule=rule)

    def rule(self, a: Thing, b: Thing) -> ClearanceRule | None:
        """The rule that asks the most of a pair; None when none is about it."""
        key = (_sort(a), _sort(b))
        if key not in self._found:
            tags = (self._tags_of(key[0]), self._tags_of(key[1]))
            fits = [r for r in self._rules() if _about(r, *tags) or _about(r, *reversed(tags))]
            self._found[key] = max(fits, key=lambda r: (r.keep_mm, r.id), default=None)
        return self._found[key]

    def reach_mm(self, thing: Thing) -> float:
        """No pair with this thing in it has to keep more than this."""
        sort = _sort(thing)
        if sort not in self._reach:
            tags = self._tags_of(sort)
            asked = (r.keep_mm for r in self._rules() if tags & {*r.one, *r.other})
            self._reach[sort] = max(asked, default=0.0)
        return max(self._reach[sort], _own_mm(thing), *thing.near_mm.values(), 0.0)

    def _rules(self) -> Iterable[ClearanceRule]:
        return () if self.catalog is None else self.catalog.clearances.values()

    def _tags_of(self, sort: _Sort) -> frozenset[str]:
        """Every name by which a rule may mean a thing."""
        if sort not in self._tags:
            kind_id, group, moves, is_link = sort
            kinds = {} if self.catalog is None else (self.catalog.link_kinds if is_link else self.catalog.kinds)
            kind = kinds.get(kind_id)
            hot = {"hot"} if kind is not None and kind.hot else set()
            moving = {"moving"} if moves or (kind is not None and kind.moving) else set()
            self._tags[sort] = frozenset({kind_id, group, "any", *hot, *moving})
        return self._tags[sort]


def _about(rule: ClearanceRule, one: frozenset[str], other: frozenset[str]) -> bool:
    return not one.isdisjoint(rule.one) and not other.isdisjoint(rule.other)


def _sort(thing: Thing) -> _Sort:
    if isinstance(thing, Link):
        return (thing.kind, thing.group, False, True)
    return (thing.kind, thing.group, thing.motion is not None, False)


def _own_mm(thing: Thing) -> float:
    return thing.keep_clear_mm if isinstance(thing, Component) else 0.0
