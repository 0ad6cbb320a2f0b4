"""Homes that need not be offered, because another thing to do with the part costs no more and bars no more.

In one choice among listed options a home may be left out when another option of the same part costs no more, hits only
what the home hits as well, and does no more to any link: whatever is chosen with the home can be chosen with the other
one instead. The least cost stays the same, and the model becomes a fraction of its size.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

import numpy as np

from planner.knockon.options import Option, Sort
from planner.knockon.roll import Bools

Pairs = Mapping[tuple[str, str], Bools]
"""For two parts, in the order of their ids, which options of the first conflict with which of the second."""


def worth_offering(
    options: Mapping[str, Sequence[Option]],
    clashes: Pairs,
    effects: Mapping[str, Sequence[Bools]],
    possible: Mapping[str, Bools],
    frozen: Collection[str],
    *,
    fates_differ: bool,
) -> dict[str, Bools]:
    """Which options of each part are to be offered.

    Parameters
    ----------
    options, clashes
        The options listed and their conflicts.
    effects
        For each part, tables of truth values (options, k): a true value is something that is never better than a
        false one in the same column (a link made anew, a run that is hit).
    possible
        Which options of each part may be taken at all; the others are left for the model to rule out.
    frozen
        Parts of which nothing is left out.
    fates_differ : bool
        Whether it matters into which space a part goes.
    """
    kept = {part: np.ones(len(several), dtype=bool) for part, several in options.items()}
    counting = {part: mask.copy() for part, mask in possible.items()}
    hosts = {o.needs.part for several in options.values() for o in several if o.needs is not None}
    for part in sorted(options, key=lambda p: (-len(options[p]), p)):
        if part in frozen or part in hosts:
            continue
        tables = [*_against(part, counting, clashes), *effects.get(part, ())]
        bars = np.concatenate([np.zeros((len(options[part]), 0), dtype=bool), *tables], axis=1)
        bits = np.packbits(bars, axis=1)
        kept[part] = _cheapest(options[part], bits, possible[part], fates_differ=fates_differ)
        counting[part] &= kept[part]
    return kept


def _against(part: str, counting: Mapping[str, Bools], clashes: Pairs) -> Iterator[Bools]:
    """Conflicts of a part with the options of each other part that may be taken and are still offered."""
    for (p, q), table in clashes.items():
        if p == part:
            yield table[:, counting[q]]
        elif q == part:
            yield table.T[:, counting[p]]


def _cheapest(options: Sequence[Option], bars: np.ndarray, possible: Bools, *, fates_differ: bool) -> Bools:
    """Which options of one part are kept; ``bars`` (options, bytes) are bits of what each brings about."""
    kept = np.ones(len(options), dtype=bool)
    groups: dict[str, _Best] = {}
    for i in _by_price(options):
        option = options[i]
        if option.sort is not Sort.HOME:
            if option.sort is Sort.STAY and possible[i] and not fates_differ:
                groups.setdefault("", _Best(bars.shape[1])).take(bars[i])
            continue
        best = groups.setdefault(option.space if fates_differ else "", _Best(bars.shape[1]))
        kept[i] = not best.covers(bars[i])
        if kept[i] and option.needs is None:
            best.take(bars[i])
    return kept


def _by_price(options: Sequence[Option]) -> Iterable[int]:
    return sorted(range(len(options)), key=lambda i: (options[i].cost, i))


class _Best:
    """What the options taken so far, all cheaper, bring about."""

    def __init__(self, width: int) -> None:
        self._rows = np.zeros((16, width), dtype=np.uint8)
        self._count = 0
        self._same: set[bytes] = set()

    def covers(self, row: np.ndarray) -> bool:
        """Whether one of them brings about nothing that this one does not."""
        return row.tobytes() in self._same or bool((~(self._rows[: self._count] & ~row).any(axis=1)).any())

    def take(self, row: np.ndarray) -> None:
        """Add one."""
        if self._count == len(self._rows):
            self._rows = np.concatenate([self._rows, np.zeros_like(self._rows)])
        self._rows[self._count] = row
        self._count += 1
        self._same.add(row.tobytes())
