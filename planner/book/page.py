"""The whole book: every page worked out, then set into one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from planner.book.bags import bags_of
from planner.book.buying import buying_of, tools_of
from planner.book.checks import checks_in
from planner.book.cover import cover_of
from planner.book.facts import BookFacts, Paper, Signature
from planner.book.knockon_tree import decisions_of, knockons_of
from planner.book.labels import QR_MM, labels_of
from planner.book.making import making_of
from planner.book.pictures import drawings_of, pictures_of
from planner.book.refit import bag_lines, refit_of
from planner.book.road import doubts_of, gates_of
from planner.book.sessions import sessions_of
from planner.book.sums_page import sums_page_of
from planner.export.plan_words import DEFER, clean
from planner.model.answer import Answer
from planner.model.steps import step_keys
from planner.model.sums import SumLine

_SIZES = {Paper.ANY: ("", "landscape"), Paper.A4: ("A4", "A4 landscape"), Paper.LETTER: ("letter", "letter landscape")}


def book_page(
    answer: Answer,
    *,
    keys: tuple[str, ...] | None = None,
    sums: tuple[SumLine, ...] = (),
    fluids: Mapping[str, str] | None = None,
    bags: Mapping[str, int] | None = None,
    signed: Mapping[str, Signature] | None = None,
    paper: Paper = Paper.ANY,
) -> str:
    """The job book of a plan as one HTML file: the same bytes for the same plan.

    Parameters
    ----------
    answer : Answer
    keys : tuple of str, optional
        Step key of each slot; of a plan that begins the job when left out.
    sums : tuple of SumLine
        As the vehicle is when the job is done.
    fluids : mapping of circuit to words, optional
        What each circuit is filled with.
    bags : mapping of part to int, optional
        Number of the bag of each part that came off before this plan begins.
    signed : mapping of checkpoint to Signature, optional
        What was written down about checkpoints before this plan begins.
    paper : Paper
    """
    facts = BookFacts(
        answer=answer,
        keys=step_keys(answer.plan.slots) if keys is None else keys,
        sums=sums,
        fluids=fluids or {},
        bags=bags or {},
        signed=signed or {},
        paper=paper,
    )
    return _environment().get_template("book.html").render(_pages(facts))


def _pages(facts: BookFacts) -> dict[str, Any]:
    """Everything that the templates read, by name."""
    bags = bags_of(facts)
    checks = checks_in(facts)
    sessions = sessions_of(facts, bags)
    size, wide = _SIZES[facts.paper]
    cautions = (c.text for s in sessions for step in s.steps for c in step.cautions if c.told_at is None)
    return {
        "cover": cover_of(facts),
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
        "cautions": tuple(dict.fromkeys(cautions)),
        "defer": DEFER,
        "store": facts.ticks,
        "paper_size": size,
        "paper_wide": wide,
    }


def _environment() -> Environment:
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
