"""What to buy and by when, and everything to have at hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.book.facts import BookFacts
from planner.book.sessions import SessionPage
from planner.export.plan_words import is_ordered_later, lead_words, order_words, total_words
from planner.model.work import Buy
from planner.units.spoken import day_words


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyLine:
    """One line of the buying list."""

    id: str
    what: str
    price: str
    lead: str
    order_by: str
    arrives: str
    for_part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Buying:
    """The list, cheapest to forget first: in the order of the days by which to order."""

    lines: tuple[BuyLine, ...]
    total: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolLine:
    """A tool or a thing that is used up, and the sessions it is wanted in."""

    name: str
    sessions: str


def buying_of(facts: BookFacts) -> Buying:
    """The buying list."""
    answer, plan = facts.answer, facts.answer.plan
    lines = []
    for buy in sorted(answer.work.bought, key=lambda b: (plan.order_by.get(b.id, date.max), b.id)):
        last = order_words(answer, buy)
        if not last and buy.id in plan.order_by:
            last = day_words(plan.order_by[buy.id])
        here = plan.arrives.get(buy.id)
        later = is_ordered_later(answer.work, buy)
        lines.append(
            BuyLine(
                id=buy.id,
                what=buy.what,
                price=f"{buy.price:.2f}" if buy.price else "",
                lead="" if _is_at_hand(buy) else lead_words(buy),
                order_by=last.removeprefix("by "),
                arrives=day_words(here) if here is not None and buy.lead_days and not later else "",
                for_part=_for_part(facts, buy),
            )
        )
    return Buying(lines=tuple(lines), total=total_words(answer.work.bought, answer.job.currency))


def _for_part(facts: BookFacts, buy: Buy) -> str:
    """What a purchase is for, where its own words do not say so."""
    name = facts.name_of(buy.for_part) if buy.for_part else "used up" if _is_at_hand(buy) else ""
    return "" if name in buy.what else name


def _is_at_hand(buy: Buy) -> bool:
    """Whether it is used up and nobody has said that it has to be waited for."""
    return buy.used_up and not buy.lead_days


def tools_of(sessions: tuple[SessionPage, ...]) -> tuple[ToolLine, ...]:
    """Every tool and material that the steps name, by the alphabet."""
    wanted: dict[str, list[int]] = {}
    for session in sessions:
        for tool in session.tools:
            wanted.setdefault(tool, []).append(session.number)
    return tuple(ToolLine(name=t, sessions=", ".join(map(str, wanted[t]))) for t in sorted(wanted, key=str.casefold))
