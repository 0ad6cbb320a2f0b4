"""Telling the new runs: in a line at each link, and a question where no clear one was found."""

from __future__ import annotations

from planner.knockon.graph import EffectBook, effect_id
from planner.knockon.outcome import Outcome
from planner.knockon.run_words import headline
from planner.knockon.runs import RunBook
from planner.model.effects import Cause, CauseKind, EffectKind
from planner.space import NoRun

_NAMED = 2


def run_words(out: Outcome, runs: RunBook, link: str) -> str:
    """The run of a link in a line, to follow what is said of it; empty when none was found."""
    run = runs.runs.get(link)
    if run is None:
        return ""
    made = out.asked.links[link]
    kind = out.catalog.link_kinds.get(made.kind)
    return headline(run, kind.name if kind is not None else run.sort.value, made.across_mm, out.length)


def tell_unclear(out: Outcome, runs: RunBook, book: EffectBook) -> None:
    """A question for each new link whose drawn run is not clear and of which nothing is told yet."""
    for link, met in sorted(runs.unclear.items()):
        source = effect_id(EffectKind.NEW, link)
        if not book.has(effect_id(EffectKind.MEASURED, link)):
            causes = [Cause(kind=CauseKind.CLASH, source=source, text=text) for text in met]
            book.add(EffectKind.MEASURED, link, unclear_words(out, runs, link), causes)


def unclear_words(out: Outcome, runs: RunBook, link: str) -> str:
    """What becomes of a new link whose drawn run is not clear."""
    found = run_words(out, runs, link)
    instead = f": it is made by another one ({found})" if found else ": it is to be found anew on the vehicle"
    return f"the run drawn for {out.name(link)} is not clear{instead}"


def tell_stopped(out: Outcome, runs: RunBook, book: EffectBook) -> None:
    """A question for each link made anew for which no clear run was found; the rest of the answer stands."""
    for link, stopped in sorted(runs.stopped.items()):
        source = next(
            (key for kind in (EffectKind.REMADE, EffectKind.NEW) if book.has(key := effect_id(kind, link))), ""
        )
        cause = Cause(kind=CauseKind.CLASH, source=source, text=stopped_words(out, stopped), at_mm=stopped.at_mm)
        book.add(EffectKind.MEASURED, link, f"the run of {out.name(link)} is to be found on the vehicle", [cause])


def stopped_words(out: Outcome, stopped: NoRun) -> str:
    """Why there is no run, in words."""
    names = [out.name(s.guard) for s in stopped.snags[:_NAMED]]
    where = f" between {' and '.join(names)}" if len(names) == _NAMED else f" at {names[0]}" if names else ""
    if stopped.bends:
        smaller = f": bends of {out.length(stopped.bend_mm)} would go" if stopped.bend_mm else ""
        return f"no clear run found: there is a way, but no room for its bends{where}{smaller}"
    if not stopped.snags:
        return "no clear run found: an end of it is shut in"
    return f"no clear run found: narrowest{where}, {out.length(stopped.snags[0].short_mm)} short"
