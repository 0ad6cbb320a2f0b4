"""Sizes measured since a plan was agreed: whether it holds with them, and what waits until that is clear."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.log import Fits, SizeLine
from planner.model.standing import Agreed, Standing
from planner.model.words import Work
from planner.model.work import Task, Toggle
from planner.units.spoken import day_words

MAKES = frozenset(
    {
        Work.MARKING,
        Work.DRILLING,
        Work.CUTTING,
        Work.BENDING,
        Work.WELDING,
        Work.DRESSING,
        Work.ROUTING,
    }
)
"""Work that makes a thing to sizes: it waits until the plan holds with those that were measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the agreed plan is worth with the sizes of the log; ``line`` is the last that was measured."""

    fits: Fits
    line: SizeLine | None = None

    @property
    def stops(self) -> bool:
        """Whether nothing may be made to the agreed plan."""
        return self.fits is not Fits.HOLDS

    @property
    def short(self) -> str:
        """The same in a few words."""
        if self.line is None:
            return "the sizes of the log are not those of the agreed plan"
        what = "leaves no place" if self.fits is Fits.NO_PLACE else "is not what the agreed plan rests on"
        return f"{self.line.size} as measured {what}"

    @property
    def words(self) -> str:
        """The same in a sentence."""
        if self.line is None:
            return "the agreed plan was not looked at with the sizes that the log has now"
        measured = f"{self.line.size}, measured as {self.line.value} on {day_words(self.line.at)}"
        why = f": {self.line.told[0]}" if self.line.told else ""
        if self.fits is Fits.NO_PLACE:
            return f"{measured}, leaves no place{why}"
        if self.fits is Fits.CHANGED:
            return f"with {measured}, the agreed plan does not hold{why}"
        return f"with {measured}, the agreed plan holds"


def look_of(agreed: Agreed, standing: Standing) -> Look | None:
    """What is known of the agreed plan with the sizes of the log; None when it was made with them."""
    if standing.sizes == made_with(agreed, standing):
        return None
    since = [e for e in standing.since if isinstance(e, SizeLine)]
    last = since[-1] if since else None
    if last is None or last.beside != standing.sizes or last.fits is Fits.UNKNOWN:
        return Look(fits=Fits.UNKNOWN)
    return Look(fits=last.fits, line=last)


def made_with(agreed: Agreed, standing: Standing) -> dict[str, str]:
    """Sizes of the log that the agreed plan was made with."""
    return _before(standing) if agreed.sizes is None else agreed.sizes


def _before(standing: Standing) -> dict[str, str]:
    """Sizes that were in the log when the last plan was agreed, as far as they still count."""
    begun = standing.begun_by
    return {e.size: e.value for e in standing.entries if isinstance(e, SizeLine) and e.n < begun}


def answered_by_tape(agreed: Agreed, standing: Standing) -> frozenset[str]:
    """Ids of questions that are none any more with the sizes measured since the plan was agreed."""
    look = look_of(agreed, standing)
    return frozenset() if look is None or look.line is None or look.stops else frozenset(look.line.answers)


def waits_for_look(piece: Task | Toggle | None, look: Look | None) -> bool:
    """Whether a step makes something to sizes with which the agreed plan is not known to hold."""
    makes = isinstance(piece, Task) and piece.work in MAKES and piece.checkpoint is None
    return makes and look is not None and look.stops
