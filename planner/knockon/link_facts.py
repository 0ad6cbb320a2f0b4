"""What is so of each link whatever is chosen: where its ends are now, what it may become, what stands in its run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules, run_of
from planner.knockon.link_change import Fate, change_of, fate_cost
from planner.knockon.movers import Movers
from planner.knockon.placed import Placed
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Freedom, Link
from planner.space import Body, link_body, port_mm


@dataclass(slots=True, kw_only=True)
class LinkFacts:
    """The links of a job, each fact found once."""

    asked: Asked
    rules: PairRules
    movers: Movers
    base: dict[str, Placed]
    hour_worth: float
    standing: tuple[Placed, ...]
    """Parts that nothing can move."""
    _hits: dict[tuple[str, str, Pose], bool] = field(default_factory=dict)
    _vanish: dict[str, bool] = field(default_factory=dict)
    _job_hits: dict[str, bool] = field(default_factory=dict)
    _before: dict[str, tuple[Vec, Vec]] = field(default_factory=dict)
    _prices: dict[tuple[str, Fate], int] = field(default_factory=dict)
    _fates: dict[str, Fate] = field(default_factory=dict)
    _runs: dict[str, Body] = field(default_factory=dict)

    def cost(self, link: Link, fate: Fate) -> int:
        """Price of a fate of a link [thousandths of a hand-minute]."""
        if (link.id, fate) not in self._prices:
            self._prices[link.id, fate] = fate_cost(link, fate, self.hour_worth)
        return self._prices[link.id, fate]

    def may_vanish(self, link: Link) -> bool:
        """Whether an end of the link is a part that may be done without: the link goes with it."""
        if link.id not in self._vanish:
            ends = [self.base[e.component].part for e in link.ends]
            loose = [p.id for p in ends if p.freedom is Freedom.MAY_GO]
            self._vanish[link.id] = any(self.movers.chain(i)[:1] == [i] for i in loose)
        return self._vanish[link.id]

    def hit_by_the_job(self, link: Link) -> bool:
        """Whether a part that the job places stands in its run."""
        if link.id not in self._job_hits:
            self._job_hits[link.id] = self.is_hit(link, (self.base[i] for i in sorted(self.asked.fixed)))
        return self._job_hits[link.id]

    def hitters(self, link: Link) -> list[str]:
        """Parts the job places in the run of a link."""
        return [i for i in sorted(self.asked.fixed) if self.hits(link, self.base[i])]

    def fate_at_base(self, link: Link) -> Fate:
        """What becomes of it when its ends are where the job itself leaves them."""
        if link.id not in self._fates:
            self._fates[link.id] = change_of(link, self.ports_before(link), self.ports_in(link, self.base)).fate
        return self._fates[link.id]

    def ports_before(self, link: Link) -> tuple[Vec, Vec]:
        """Where the link's ports are in the vehicle as it stands; as the job has them for a new link."""
        if link.id not in self._before:
            self._before[link.id] = self._ports_before(link)
        return self._before[link.id]

    def _ports_before(self, link: Link) -> tuple[Vec, Vec]:
        present = self.rules.vehicle.links.get(link.id)
        if present is None:
            return self.ports_in(link, self.base)
        first, second = (port_mm(self.rules.vehicle.components[e.component], e.port) for e in present.ends)
        return first, second

    def ports_in(self, link: Link, placed: Mapping[str, Placed]) -> tuple[Vec, Vec]:
        """Where the link's ports are in an arrangement."""
        first, second = (port_mm(placed[e.component].part, e.port) for e in link.ends)
        return first, second

    def run(self, link: Link) -> Body:
        """The link's run as it stands, or as the job gives it."""
        if link.id in self.rules.vehicle.links:
            return self.rules.present_run(link.id)
        if link.id not in self._runs:
            self._runs[link.id] = run_of(link, {i: p.part for i, p in self.base.items()})
        return self._runs[link.id]

    def is_hit(self, link: Link, parts: Iterable[Placed]) -> bool:
        """Whether any of some parts stands in the run of a link."""
        return any(self.hits(link, p) for p in parts)

    def hits(self, link: Link, placed: Placed) -> bool:
        """Whether a part stands in the run of a link."""
        if self.rules.spared_by(link, placed.part):
            return False
        key = (link.id, placed.part.id, placed.part.pose)
        if key not in self._hits:
            self._hits[key] = self.rules.link_hit(link, self.run(link), placed)
        return self._hits[key]

    def swings_into(self, link: Link, placed: Mapping[str, Placed], others: Iterable[Placed]) -> bool:
        """Whether a stiff link, set to its moved ends, would run through a part; a hose is laid round it by hand."""
        return link.rigid and self.run_hits(link, self.ports_in(link, placed), others)

    def run_hits(self, link: Link, ports: tuple[Vec, Vec], others: Iterable[Placed]) -> bool:
        """Whether a link, run between two places, would run through any of some parts."""
        run = link_body(link, *ports)
        return any(self.rules.link_hit(link, run, p) for p in others)

    def then(self, link: Link, placed: Mapping[str, Placed]) -> Fate:
        """What becomes of it by its ends alone in an arrangement; one that swings into something is made anew."""
        if all(placed[e.component].part is self.base[e.component].part for e in link.ends):
            return self.fate_at_base(link)
        return change_of(link, self.ports_before(link), self.ports_in(link, placed)).fate
