"""The plan on the terminal: sessions, steps, checks, what to buy, what holds it up."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.show_heads import show_faults, show_late, show_questions, show_trouble
from planner.cli.terminal import page
from planner.model.effects import Proof
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot
from planner.model.vehicle import Vehicle
from planner.model.work import Checkpoint, Task, Toggle, WorkList
from planner.units import format_minutes

if TYPE_CHECKING:
    from planner.cli.plan import Answer

DEFER = (
    "This plan is a home builder's aid, not an approval: it knows nothing of hidden corrosion, bad welds or wrong "
    "measurements. Local rules, inspection and qualified people decide. No checkpoint may be skipped."
)


def show_plan(vehicle: Vehicle, job: Job, answer: Answer, *, short: bool) -> None:
    """Print the whole plan; ``short`` leaves out tools, cautions and reasons."""
    with page() as console:
        _show(console, vehicle, job, answer, short=short)


def _show(console: Console, vehicle: Vehicle, job: Job, answer: Answer, *, short: bool) -> None:
    plan, work = answer.plan, answer.work
    console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
    show_faults(console, answer.faults)
    show_trouble(console, plan)
    if not plan.slots:
        return
    console.print(_headline(plan))
    show_late(console, job, plan)
    console.print(_verdict(answer.violations))
    show_questions(console, answer.knockons)
    told: set[str] = set()
    for index, session in enumerate(plan.sessions):
        slots = [(n, s) for n, s in enumerate(plan.slots) if s.session == index]
        if slots:
            _show_head(console, session)
            if not short:
                _show_care(console, [_item(work, slot) for _, slot in slots], told)
            _show_steps(console, work, plan, slots, short=short)
    if short:
        return
    _show_buys(console, answer.work, plan, job)
    _show_checkpoints(console, work)
    console.print(Text(f"\n{DEFER}", style="bold"))


def show_about(vehicle: Vehicle, job: Job, answer: Answer, subject: str) -> None:
    """Print only the steps that handle one part, link, cut, circuit or condition, with their days and reasons."""
    plan, work = answer.plan, answer.work
    numbered = [(n, s) for n, s in enumerate(plan.slots) if _handles(work, s, subject)]
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}: {subject}", style="bold"))
        show_faults(console, answer.faults)
        show_trouble(console, plan)
        console.print(_verdict(answer.violations))
        if not numbered:
            console.print(f"no step of the plan handles `{subject}`")
            return
        table = Table.grid(padding=(0, 2, 0, 0))
        table.add_column(justify="right", no_wrap=True)
        table.add_column(no_wrap=True)
        table.add_column(ratio=1)
        for n, slot in numbered:
            item = _item(work, slot)
            table.add_row(
                str(n + 1), f"{slot.start:%a} {slot.start.day} {slot.start:%b %H:%M}", _about_text(item, plan.why[n])
            )
        console.print(table)


def subjects_of(work: WorkList) -> frozenset[str]:
    """Every id that `--about` may name: of steps, and of what they handle."""
    tasks = {name for task in work.tasks for name in (task, task.split(".", 1)[0])}
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


def _headline(plan: Plan) -> str:
    strip = plan.strip
    proof = {
        Proof.PROVED: "proved the least there is",
        Proof.FOUND: f"best found, {format_minutes(strip.bound)} at least",
        Proof.NONE: "",
    }[strip.proof]
    used = len({s.session for s in plan.slots})
    finish = f"; finished {_day(plan.finish.date())} {plan.finish:%H:%M}" if plan.finish is not None else ""
    return (
        f"{len(plan.slots)} steps, {format_minutes(plan.work_min)} of hands' time in {used} sessions{finish}. "
        f"Taking off, refitting, draining and filling take {format_minutes(strip.cost)} of it, {proof}."
    )


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


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"


def _show_head(console: Console, session: Session) -> None:
    hands = "1 pair of hands" if session.hands == 1 else f"{session.hands} pairs of hands"
    console.print()
    console.rule(
        Text(f"{_day(session.day)}  {session.start:%H:%M}-{session.end:%H:%M}  {hands}", style="bold"), align="left"
    )


def _show_care(console: Console, items: list[Task | Toggle], told: set[str]) -> None:
    """Tools of the session, and a line for each caution that comes up in it for the first time."""
    tools = list(dict.fromkeys(t for item in items for t in item.tools))
    if tools:
        console.print(Text(f"tools: {', '.join(tools)}", style="dim"))
    cautions = dict.fromkeys(c for item in items for c in item.cautions)
    for caution in cautions:
        if caution not in told:
            console.print(Text(f"! {caution.rstrip('.')}", style="dim"))
    told.update(cautions)


def _show_steps(console: Console, work: WorkList, plan: Plan, slots: list[tuple[int, Slot]], *, short: bool) -> None:
    table = Table.grid(padding=(0, 2, 0, 0))
    for justify in ("right", "left", "right"):
        table.add_column(justify=justify, no_wrap=True)
    table.add_column(ratio=1)
    for n, slot in slots:
        item = _item(work, slot)
        minutes = f"{item.minutes} min" + (f" x{item.hands}" if item.hands > 1 else "")
        table.add_row(str(n + 1), f"{slot.start:%H:%M}", minutes, _step_text(work, item, plan.why[n], short=short))
    console.print(table)


def _item(work: WorkList, slot: Slot) -> Task | Toggle:
    if slot.step.on is None:
        return work.tasks[slot.step.ref]
    feature = work.features[slot.step.ref]
    toggle = feature.turn_on if slot.step.on else feature.turn_off
    assert toggle is not None  # noqa: S101  # the checker has replayed the plan
    return toggle


def _step_text(work: WorkList, item: Task | Toggle, why: str, *, short: bool) -> Text:
    checks: tuple[str, ...] = item.checks if isinstance(item, Toggle) else ()
    if isinstance(item, Task) and item.checkpoint is not None:
        checks = (item.checkpoint,)
    text = Text(item.title, style="bold" if checks else "")
    if short:
        return text
    if isinstance(item, Toggle):
        text.append(f"\n{why}", style="dim")
        for step in item.steps:
            text.append(f"\n- {step}")
    else:
        for note in item.notes:
            text.append(f"\n- {note}")
    for check in checks:
        text.append("\n").append_text(_check_text(work.checkpoints[check], each=isinstance(item, Toggle)))
    return text


def _check_text(checkpoint: Checkpoint, *, each: bool) -> Text:
    name = f"{checkpoint.title}: " if each else ""
    text = Text(f"[ ] CHECK {name}", style="bold")
    text.append(f"{checkpoint.measure}. Limit: {checkpoint.limit}. ", style="")
    holds = [_BLOCKS.get(b, b) for b in checkpoint.blocks]
    if holds:
        text.append(f"Until it is passed: {'; '.join(holds)}. ", style="")
    text.append(checkpoint.caution, style="italic")
    return text


_BLOCKS = {
    "road": "not on the road",
    "moving": "not moved under its own power",
    "condition": "no work in that state",
    "filling": "not filled",
    "engine": "engine not started",
}


_HELD = {"condition": "work in that state", "engine": "first start"}
"""The same in a word or two, where the plain name of it would not do."""


def _show_buys(console: Console, work: WorkList, plan: Plan, job: Job) -> None:
    if not work.buys:
        return
    console.print()
    console.rule(Text("To buy (order by)", style="bold"), align="left")
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(ratio=1)
    for _ in range(3):
        table.add_column(justify="right", no_wrap=True)
    for buy in sorted(work.buys.values(), key=lambda b: (plan.order_by.get(b.id, date.max), b.id)):
        price = f"{buy.price:.2f} {job.currency}" if buy.price else ""
        lead = f"{buy.lead_days} days" if buy.lead_days else "at hand"
        last = f"by {_day(plan.order_by[buy.id])}" if buy.id in plan.order_by and buy.lead_days else ""
        table.add_row(buy.what, price, lead, last)
    console.print(table)
    console.print(f"together {sum(b.price for b in work.buys.values()):.2f} {job.currency}")


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
