"""What has to be bought, and which fitting waits for it."""

from __future__ import annotations

from planner.knockon import template_for
from planner.model.catalog import When
from planner.model.effects import Effect, EffectKind
from planner.model.vehicle import Component, Link
from planner.model.work import Buy
from planner.units import format_length
from planner.work.bodies import Ground


def buying_list(ground: Ground) -> dict[str, Buy]:
    """Purchases of the job, bought parts and material for made parts and links, by id.

    A link takes material whether or not anybody has said what it costs: it is on the list, unless a purchase of the
    job's own is for it. What a part made at home is made of is on it when it has a price or a lead; what others make or
    alter is on it in any case.
    """
    found: dict[str, Buy] = {}
    own = {purchase.for_part for purchase in ground.job.purchases}
    for effect in ground.knockons.effects:
        if effect.kind not in {EffectKind.NEW, EffectKind.REMADE, EffectKind.GROWS}:
            continue
        part = ground.part(effect.subject)
        if part.price > 0 or part.lead_days > 0 or part.lead_told or _is_bought(ground, part, effect, own):
            found[f"buy:{part.id}"] = Buy(
                id=f"buy:{part.id}",
                what=_what(ground, part, effect),
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


def _is_bought(ground: Ground, part: Component | Link, effect: Effect, own: set[str | None]) -> bool:
    if isinstance(part, Link):
        return part.id not in own
    if effect.kind is EffectKind.NEW and part.make_min is None:
        return True
    return by_others(ground, part) or (effect.kind is EffectKind.REMADE and part.make_min is None)


def by_others(ground: Ground, part: Component | Link) -> bool:
    """Whether a part or link of its kind is made or altered by somebody else."""
    when = When.LINK_MADE if isinstance(part, Link) else When.MADE
    template = template_for(ground.catalog, when, part.kind, part.group)
    return template is not None and any(step.away for step in template.steps)


def _what(ground: Ground, part: Component | Link, effect: Effect) -> str:
    """What to ask for; of a link whose run was found how much of what, with what its ends take."""
    if isinstance(part, Component):
        if by_others(ground, part) and effect.kind is EffectKind.GROWS:
            return f"{part.name}, made larger"
        if by_others(ground, part) and part.make_min is not None:
            return f"{part.name}, made to the drawing"
        at_home = part.make_min is not None or effect.kind is EffectKind.GROWS
        return f"material for {part.name}" if at_home else part.name
    run, kind = ground.knockons.runs.get(part.id), ground.catalog.link_kinds.get(part.kind)
    elsewhere = by_others(ground, part)
    what = f"{part.name}, made to measure" if elsewhere else f"material for {part.name}"
    if run is None or kind is None:
        return what
    length = format_length(round(run.cut_mm), ground.vehicle.units)
    return f"{what}: {'about ' if elsewhere else ''}{length} of {kind.name}"


def arrivals(ground: Ground, buys: dict[str, Buy]) -> dict[str, tuple[str, ...]]:
    """Body -> purchases that must be here before it is first fitted."""
    found: dict[str, tuple[str, ...]] = {}
    for body, item in ground.handled.items():
        waits = tuple(b.id for b in buys.values() if b.for_part == item.subject)
        if item.goal and waits:
            found[body] = waits
    return found
