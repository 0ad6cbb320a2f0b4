"""What stands above a plan or a tree of moves: faults of the vehicle, trouble, lateness, open questions."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

from planner.export.plan_words import dark_words, late_days, things_asked, trouble_of
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Cut, Job
from planner.model.plan import Plan
from planner.model.sums import Verdict
from planner.model.vehicle import Vehicle
from planner.units.spoken import day_words

_MOST_TROUBLE = 8
_MOST_QUESTIONS = 12
_MOST_SUMS = 2


def show_faults(console: Console, faults: int) -> None:
    """One line when the vehicle as it stands is not sound, for every answer rests on it."""
    if faults:
        told = "1 fault" if faults == 1 else f"{faults} faults"
        console.print(Text(f"as it stands the vehicle has {told} (`knockon check`); it is taken as it is"))


def show_trouble(console: Console, plan: Plan) -> None:
    """Reasons why there is no plan, the first few of them."""
    _few(console, [f"cannot be planned: {line}" for line in trouble_of(plan)], _MOST_TROUBLE, "of the kind", "bold")


def show_late(console: Console, job: Job, plan: Plan) -> None:
    """A bold line when the day to meet is missed."""
    days = late_days(job, plan)
    if days and job.finish_by is not None:
        count = "1 day" if days == 1 else f"{days} days"
        day = day_words(job.finish_by)
        console.print(Text(f"finishes {count} after the day to meet, {day}", style="bold"))


def show_dark(console: Console, plan: Plan) -> None:
    """A bold line when the road test may fall into the dark."""
    told = dark_words(plan)
    if told:
        console.print(Text(f"! {told}", style="bold"))


def show_questions(
    console: Console, knockons: Knockons, about: str = "", settled: frozenset[str] = frozenset()
) -> None:
    """What has to be settled on the vehicle before the plan can be trusted; ``about``: of one thing alone."""
    asked = (e for e in knockons.effects if e.kind is EffectKind.MEASURED and e.subject not in settled)
    questions = [f"  - {e.text}" for e in asked if not about or about in things_asked(e.subject)]
    if questions:
        console.print(Text("Open questions, to be settled before metal is cut:", style="bold"))
        _few(console, questions, _MOST_QUESTIONS, ", see `knockon moves`", "", indent="  ")


def show_failing(console: Console, vehicle: Vehicle, job: Job, knockons: Knockons, *, more_only: bool = False) -> None:
    """One line when sums fail on the vehicle as it is when the job is done; ``more_only``: more than as it stands.

    A plan can be carried out and checked to the last step and still build what the sums say will not do.
    """
    from planner.sums.sheet import sums_of

    cuts = tuple(c for c in job.changes if isinstance(c, Cut))
    done = sums_of(knockons.after, knockons.links_after, vehicle.figures, cuts, vehicle.driver)
    titles = [f"{x.about}, {x.title}" for x in done if x.verdict is Verdict.FAILS]
    if titles and more_only:
        there = sums_of(vehicle.components, vehicle.links, vehicle.figures, (), vehicle.driver)
        if len(titles) <= sum(x.verdict is Verdict.FAILS for x in there):
            return
    if titles:
        count = "1 FAILS" if len(titles) == 1 else f"{len(titles)} FAIL"
        named = "; ".join(dict.fromkeys(titles[:_MOST_SUMS])) + ("; ..." if len(titles) > _MOST_SUMS else "")
        console.print(Text(f"! sums when it is done: {count} (`knockon sums`): {named}", style="bold"))


def _few(console: Console, lines: Iterable[str], most: int, after: str, style: str, *, indent: str = "") -> None:
    told = list(lines)
    for line in told[:most]:
        console.print(Text(line, style=style))
    if len(told) > most:
        gap = "" if after.startswith(",") else " "
        console.print(Text(f"{indent}and {len(told) - most} more{gap}{after}", style=style))
