"""Bags of fixings: filled at the step that takes a part off, named after its number, wanted when the part goes back."""

from __future__ import annotations

from dataclasses import dataclass

from planner.book.facts import BookFacts

_STATE = ":"
"""In the id of every feature that is no part in a place: conditions, circuits, bolts tightened."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """One bag. ``number`` is that of the step which fills it; ``back`` the slot at which it is emptied, if any."""

    number: int
    subject: str
    name: str
    slot: int
    back: int | None = None
    """None: the part goes for good, or stays off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bags:
    """The bags of a plan, in the order they are filled, and the bag wanted at each slot that puts a part back."""

    filled: tuple[Bag, ...]
    wanted: dict[int, int]
    """Slot -> number of the bag."""

    def filled_at(self, slot: int) -> Bag | None:
        """The bag filled at a slot."""
        return next((b for b in self.filled if b.slot == slot), None)


def bags_of(facts: BookFacts) -> Bags:
    """Follow each part's fixings from off to back, whichever home it goes back to."""
    answer = facts.answer
    last: dict[str, int] = dict(facts.bags)
    fills: dict[int, tuple[str, int]] = {}
    back: dict[int, int] = {}
    wanted: dict[int, int] = {}
    for slot, placed in enumerate(answer.plan.slots):
        step = placed.step
        if step.on is None or _STATE in step.ref:
            continue
        subject = answer.work.features[step.ref].subject
        if not subject:
            continue
        if not step.on:
            last[subject] = answer.number(slot)
            fills[answer.number(slot)] = (subject, slot)
        elif subject in last:
            wanted[slot] = last.pop(subject)
            back[wanted[slot]] = slot
    filled = tuple(
        Bag(number=n, subject=s, name=facts.name_of(s), slot=slot, back=back.get(n)) for n, (s, slot) in fills.items()
    )
    return Bags(filled=filled, wanted=wanted)
