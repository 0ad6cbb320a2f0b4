"""Published sizes of people: a length for a percentile, and what it was made of in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist

from planner.model.catalog import BodySize, Measure, Person

_NORMAL = NormalDist()
_SUFFIX = {1: "st", 2: "nd", 3: "rd"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A length of one size of person; ``between`` names the printed percentiles it lies between, if it is not one."""

    mm: float
    between: tuple[float, float] | None
    source: str


def printed(size: BodySize) -> tuple[tuple[float, float], ...]:
    """The printed (percentile, mm) of a table, lowest first."""
    rows = ((1.0, size.p1_mm), (5.0, size.p5_mm), (50.0, size.p50_mm), (95.0, size.p95_mm), (99.0, size.p99_mm))
    return tuple((p, mm) for p, mm in rows if mm is not None)


def table_for(sizes: Mapping[str, BodySize], what: Measure, person: Person) -> BodySize | None:
    """The table of a measure for a person's sex, None when the catalog has none."""
    return next((s for s in sizes.values() if s.what is what and s.of is person.sex), None)


def length_of(size: BodySize, percentile: float) -> Found | None:
    """A person's length: as printed, or between the two nearest printed percentiles along the normal curve.

    None beyond the outermost printed percentiles: the tails of a table are not guessed.
    """
    rows = printed(size)
    for p, mm in rows:
        if p == percentile:
            return Found(mm=mm, between=None, source=size.source)
    for (low, low_mm), (high, high_mm) in pairwise(rows):
        if low < percentile < high:
            z_low, z, z_high = (_NORMAL.inv_cdf(p / 100.0) for p in (low, percentile, high))
            mm = low_mm + (high_mm - low_mm) * (z - z_low) / (z_high - z_low)
            return Found(mm=mm, between=(low, high), source=size.source)
    return None


def ordinal(number: float) -> str:
    """A percentile as it is said: 5th, 22nd, 97.5th."""
    if number != int(number):
        return f"{number:g}th"
    whole = int(number)
    teen = whole % 100 in {11, 12, 13}
    return f"{whole}{'th' if teen else _SUFFIX.get(whole % 10, 'th')}"


def person_words(person: Person) -> str:
    """A size of person in words: "5th percentile woman"."""
    return f"{ordinal(person.percentile)} percentile {person.sex}"
