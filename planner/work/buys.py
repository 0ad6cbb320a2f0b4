"""What has to be bought, and which fitting waits for it."""

from __future__ import annotations

from planner.model.effects import EffectKind
from planner.model.vehicle import Component, Link
from planner.model.work import Buy
from planner.units import format_length
from planner.work.bodies import Ground


def buying_list(ground: Ground) -> dict[str, Buy]:
    """Purchases of the job, bought parts and material for made parts and links, by id.

    A link takes material whether or not anybody has said what it costs: it is on the list, unless a purchase of the
    job's own is for it. What a part made at home is made of is on it when it has a price or a lead.
    """
    found: dict[str, Buy] = {}
    own = {purchase.for_part for purchase in ground.job.purchases}
    for effect in ground.knockons.effects:
        if effect.kind not in {EffectKind.NEW, EffectKind.REMADE}:
            continue
        part = ground.part(effect.subject)
        is_bought = part.id not in own if isinstance(part, Link) else part.make_min is None
        if part.price > 0 or part.lead_days > 0 or is_bought:
            found[f"buy:{part.id}"] = Buy(
                id=f"buy:{part.id}",
                what=_what(ground, part),
                price=part.price,
                lead_days=part.lead_days,
                lead_told=part.lead_told or part.lead_days > 0,
                for_part=part.id,
            )
    for purchase in ground.job.purchases:
        found[purchase.id] = Buy(
            id=purchase.id,
            what=purchase.what,
            price=purchase.price,
            lead_days=purchase.lead_days,
            lead_told=purchase.lead_told or purchase.lead_days > 0,
            for_part=purchase.for_part or "",
        )
    return found


def _what(ground: Ground, part: Component | Link) -> str:
    """What to ask for; of a link whose run was found how much of what, with what its ends take."""
    if isinstance(part, Component):
        return part.name if part.make_min is None else f"material for {part.name}"
    run, kind = ground.knockons.runs.get(part.id), ground.catalog.link_kinds.get(part.kind)
    if run is None or run.advised or kind is None:
        return f"material for {part.name}"
    return f"material for {part.name}: {format_length(round(run.cut_mm), ground.vehicle.units)} of {kind.name}"


def arrivals(ground: Ground, buys: dict[str, Buy]) -> dict[str, tuple[str, ...]]:
    """Body -> purchases that must be here before it is first fitted."""
    found: dict[str, tuple[str, ...]] = {}
    for body, item in ground.handled.items():
        waits = tuple(b.id for b in buys.values() if b.for_part == item.subject)
        if item.goal and waits:
            found[body] = waits
    return found
