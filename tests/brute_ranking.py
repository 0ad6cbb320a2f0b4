"""Every sound combination of homes, ranked: which answers are truly other ones, by plain enumeration."""

from __future__ import annotations

from dataclasses import dataclass, field

from brute_boxes import FREE
from brute_homes import Brute, Spot

Fates = frozenset[tuple[str, str]]
"""What becomes of each part that does not stay."""


@dataclass
class Ranking(Brute):
    """Nothing is left out for its cost."""

    least: dict[Fates, int] = field(default_factory=dict)
    _fates: dict[str, str] = field(default_factory=dict)

    def ranked(self) -> list[tuple[int, Fates]]:
        """The answers that hold no cheaper one whole, cheapest first."""
        self.menu = {i: self.choices(i) for i in self.order}
        self._go(0, {}, 0)
        found: list[tuple[int, Fates]] = []
        for cost, _, fates in sorted((c, len(f), f) for f, c in self.least.items()):
            if not any(earlier <= fates for _, earlier in found):
                found.append((cost, fates))
        return found

    def _go(self, n: int, spots: dict[str, Spot | None], cost: int) -> None:
        if n == len(self.order):
            links = self.links_cost({i: s for i, s in spots.items() if s is not None})
            if links is not None:
                fates = frozenset((p, f) for p, f in self._fates.items() if f != "stays")
                self.least[fates] = min(cost + links, self.least.get(fates, 1 << 60))
            return
        part = self.order[n]
        for choice in self.menu[part]:
            spot, price = self._spot(part, choice, spots)
            if (spot is None and choice.sort != "go") or (spot is not None and not self._stands(spot, spots)):
                continue
            spots[part] = spot
            if part not in self.fixed and self.parts[part].freedom in FREE:
                self._fates[part] = self._fate(part, choice.sort, choice.space, spot)
            self._go(n + 1, spots, cost + price)
            self._fates.pop(part, None)
            del spots[part]

    def _fate(self, part: str, sort: str, space: str, spot: Spot | None) -> str:
        if sort == "home":
            return f"home {space}"
        if spot is None:
            return "goes"
        return "stays" if spot.pose == self.before[part].pose else "follows"
