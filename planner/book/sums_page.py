"""The sums with their margins, and what they rest on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from planner.book.facts import BookFacts
from planner.model.sums import SumLine, Verdict
from planner.sums.basis import JUDGEMENT
from planner.sums.told import MARKS, limit_words, margin_words, value_words

_APART = re.compile(r"; (?![^()]*\))")
"""Between two sources, but not within the brackets of one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SumRow:
    """One sum in words; ``bad`` marks one that fails or is close to its limit."""

    title: str
    value: str
    limit: str
    margin: str
    verdict: str
    note: str
    bad: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SumGroup:
    """The sums about one thing."""

    about: str
    rows: tuple[SumRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SumsPage:
    """All sums, with what is taken for granted, what they do not cover and where they are from."""

    groups: tuple[SumGroup, ...]
    limits: tuple[str, ...]
    assumed: tuple[str, ...]
    not_covered: tuple[str, ...]
    sources: tuple[str, ...]
    judgement: str


def sums_page_of(facts: BookFacts) -> SumsPage:
    """The page of sums; without any when the files describe nothing to reckon with."""
    lines = facts.sums
    known = [x for x in lines if x.value is not None]
    groups = (
        SumGroup(about=facts.thing(about), rows=tuple(_row(facts, x) for x in group))
        for about, group in groupby(lines, key=lambda x: x.about)
    )
    return SumsPage(
        groups=tuple(groups),
        limits=_each((x.limit,) for x in known),
        assumed=_each(x.assumed for x in known),
        not_covered=_each(x.not_covered for x in known),
        sources=_each(tuple(_APART.split(x.source)) for x in known),
        judgement=JUDGEMENT,
    )


def _row(facts: BookFacts, line: SumLine) -> SumRow:
    missing = f"give {', '.join(map(facts.figure, line.missing))}" if line.missing else ""
    units = facts.units
    return SumRow(
        title=facts.named(line.title),
        value=value_words(line, units),
        limit=limit_words(line, units),
        margin=margin_words(line, units),
        verdict=MARKS[line.verdict].strip(),
        note=facts.named("; ".join(dict.fromkeys(filter(None, (line.note, missing))))),
        bad=line.verdict in {Verdict.CLOSE, Verdict.FAILS},
    )


def _each(many: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(word for words in many for word in words if word))
