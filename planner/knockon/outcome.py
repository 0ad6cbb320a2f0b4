"""Everything the engine found out about a job, gathered for the telling of effects."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.knockon.arrangement import Arrangement
from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules
from planner.knockon.graph import EffectBook, effect_id
from planner.knockon.homes import HomeSearch
from planner.knockon.link_change import Fate, LinkChange, change_of
from planner.knockon.placed import Placed, settled
from planner.knockon.way_words import shift_words
from planner.model.catalog import Catalog
from planner.model.effects import EffectKind, Proof
from planner.model.job import Job
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Link, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkOutcome:
    """A link's fate, the numbers behind it, and the parts that stand in its run."""

    fate: Fate
    change: LinkChange
    hit_by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The chosen arrangement with all it was chosen from."""

    vehicle: Vehicle
    job: Job
    catalog: Catalog
    asked: Asked
    rules: PairRules
    base: dict[str, Placed]
    """Every part where it is before anything made room for it."""
    answer: Arrangement
    links: dict[str, LinkOutcome]

    def name(self, subject: str) -> str:
        """The name of a part, link, cut or system."""
        if subject in self.vehicle.systems:
            return self.vehicle.systems[subject].name
        return self.asked.links[subject].name if subject in self.asked.links else self.rules.name(subject)

    def length(self, length_mm: float) -> str:
        """A length in the owner's units."""
        return self.rules.length(length_mm)

    def shift_words(self, by_mm: Vec) -> str:
        """A shift in words: "120 mm rearwards and 40 mm up"."""
        return shift_words(by_mm, self.length) or "no way at all"


def outcome_of(
    vehicle: Vehicle, job: Job, catalog: Catalog, asked: Asked, search: HomeSearch, answer: Arrangement
) -> Outcome:
    """Work out the fate of every link in a chosen arrangement.

    A stiff link whose new run meets a part that could itself have moved was not weighed in the choice: its price is
    added, and the answer is then only the best found.
    """
    rows = search.links.facts
    moved = settled(answer.placed, search.base, asked.fixed)
    links: dict[str, LinkOutcome] = {}
    uncounted = 0
    for link in asked.links.values():
        if any(e.component not in answer.placed for e in link.ends):
            continue
        change = change_of(link, rows.ports_before(link), rows.ports_in(link, answer.placed))
        run = rows.run(link)
        near = answer.placed if link.id in asked.links_new else moved
        hit_by = tuple(i for i, p in near.items() if search.rules.link_hit(link, run, p))
        swings = change.fate is Fate.ADJUST and rows.swings_into(link, answer.placed, answer.placed.values())
        fate = Fate.REMAKE if hit_by or swings else change.fate
        links[link.id] = LinkOutcome(fate=fate, change=change, hit_by=hit_by)
        if swings and not hit_by and not rows.swings_into(link, answer.placed, rows.standing):
            uncounted += rows.cost(link, Fate.REMAKE) - rows.cost(link, Fate.ADJUST)
    if uncounted:
        answer = replace(answer, cost=answer.cost + uncounted, proof=Proof.FOUND)
    return Outcome(
        vehicle=vehicle,
        job=job,
        catalog=catalog,
        asked=asked,
        rules=search.rules,
        base=search.base,
        answer=answer,
        links=links,
    )


def disturbed_effect(book: EffectBook, subject: str) -> str:
    """Id of the effect that a part, link or cut already has, "" (the job) when it has none."""
    for kind in _STRONGEST:
        key = effect_id(kind, subject)
        if book.has(key):
            return key
    return ""


_STRONGEST = (
    EffectKind.NEW,
    EffectKind.GONE,
    EffectKind.MOVES,
    EffectKind.GROWS,
    EffectKind.CUT,
    EffectKind.REMADE,
    EffectKind.OFF_AND_BACK,
    EffectKind.ADJUSTED,
)


def is_carried(part: Component, placed: dict[str, Placed], base: dict[str, Placed]) -> bool:
    """Whether the part's host has gone to another place too."""
    host = part.mounted_on
    return host in placed and host in base and placed[host].part.pose != base[host].part.pose


def links_at(links: dict[str, Link], component: str) -> list[Link]:
    """The links that join a component."""
    return [k for k in links.values() if component in {e.component for e in k.ends}]
