"""The list of spots below the drawing: one line a spot on the paper, every clash in the text twin."""

from __future__ import annotations

from collections.abc import Sequence

from planner.draw.lettering import text_width_mm
from planner.draw.numbering import NumberedSpot
from planner.draw.scene import NOW
from planner.draw.setting import LINE_MM, MARGIN_MM, SPOT_COLUMNS, SPOT_LEGEND_MM, Setting
from planner.draw.sheet import Clash, Point, SpotEntry, Trace
from planner.draw.spots import Fold, Meeting
from planner.model.shapes import Vec
from planner.units import format_length

SPOT_WIDE_MM = 200.0
SYMBOL_MM = 9.0
"""Room for the sign before the words of the legend."""
_APART_MM = 8.0


def spot_entries(
    folds: Sequence[Fold], spots: Sequence[NumberedSpot], placeless: Sequence[Meeting], setting: Setting, units: str
) -> tuple[SpotEntry, ...]:
    """The spots in the order of their numbers, then the clashes of which no place is known."""
    lines = max(1, -(-len(folds) // SPOT_COLUMNS))
    top = setting.spots_y + SPOT_LEGEND_MM
    found = [
        SpotEntry(
            number=spot.number,
            clash=fold.worst.clash,
            text=fold.worst.head + (f"; {len(fold.others)} more here" if fold.others else ""),
            told=tuple((m.told, place_words(m.at_mm, units)) for m in (fold.worst, *fold.others)),
            at=(MARGIN_MM + (n // lines) * SPOT_WIDE_MM, top + (n % lines + 1) * LINE_MM - 1.0),
        )
        for n, (fold, spot) in enumerate(zip(folds, spots, strict=True))
    ]
    found += [SpotEntry(number=0, clash=m.clash, text=m.head, told=((m.told, ""),)) for m in placeless]
    return tuple(found)


def place_words(at_mm: Vec | None, units: str) -> str:
    """A place by its three coordinates; empty for none."""
    if at_mm is None:
        return ""
    return ", ".join(f"{axis} {format_length(v, units)}" for axis, v in zip("xyz", at_mm, strict=True))


def legend_of_spots(
    worst: Sequence[Meeting], setting: Setting, *, has_job: bool
) -> tuple[tuple[Clash | Trace, Point], ...]:
    """The signs of the spots that are there, and the line of what the job puts there."""
    signs: list[Clash | Trace] = [clash for clash in Clash if clash in {m.clash for m in worst}]
    if has_job and any(m.state == NOW for m in worst):
        signs.append(Trace.NEWCOMER)
    found: list[tuple[Clash | Trace, Point]] = []
    left = MARGIN_MM
    for sign in signs:
        found.append((sign, (left, setting.spots_y + SPOT_LEGEND_MM - 1.8)))
        words = sign.words if isinstance(sign, Clash) else sign.value
        left += SYMBOL_MM + 4.0 + text_width_mm(words) + _APART_MM
    return tuple(found)
