"""Telling where nothing carries a part in its new place: it stands clear of its mounting, or has left its tray."""

from __future__ import annotations

from planner.knockon.bearing import adrift_after, adrift_words
from planner.knockon.graph import EffectBook
from planner.knockon.options import Sort
from planner.knockon.outcome import Outcome, disturbed_effect
from planner.model.effects import Cause, CauseKind, EffectKind


def tell_bearing(out: Outcome, book: EffectBook) -> None:
    """What is to carry a part is settled before anything is drilled for it."""
    parts = {i: p.part for i, p in out.answer.placed.items()}
    for found in adrift_after(out.vehicle, out.asked, parts):
        key = "onto" if found.part in out.asked.moved else "mounted_on"
        way = "" if found.nearest is None else f": if that carries it, the job says so (`{key}: {found.nearest}`)"
        _tell(out, book, found.part, found.host, f"{adrift_words(found, out.name, out.length)}{way}")
    for i, option in sorted(out.answer.chosen.items()):
        if option.sort is not Sort.HOME or i not in parts:
            continue
        before, host = out.vehicle.components[i].mounted_on, parts[i].mounted_on
        if before in (None, host) or host is None or not _bears(out, before) or _bears(out, host):
            continue
        text = (
            f"{out.name(before)} carries it now and does not go with it: nothing is said to carry it on "
            f"{out.name(host)}. A tray or bracket has to be made there, or a space that takes both lets it take "
            f"{out.name(before)} along"
        )
        _tell(out, book, i, host, text)


def _bears(out: Outcome, part: str) -> bool:
    """Whether a part is there to carry others: a tray, a bracket."""
    known = out.vehicle.components.get(part) or out.asked.base.get(part)
    return known is not None and known.kind in out.catalog.kinds and out.catalog.kinds[known.kind].bears


def _tell(out: Outcome, book: EffectBook, part: str, host: str, why: str) -> None:
    cause = Cause(kind=CauseKind.MOUNTED_ON, source=disturbed_effect(book, part), text=why)
    words = f"what carries {out.name(part)} in its new place is to be settled"
    book.add(EffectKind.MEASURED, f"{part}~{host}", words, [cause])
