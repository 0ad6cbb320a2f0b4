"""The whole book: every page worked out, then set into one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import replace
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from planner.book.bags import bags_of
from planner.book.buying import buying_of, tools_of
from planner.book.checks import Check, checks_in
from planner.book.cover import cover_of
from planner.book.facts import BookFacts, Paper
from planner.book.knockon_tree import decisions_of, knockons_of
from planner.book.labels import QR_MM, labels_of, sheet_of
from planner.book.making import making_for, making_of
from planner.book.pictures import drawings_of, pictures_of
from planner.book.refit import bag_lines, refit_of
from planner.book.road import doubts_of, gates_of
from planner.book.sessions import held_in, sessions_of, standing_of
from planner.book.sums_page import sums_page_of
from planner.export.plan_words import DEFER, clean
from planner.model.steps import thing_of

_SIZES = {Paper.ANY: ("", "landscape"), Paper.A4: ("A4", "A4 landscape"), Paper.LETTER: ("letter", "letter landscape")}


def book_page(facts: BookFacts) -> str:
    """The job book of a plan as one HTML file: the same bytes for the same plan."""
    return page_environment().get_template("book.html").render(_pages(facts))


def session_page(facts: BookFacts, number: int) -> str:
    """What one session of the book is worked from, as one HTML file: its steps, its checkpoint and its making sheets.

    Parameters
    ----------
    facts : BookFacts
    number : int
        That of the session in the book, from 1.

    Raises
    ------
    IndexError
        The book has no such session.
    """
    bags = bags_of(facts)
    every = sessions_of(facts, bags)
    if not 1 <= number <= len(every):
        raise IndexError(number)
    session, checks = every[number - 1], checks_in(facts)
    slots = {step.slot for step in session.steps}
    steps = [facts.answer.plan.slots[n].step for n in sorted(slots)]
    things = {thing_of(step.ref) if step.on is None else facts.answer.work.features[step.ref].subject for step in steps}
    pages = {
        "sessions": (session,),
        "of": len(every),
        "standing": standing_of(facts, min(slots)),
        "checks": tuple(_made_in(checks, slots)),
        "making": making_for(facts, things),
        "held": held_in(facts, sorted(slots)),
        "open": sum(c.open for c in checks),
    }
    return page_environment().get_template("session.html").render({**_frame(facts), **pages})


def _made_in(checks: tuple[Check, ...], slots: AbstractSet[int]) -> Iterator[Check]:
    """Checkpoints that some steps make, with the blanks of those steps alone."""
    for check in checks:
        blanks = tuple(b for b in check.blanks if b.slot in slots)
        if blanks:
            yield replace(check, blanks=blanks)


def _frame(facts: BookFacts) -> dict[str, Any]:
    """What every page file reads, whatever pages it has."""
    size, wide = _SIZES[facts.paper]
    return {
        "cover": cover_of(facts),
        "sheet": sheet_of(facts),
        "defer": DEFER,
        "store": facts.ticks,
        "paper_size": size,
        "paper_wide": wide,
    }


def _pages(facts: BookFacts) -> dict[str, Any]:
    """Everything that the templates read, by name."""
    bags = bags_of(facts)
    checks = checks_in(facts)
    sessions = sessions_of(facts, bags)
    # One that begins with the name of its step is about that step alone, and stands there.
    every = (c.text for s in sessions for step in s.steps for c in step.cautions if c.told_at is None)
    cautions = (text for text in every if not text.startswith("`"))
    return {
        **_frame(facts),
        "drawings": drawings_of(facts),
        "pictures": pictures_of(facts),
        "knockons": knockons_of(facts),
        "decisions": decisions_of(facts),
        "buying": buying_of(facts),
        "currency": facts.answer.job.currency,
        "tools": tools_of(sessions),
        "sessions": sessions,
        "checks": checks,
        "making": making_of(facts),
        "refit": refit_of(sessions),
        "bags": bag_lines(bags.filled, sessions),
        "labels": labels_of(facts),
        "qr_mm": QR_MM,
        "sums": sums_page_of(facts),
        "gates": gates_of(facts, checks),
        "doubts": doubts_of(facts),
        "cautions": _longest(dict.fromkeys(cautions)),
    }


def _longest(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts without those that another of them begins with."""
    every = tuple(texts)
    return tuple(t for t in every if not any(other != t and other.startswith(t) for other in every))


def page_environment() -> Environment:
    """What sets the pages: whatever is printed is escaped, and without control characters."""
    found = Environment(
        loader=PackageLoader("planner.book"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_cleaned,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["css_string"] = css_string
    return found


def _cleaned(value: object) -> object:
    """Whatever is printed, without control characters and marks that turn the writing round."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def css_string(text: str) -> Markup:
    r"""A text as a string of a style sheet: all but plain letters and digits is told by its number.

    Examples
    --------
    >>> str(css_string('a"</style>'))
    '"a\\22 \\3c \\2f style\\3e "'
    """
    told = (c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in clean(text))
    return Markup(f'"{"".join(told)}"')  # noqa: S704  # nothing but letters, digits, backslashes and blanks is left
