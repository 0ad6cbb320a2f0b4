"""The plan on the terminal: sessions, steps, checks, what to buy, what holds it up."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.called import names_of
from planner.cli.show_dates import show_chain, show_frontier, show_odds, show_wishes
from planner.cli.show_heads import show_dark, show_failing, show_faults, show_late, show_questions, show_trouble
from planner.cli.show_steps import show_care, show_steps
from planner.cli.terminal import page
from planner.export.plan_words import (
    DEFER,
    headline,
    lead_hint,
    lead_words,
    order_words,
    piece_of,
    plan_name,
    total_words,
)
from planner.export.pushed_words import pushed_words
from planner.model.job import Session
from planner.model.plan import Slot
from planner.model.steps import thing_of
from planner.model.work import Task, Toggle, WorkList
from planner.units.spoken import day_words, hands_words, moment_words

if TYPE_CHECKING:
    from planner.model.answer import Answer


def show_plan(answer: Answer, *, short: bool, why: bool = False) -> None:
    """Print the whole plan; ``short`` leaves out tools, cautions and reasons, ``why`` tells all that binds it."""
    with page() as console:
        _show(console, answer, short=short, why=why)


def _show(console: Console, answer: Answer, *, short: bool, why: bool) -> None:
    plan, work, job = answer.plan, answer.work, answer.job
    console.print(Text(plan_name(answer), style="bold"))
    show_faults(console, answer.faults)
    show_trouble(console, plan)
    if not plan.slots:
        return
    console.print(headline(answer))
    show_late(console, job, plan)
    show_dark(console, plan)
    for line in pushed_words(answer):
        console.print(Text(f"! {line}", style="bold"))
    show_frontier(console, job, plan)
    console.print(_verdict(answer.violations))
    show_failing(console, answer.vehicle, job, answer.knockons)
    show_questions(console, answer.knockons, settled=answer.settled)
    told: set[str] = set()
    for index, session in enumerate(plan.sessions):
        slots = [(n, s) for n, s in enumerate(plan.slots) if s.session == index]
        if slots:
            _show_head(console, session)
            if not short:
                show_care(console, [piece_of(work, slot.step) for _, slot in slots], told)
            show_steps(console, answer, slots, short=short)
    if answer.odds is not None:
        show_odds(console, job, work, answer.odds)
    if answer.chain is not None and (why or not short):
        show_chain(console, answer, answer.chain, every=why)
    show_wishes(console, answer.wishes)
    if short:
        return
    _show_buys(console, answer)
    _show_checkpoints(console, work)
    console.print(Text(f"\n{DEFER}", style="bold"))


def show_about(answer: Answer, subject: str) -> None:
    """Print the steps that handle one part, link, cut, circuit or condition, with their days and reasons.

    Under them those that only name it: what it may be hit by, or has to be there for.
    """
    plan, work = answer.plan, answer.work
    numbered = [(n, s) for n, s in enumerate(plan.slots) if _handles(work, s, subject)]
    naming = _naming(answer, subject, {n for n, _ in numbered})
    with page() as console:
        console.print(Text(f"{plan_name(answer)}: {subject}", style="bold"))
        show_faults(console, answer.faults)
        show_trouble(console, plan)
        if plan.slots:
            console.print(_verdict(answer.violations))
        show_questions(console, answer.knockons, subject, answer.settled)
        if not numbered and plan.slots:
            console.print(f"no step of the plan handles `{subject}`" + ("" if naming else ", and none names it"))
        handled = [(n, _about_text(piece_of(work, s.step), plan.why[n])) for n, s in numbered]
        console.print(_about_table(answer, handled))
        if naming:
            console.print(Text("\nnamed in" if numbered else "it is named in", style="bold"))
            console.print(_about_table(answer, naming))


def _about_table(answer: Answer, rows: Iterable[tuple[int, Text]]) -> Table:
    """Steps with their numbers and days."""
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for n, text in rows:
        table.add_row(str(answer.number(n)), moment_words(answer.plan.slots[n].start), text)
    return table


def _naming(answer: Answer, subject: str, handled: set[int]) -> list[tuple[int, Text]]:
    """Steps that name a thing and do nothing to it, each with the sentences that do."""
    known = {**names_of(answer.vehicle, answer.job), **{i: c.name for i, c in answer.vehicle.systems.items()}}
    named = _spelt({subject, known.get(subject, subject)})
    # `battery box` is no battery: what has the name in its own is taken for itself.
    others = _spelt({name for i, name in known.items() if i != subject and named.search(name)} or {"\n"})
    found = []
    for n, slot in enumerate(answer.plan.slots):
        item = piece_of(answer.work, slot.step)
        notes = item.notes if isinstance(item, Task) else item.steps
        told = [t for t in (*notes, *item.cautions) if named.search(others.sub("", t))]
        if n not in handled and (told or named.search(others.sub("", item.title))):
            text = Text(item.title)
            text.append("".join(f"\n- {t}" for t in told), style="dim")
            found.append((n, text))
    return found


def _spelt(names: set[str]) -> re.Pattern[str]:
    """Any of some names as a whole word, the longest first."""
    spelt = "|".join(re.escape(n) for n in sorted(names, key=lambda n: (-len(n), n)))
    return re.compile(rf"(?<![\w-])(?:{spelt})(?![\w-])", re.IGNORECASE)


def subjects_of(work: WorkList) -> frozenset[str]:
    """Every id that `--about` may name: of steps, and of what they handle."""
    tasks = {name for task in work.tasks for name in (task, thing_of(task))}
    return frozenset(tasks | set(work.features) | {f.subject for f in work.features.values() if f.subject})


def _handles(work: WorkList, slot: Slot, subject: str) -> bool:
    step = slot.step
    if step.on is None:
        return step.ref == subject or step.ref.startswith(f"{subject}.")
    return subject in {step.ref, work.features[step.ref].subject}


def _about_text(item: Task | Toggle, why: str) -> Text:
    text = Text(item.title)
    if isinstance(item, Toggle):
        text.append(f"\n{why}", style="dim")
    else:
        for note in item.notes:
            text.append(f"\n- {note}", style="dim")
    return text


def _verdict(violations: tuple[str, ...]) -> Text:
    if not violations:
        return Text(
            "Independent check of places, order, sessions and checkpoints: no fault found (strength is not judged).",
            style="dim",
        )
    text = Text("Independent check: THIS PLAN IS WRONG, do not work from it.", style="bold red")
    for line in violations[:20]:
        text.append(f"\n  - {line}")
    return text


def _show_head(console: Console, session: Session) -> None:
    hands = hands_words(session.hands)
    console.print()
    console.rule(
        Text(f"{day_words(session.day)}  {session.start:%H:%M}-{session.end:%H:%M}  {hands}", style="bold"),
        align="left",
    )


_HELD = {"condition": "work in that state", "engine": "first start", "metal": "cutting, drilling, altering the vehicle"}
"""The same in a word or two, where the plain name of it would not do."""


def _show_buys(console: Console, answer: Answer) -> None:
    work, plan, job = answer.work, answer.plan, answer.job
    if not work.bought:
        return
    console.print()
    console.rule(Text("To buy (order by)", style="bold"), align="left")
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(ratio=1)
    for _ in range(3):
        table.add_column(justify="right", no_wrap=True)
    for buy in sorted(work.bought, key=lambda b: (plan.order_by.get(b.id, date.max), b.id)):
        price = f"{buy.price:.2f} {job.currency}" if buy.price else ""
        table.add_row(buy.what, price, lead_words(buy), order_words(answer, buy))
    console.print(table)
    console.print(f"together {total_words(work.bought, job.currency)}")
    hint = lead_hint(work.bought)
    if hint:
        console.print(Text(hint, style="dim"))


def _show_checkpoints(console: Console, work: WorkList) -> None:
    console.print()
    console.rule(
        Text("Checkpoints: each measured, written down, signed (what it holds back)", style="bold"),
        align="left",
    )
    for check in work.checkpoints.values():
        text = Text(f"[ ] {check.title}")
        text.append(f"  ({', '.join(_HELD.get(b, b) for b in check.blocks)})", style="dim")
        console.print(text)
