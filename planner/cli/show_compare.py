"""Plans side by side: work, money, finish, checkpoints, doubt."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from string import ascii_uppercase
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from planner.cli.terminal import page
from planner.export.plan_words import late_days, trouble_of
from planner.model.effects import EffectKind
from planner.units import format_minutes
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.model.answer import Answer
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One plan among others; ``trouble`` when there is none."""

    title: str
    answer: Answer | None
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What is compared. ``doubts``: sizes and ways still to be measured before the plan can be trusted."""

    work_min: int
    strip_min: int
    money: float
    unpriced: int
    """Things to buy that have no price and are not in the money."""
    finish: str
    late_days: int | None
    sessions: int
    checkpoints: int
    doubts: int
    proved: bool


def figures_of(job: Job, answer: Answer) -> Figures | None:
    """The figures of one plan, None when it has no slots."""
    plan = answer.plan
    if plan.finish is None:
        return None
    return Figures(
        work_min=plan.work_min,
        strip_min=plan.strip.cost - plan.strip.dislike,
        money=sum(b.price for b in answer.work.bought),
        unpriced=sum(not b.price and not b.used_up for b in answer.work.bought),
        finish=plan.finish.date().isoformat(),
        late_days=late_days(job, plan),
        sessions=len({s.session for s in plan.slots}),
        checkpoints=len(answer.work.checkpoints),
        doubts=sum(e.kind is EffectKind.MEASURED for e in answer.knockons.effects),
        proved=plan.earliest == plan.finish.date(),
    )


def show_cases(vehicle: Vehicle, job: Job, cases: list[Case]) -> None:
    """Print a column a case under its letter, and below what cannot be done and what the figures leave out."""
    found = [(c, figures_of(job, c.answer) if c.answer is not None else None) for c in cases]
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
        for letter, (case, _) in zip(ascii_uppercase, found, strict=False):
            console.print(Text(f"  {letter}  {case.title}"))
        for begin in range(0, len(found), _ABREAST):
            console.print()
            console.print(_table(job, found, begin))
        for case, figures in found:
            if figures is None:
                for line in _reasons(case):
                    console.print(Text(f"{case.title}: {line}", style="bold"))
        if any(figures is not None and figures.unpriced for _, figures in found):
            console.print(Text(_NO_PRICE, style="dim"))
        console.print(Text(_LEGEND, style="dim"))


_ABREAST = 3
"""Columns that fit on a narrow terminal."""
_NO_PRICE = "no price: things to buy whose price no file tells, so that the money leaves them out."
_LEGEND = (
    "taking apart: what part of the hands' time goes into taking off, refitting, draining and filling. checks: "
    "checkpoints to sign. doubts: questions a tape measure has to settle. "
    "A finish with ~ is the best found, not proved the earliest there is."
)


def _table(job: Job, found: list[tuple[Case, Figures | None]], begin: int) -> Table:
    shown = found[begin : begin + _ABREAST]
    first = found[0][1]
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("", no_wrap=True)
    for letter in ascii_uppercase[begin : begin + len(shown)]:
        table.add_column(letter, justify="right", no_wrap=True)
    columns = [_cells(figures, first) for _, figures in shown]
    heads = (
        "hands' time",
        "against A",
        "taking apart",
        job.currency,
        "no price",
        "sessions",
        "checks",
        "doubts",
        "finish",
        "late",
    )
    for head, *cells in zip(heads, *columns, strict=True):
        if any(cells):
            table.add_row(head, *cells)
    return table


def _cells(figures: Figures | None, first: Figures | None) -> tuple[str, ...]:
    if figures is None:
        return ("no plan", *[""] * 9)
    more = figures.work_min - first.work_min if first is not None else 0
    return (
        format_minutes(figures.work_min),
        f"{'+' if more > 0 else '-'}{format_minutes(abs(more))}" if more else "",
        format_minutes(figures.strip_min),
        f"{figures.money:.2f}",
        str(figures.unpriced or ""),
        str(figures.sessions),
        str(figures.checkpoints),
        str(figures.doubts),
        f"{'' if figures.proved else '~'}{day_words(date.fromisoformat(figures.finish))}",
        f"{figures.late_days} days" if figures.late_days else "",
    )


def _reasons(case: Case) -> tuple[str, ...]:
    if case.answer is not None:
        return trouble_of(case.answer.plan)
    return tuple(line.strip(" -") for line in case.trouble.splitlines())


def cases_json(job: Job, cases: list[Case]) -> dict[str, Any]:
    """The same as plain data."""
    rows = []
    for case in cases:
        figures = figures_of(job, case.answer) if case.answer is not None else None
        rows.append(
            {
                "case": case.title,
                "work_hand_min": figures.work_min if figures else None,
                "strip_hand_min": figures.strip_min if figures else None,
                "money": figures.money if figures else None,
                "unpriced": figures.unpriced if figures else None,
                "finish": figures.finish if figures else None,
                "finish_proved_earliest": figures.proved if figures else None,
                "late_days": figures.late_days if figures else None,
                "sessions": figures.sessions if figures else None,
                "checkpoints": figures.checkpoints if figures else None,
                "doubts": figures.doubts if figures else None,
                "trouble": [] if figures else list(_reasons(case)),
            }
        )
    return {"schema": 1, "job": job.id, "cases": rows}
