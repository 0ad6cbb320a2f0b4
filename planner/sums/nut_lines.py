"""Whether the tube nuts belong to the flare."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.model.figures import Figures
from planner.model.sums import SumLine, Verdict
from planner.sums.tube import FLARES, fits_together, starts_in


def nut_lines(figures: Figures) -> Iterator[SumLine]:
    """A line a nut: 1 where it belongs to the flare, 0 where it does not; and one for each thread it goes into."""
    pipe = figures.pipe
    if pipe is None:
        return
    for place, nut in pipe.nuts.items():
        line = SumLine(
            id=f"brake_pipe.nut-{place}",
            about="brake_pipe",
            title=f"nut {nut} at {place}",
            unit="fits",
            verdict=Verdict.UNKNOWN,
            assumed=("thread and flare as told",),
            not_covered=(
                "the thread in the part: 3/8-24 UNF and M10x1 are easily taken for each other, start and then strip",
                "the seat at the bottom of the hole, which must be that of the flare",
            ),
            source="SAE J533 and ISO 4038 (from memory)",
        )
        if place in pipe.threads:
            yield _thread(replace(line, id=f"brake_pipe.thread-{place}"), nut, pipe.threads[place])
        if pipe.flare is None:
            ask = "`flare` of `figures.brake_pipe`"
            yield replace(line, missing=(ask,), note=f"give {ask}")
            continue
        fits = fits_together(pipe.flare, nut)
        theirs = ", ".join(sorted(FLARES[pipe.flare]))
        yield replace(
            line,
            value=float(fits),
            least=float(fits),
            most=float(fits),
            low=1.0,
            margin=float(fits) - 1.0,
            verdict=Verdict.FINE if fits else Verdict.FAILS,
            limit=f"1 where it belongs to the {pipe.flare}: {theirs}",
        )


def _thread(line: SumLine, nut: str, thread: str) -> SumLine:
    """Whether a nut has the thread of the part it goes into."""
    same = nut == thread
    return replace(
        line,
        title=f"{line.title}, in {thread}",
        value=float(same),
        least=float(same),
        most=float(same),
        low=1.0,
        margin=float(same) - 1.0,
        verdict=Verdict.FINE if same else Verdict.FAILS,
        limit="1 where nut and part have the same thread",
        note=f"{nut} starts in {thread} by hand, and then strips or leaks" if starts_in(nut, thread) else "",
    )
