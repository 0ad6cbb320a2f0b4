"""What the catalog says of people: sizes as they were published."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files import Entry
from planner.files.values import Text, one_of
from planner.model.catalog import Measure, Sex
from planner.shelf.entry_values import Words

SexText = Annotated[Sex, one_of(Sex)]
MeasureText = Annotated[Measure, one_of(Measure)]
BodyMm = Annotated[float, Field(gt=0, le=3_000)]
"""No length of a human body is more."""


class BodySizeEntry(Entry):
    """One measured length of people, as printed."""

    of: SexText
    """woman or man."""
    what: MeasureText
    """What is measured."""
    count: Annotated[int, Field(gt=0)]
    """People measured."""
    mean_mm: BodyMm
    """Mean."""
    sd_mm: BodyMm
    """Standard deviation."""
    p1_mm: BodyMm | None = None
    """1st percentile, where printed."""
    p5_mm: BodyMm | None = None
    """5th percentile."""
    p50_mm: BodyMm | None = None
    """50th percentile."""
    p95_mm: BodyMm | None = None
    """95th percentile."""
    p99_mm: BodyMm | None = None
    """99th percentile."""
    source: Words = ""
    """Where the numbers come from."""


class BodyFigureEntry(Entry):
    """One published figure about the body."""

    value: Annotated[float, Field(gt=0, le=3_000)]
    """The number."""
    unit: Text
    """Its unit: mm or deg."""
    source: Words = ""
    """Where the number comes from."""
