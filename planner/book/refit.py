"""The order in which things go back, with their bags: for the day when only one page is at hand."""

from __future__ import annotations

from dataclasses import dataclass

from planner.book.bags import Bag
from planner.book.sessions import SessionPage, StepLine


@dataclass(frozen=True, slots=True, kw_only=True)
class BagLine:
    """A bag with where it is filled and emptied, by the numbers of the steps."""

    bag: Bag
    off_day: str
    back_number: int | None
    back_day: str


def refit_of(sessions: tuple[SessionPage, ...]) -> tuple[tuple[StepLine, str], ...]:
    """Every step that puts a part on or leaves a condition's circuit whole, with its day."""
    return tuple((s, page.day) for page in sessions for s in page.steps if s.sort == "on" and not _is_state(s))


def _is_state(step: StepLine) -> bool:
    return step.key.startswith("state:")


def bag_lines(bags: tuple[Bag, ...], sessions: tuple[SessionPage, ...]) -> tuple[BagLine, ...]:
    """All bags, by number."""
    at = {s.slot: (s.number, page.day) for page in sessions for s in page.steps}
    return tuple(
        BagLine(
            bag=b,
            off_day=at[b.slot][1],
            back_number=at[b.back][0] if b.back is not None else None,
            back_day=at[b.back][1] if b.back is not None else "",
        )
        for b in sorted(bags, key=lambda b: b.number)
    )
