"""Telling which pinned links are undone and joined again because a part at one end comes off."""

from __future__ import annotations

from planner.knockon.graph import EffectBook
from planner.knockon.link_change import Fate
from planner.knockon.outcome import Outcome, disturbed_effect
from planner.knockon.scene import NEW, Item
from planner.knockon.tell_strip import Stripping
from planner.model.effects import Cause, CauseKind, EffectKind
from planner.model.vehicle import Component, Link


def tell_joints(out: Outcome, strip: Stripping, book: EffectBook) -> None:
    """An effect on each link that stays, is undone by hand, and is joined to something that does not stay in place.

    What both its ends come off with may come off with the link on it.
    """
    for link in sorted(out.links):
        if link in out.vehicle.links and not {link, link + NEW} & strip.access.keys():
            _tell(out, strip, out.asked.links[link], book)


def _tell(out: Outcome, strip: Stripping, link: Link, book: EffectBook) -> None:
    kind = out.catalog.link_kinds.get(link.kind)
    if kind is None or not kind.undo or out.links[link.id].fate is Fate.REMAKE:
        return
    pairs = zip(out.vehicle.links[link.id].ends, link.ends, strict=True)
    first, last = ({_carrier(out, strip.items, e.component) for e in pair} for pair in pairs)
    for part in sorted(first | last) if first != last else ():
        cause = disturbed_effect(book, part)
        if cause and any(i.subject == part and _goes(strip, i) for i in strip.items.values()):
            text = f"{link.name} is undone and joined again"
            why = Cause(kind=CauseKind.LINKED_TO, source=cause, text=f"it is joined to {out.name(part)}")
            book.add(EffectKind.OFF_AND_BACK, link.id, text, [why])


def _goes(strip: Stripping, item: Item) -> bool:
    return item.id in strip.off or item.present is not item.final


def _carrier(out: Outcome, items: dict[str, Item], subject: str) -> str:
    """What a part comes off with: itself, or what it rides on."""
    there = {item.subject for item in items.values()}
    parts: dict[str, Component] = {**out.vehicle.components, **{i: p.part for i, p in out.answer.placed.items()}}
    while subject not in there and parts[subject].rides and parts[subject].mounted_on is not None:
        subject = str(parts[subject].mounted_on)
    return subject
