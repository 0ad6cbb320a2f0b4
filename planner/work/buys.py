"""What has to be bought, and which fitting waits for it."""

from __future__ import annotations

from planner.model.effects import EffectKind
from planner.model.vehicle import Component, Link
from planner.model.work import Buy
from planner.work.bodies import Ground


def buying_list(ground: Ground) -> dict[str, Buy]:
    """Purchases of the job, bought parts and material for made parts and links, by id."""
    found: dict[str, Buy] = {}
    for effect in ground.knockons.effects:
        if effect.kind not in {EffectKind.NEW, EffectKind.REMADE}:
            continue
        part = ground.part(effect.subject)
        if part.price > 0 or part.lead_days > 0 or (isinstance(part, Component) and part.make_min is None):
            found[f"buy:{part.id}"] = Buy(
                id=f"buy:{part.id}",
                what=_what(part),
                price=part.price,
                lead_days=part.lead_days,
                for_part=part.id,
            )
    for purchase in ground.job.purchases:
        found[purchase.id] = Buy(
            id=purchase.id,
            what=purchase.what,
            price=purchase.price,
            lead_days=purchase.lead_days,
            for_part=purchase.for_part or "",
        )
    return found


def _what(part: Component | Link) -> str:
    made = isinstance(part, Link) or part.make_min is not None
    return f"material for {part.name}" if made else part.name


def arrivals(ground: Ground, buys: dict[str, Buy]) -> dict[str, tuple[str, ...]]:
    """Body -> purchases that must be here before it is first fitted."""
    found: dict[str, tuple[str, ...]] = {}
    for body, item in ground.handled.items():
        waits = tuple(b.id for b in buys.values() if b.for_part == item.subject)
        if item.goal and waits:
            found[body] = waits
    return found
