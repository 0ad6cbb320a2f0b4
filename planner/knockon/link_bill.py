"""What becomes of all links in one arrangement costs, and what it would cost with a few parts put elsewhere."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from planner.knockon.link_change import Fate, allowed
from planner.knockon.link_facts import LinkFacts
from planner.knockon.placed import Placed, moved_from, settled
from planner.model.vehicle import Link


@dataclass(slots=True)
class LinkBill:
    """The links of an arrangement, with what a group of its parts has to do with them.

    Of links that no part of the group ends, or may come to stand in, the price is found once.
    """

    facts: LinkFacts
    placed: Mapping[str, Placed]
    group: Collection[str]
    _rest: int | None = 0
    _touched: list[tuple[Link, bool, tuple[str, ...]]] = field(default_factory=list)
    """Links the group has to do with, whether another part hits each, and who of the group could."""

    def __post_init__(self) -> None:
        """Sort the links into those the group has to do with and the rest."""
        asked = self.facts.asked
        moved = settled(self.placed, self.facts.base, asked.fixed)
        others = [p for i, p in moved.items() if i not in self.group]
        for link in asked.links.values():
            if link.id in asked.links_new or any(e.component not in self.placed for e in link.ends):
                continue
            hit = self.facts.is_hit(link, others)
            could = tuple(i for i in self.group if not self.facts.rules.spared_by(link, self.placed[i].part))
            if could or any(e.component in self.group for e in link.ends):
                self._touched.append((link, hit, could))
            elif self._rest is not None:
                price = self._price(link, self.placed, hit=hit)
                self._rest = None if price is None else self._rest + price

    def total(self, put: Mapping[str, Placed]) -> int | None:
        """Price of what becomes of all links with the group put there, None when one of them will not have it."""
        total, now = self._rest, {**self.placed, **put}
        for link, hit_by_others, could in self._touched:
            hit = hit_by_others or any(self._settled(now[i]) and self.facts.hits(link, now[i]) for i in could)
            price = self._price(link, now, hit=hit)
            if price is None or total is None:
                return None
            total += price
        return total

    def _settled(self, placed: Placed) -> bool:
        i = placed.part.id
        return i in self.facts.asked.fixed or moved_from(placed.part, self.facts.base[i].part)

    def _price(self, link: Link, placed: Mapping[str, Placed], *, hit: bool) -> int | None:
        fate = self.facts.then(link, placed)
        if fate < Fate.REMAKE and (
            hit or (fate is Fate.ADJUST and self.facts.swings_into(link, placed, self.facts.standing))
        ):
            fate = Fate.REMAKE
        return self.facts.cost(link, fate) if allowed(link, fate) else None
