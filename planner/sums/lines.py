"""One line of the sheet from a sum, its limits and its basis: with the doubt, the margin and the verdict."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from planner.model.sums import SumLine, Verdict
from planner.sums.basis import Basis
from planner.sums.doubtful import Known, Sum, Values, spread
from planner.sums.lever import LeverError

CLOSE_SHARE = 0.05
"""Within so much of a limit a figure is close to it."""
PRACTICE_SHARE = 0.1
"""Common practice is no law: outside it by so much of the limit is still close."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A sum to be made. ``low`` and ``high`` are its limits, worked out from the same figures.

    ``practice``: the limit is common practice rather than published or a matter of fact.
    """

    id: str
    about: str
    title: str
    unit: str
    needs: tuple[str, ...]
    work: Sum
    basis: Basis
    low: Sum | float | None = None
    high: Sum | float | None = None
    limit: str = ""
    practice: bool = False
    never_below: float | None = None
    """What it cannot be less than, whatever the doubt."""
    note: str = ""


def line_of(asked: Asked, known: Known) -> SumLine:
    """Make a sum."""
    missing = known.missing(asked.needs)
    if missing:
        return replace(_line(asked, Verdict.UNKNOWN, note="give " + ", ".join(missing)), missing=missing)
    try:
        value, least, most = spread(asked.work, known, asked.needs)
        low, high = (_limit(side, known.values()) for side in (asked.low, asked.high))
        _, margin_least, _ = spread(_margin(asked), known, asked.needs)
    except (LeverError, ValueError, ZeroDivisionError) as error:
        return _line(asked, Verdict.UNKNOWN, note=f"it cannot be worked out: {error}")
    if not math.isfinite(value):
        return _line(asked, Verdict.UNKNOWN, note="it cannot be worked out: it has no end")
    if asked.never_below is not None:
        least = max(least, asked.never_below)
    margin = _margin(asked)(known.values())
    sided = low is not None or high is not None
    verdict = _verdict(margin, margin_least, _scale(low, high), practice=asked.practice) if sided else Verdict.TOLD
    return replace(
        _line(asked, verdict, note=asked.note),
        value=value,
        least=least if math.isfinite(least) else None,
        most=most if math.isfinite(most) else None,
        low=low,
        high=high,
        margin=margin if sided else None,
    )


def _limit(side: Sum | float | None, values: Values) -> float | None:
    return side(values) if callable(side) else side


def _margin(asked: Asked) -> Callable[[Values], float]:
    """How far inside its limits it lies; infinite without any."""

    def margin(values: Values) -> float:
        value, low, high = asked.work(values), _limit(asked.low, values), _limit(asked.high, values)
        return min(
            math.inf if low is None else value - low,
            math.inf if high is None else high - value,
        )

    # Infinite margins would make their own doubt no number.
    return margin if asked.low is not None or asked.high is not None else lambda _: 0.0


def _scale(low: float | None, high: float | None) -> float:
    return max(abs(side) for side in (low, high) if side is not None)


def _verdict(margin: float, margin_least: float, scale: float, *, practice: bool) -> Verdict:
    if margin < 0.0:
        return Verdict.CLOSE if practice and -margin <= PRACTICE_SHARE * scale else Verdict.FAILS
    return Verdict.CLOSE if margin_least < 0.0 or margin < CLOSE_SHARE * scale else Verdict.FINE


def _line(asked: Asked, verdict: Verdict, *, note: str) -> SumLine:
    """A line without a figure."""
    return SumLine(
        id=asked.id,
        about=asked.about,
        title=asked.title,
        unit=asked.unit,
        verdict=verdict,
        limit=asked.limit,
        note=note,
        assumed=asked.basis.assumed,
        not_covered=asked.basis.not_covered,
        source=asked.basis.source,
    )
