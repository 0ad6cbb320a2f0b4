"""How long each kind of work takes this person, from what the log says it took."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.model.log import DoneLine, Entry

KNOWN_BEFORE = 4.0
"""The factor known before weighs as much as so many steps by the clock (starting guess): single steps scatter about
twice as much (a factor of 1.65 either way) as people differ from each other (1.28), and 2 squared is 4."""
FURTHEST = 4.0
"""No single step counts for more than this factor either way: it was something else that took the time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paced:
    """One kind of work: ``factor`` on the catalog's minutes from ``steps`` by the clock, ``before`` without them.

    ``took_min`` and ``guess_min`` [min] are the sums of those steps, the guesses at the catalog's own pace.
    """

    work: str
    factor: float
    before: float
    steps: int
    took_min: int
    guess_min: float


def paces(entries: Iterable[Entry], before: Mapping[str, float]) -> dict[str, Paced]:
    """The factor of each kind of work, shrunk towards what was known before.

    The logarithms of took over guessed are averaged with the known factor, which counts as ``KNOWN_BEFORE`` steps.

    Parameters
    ----------
    entries : iterable of Entry
        Lines that count, of one log or of several.
    before : mapping of kind of work to float
        The job's own factors; 1 where it has none.
    """
    ratios: dict[str, list[DoneLine]] = {}
    for line in entries:
        if isinstance(line, DoneLine) and line.took_min and line.guess_min:
            ratios.setdefault(line.work, []).append(line)
    return {work: _paced(work, lines, before.get(work, 1.0)) for work, lines in sorted(ratios.items())}


def _paced(work: str, lines: list[DoneLine], before: float) -> Paced:
    logs = [_log_ratio(line) for line in lines]
    mean = (KNOWN_BEFORE * math.log(before) + sum(logs)) / (KNOWN_BEFORE + len(logs))
    return Paced(
        work=work,
        factor=round(math.exp(mean), 3),
        before=before,
        steps=len(lines),
        took_min=sum(line.took_min or 0 for line in lines),
        guess_min=sum(line.guess_min / line.pace for line in lines),
    )


def _log_ratio(line: DoneLine) -> float:
    ratio = (line.took_min or 0) / (line.guess_min / line.pace)
    return math.log(min(FURTHEST, max(1.0 / FURTHEST, ratio)))
