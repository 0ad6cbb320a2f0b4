"""What a job leaves open: ports that nothing joins any more, pedals without a rod, circuits without a part they had."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.model.effects import Effect, EffectKind
from planner.model.guessed import SIZE
from planner.model.vehicle import Vehicle


def is_left_open(effect: Effect, vehicle: Vehicle) -> bool:
    """Whether an open question is of an end that nothing joins, or of a circuit that lacks a part it had."""
    subject = effect.subject
    if effect.kind is not EffectKind.MEASURED or subject.endswith(SIZE):
        return False
    return "." in subject or subject.partition("~")[0] in vehicle.systems


def left_open(effect: Effect, effects: Mapping[str, Effect], vehicle: Vehicle) -> Iterator[tuple[str, frozenset[str]]]:
    """Give what stays open, and what goes from it, each with the kinds of the circuits that fluid runs out of."""
    gone = list(dict.fromkeys(effects[c.source].subject for c in effect.causes if c.source in effects))
    links = (vehicle.links[i].system for i in gone if i in vehicle.links)
    systems = {s for s in (*links, effect.subject.partition("~")[0]) if s in vehicle.systems}
    kinds = frozenset(vehicle.systems[s].kind for s in systems)
    stays = [effect.subject.partition(".")[0]] if "." in effect.subject else []
    yield from ((subject, kinds) for subject in (*stays, *gone))


_OPEN, _BARE = "is left with an open end", "is left with nothing joined to it"


def end_words(part: str, port: str, *, wet: bool) -> str:
    """What an end is left as: open, where fluid ran through it, else without the rod or cable that worked something."""
    return f"{part} {_OPEN if wet else _BARE} (`{port}`)"


def way_out(*, wet: bool) -> str:
    """What is done about such an end."""
    return "blank it or join it" if wet else "something else works it, or what the rod or cable pulled is taken off"


def closing_words(effect: Effect) -> str:
    """What is seen when it is looked at and in order."""
    if _BARE in effect.text:
        return "worked by something else, or taken off or tied back, or known to be right"
    return "joined or blanked, or known to be right"
