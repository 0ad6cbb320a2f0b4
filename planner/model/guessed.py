"""Sizes that nobody has measured: how a file shows them, and what rests on them."""

from __future__ import annotations

from planner.model.effects import EffectKind, Knockons
from planner.model.shapes import Box, Cylinder, Solid
from planner.model.vehicle import Component

GUESSED_SHARE = 0.15
"""A size in doubt by so much of itself was not measured (starting guess): `new` writes a fifth where it guesses one."""
SIZE = ".size"
"""What the question of a guessed size, and the step that measures it, are called behind the part's id."""
_MADE = frozenset(
    {
        EffectKind.NEW,
        EffectKind.MOVES,
        EffectKind.GROWS,
        EffectKind.CUT,
        EffectKind.REMADE,
        EffectKind.ADJUSTED,
    }
)


def size_is_guessed(part: Component) -> bool:
    """Whether a solid of the part is in doubt by so much of its largest size that nobody can have measured it."""
    return any(_is_guess(solid) for solid in part.solids)


def resting_on_guess(knockons: Knockons, part: str) -> frozenset[str]:
    """Ids of what is moved, made or cut because of a new part, through any number of others, the part among them."""
    found = {effect_id for effect_id, subject in _made(knockons) if subject == part}
    while True:
        more = {e.id for e in knockons.effects if e.id not in found and any(c.source in found for c in e.causes)}
        if not more:
            break
        found |= more
    return frozenset(subject for effect_id, subject in _made(knockons) if effect_id in found)


def _made(knockons: Knockons) -> list[tuple[str, str]]:
    return [(e.id, e.subject) for e in knockons.effects if e.kind in _MADE]


def _is_guess(solid: Solid) -> bool:
    if isinstance(solid, Box):
        most_mm = max(solid.size_mm)
    elif isinstance(solid, Cylinder):
        most_mm = max(solid.across_mm, solid.length_mm)
    else:
        return False
    return solid.doubt_mm >= GUESSED_SHARE * most_mm > 0.0
