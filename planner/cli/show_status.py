"""Where a job stands, on the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.logbook import all_entries
from planner.cli.show_look import question_lines, settled_lines, show_stop
from planner.cli.terminal import indented, page
from planner.log import open_keys, paces, road_of
from planner.log.left_open import OWED
from planner.log.questions import open_questions
from planner.log.signing import CIRCUIT
from planner.log.sizes import look_of
from planner.log.words import BUY, line_words, step_words
from planner.model.log import UndoLine, Verdict
from planner.model.steps import whole_steps
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.cli.beside import Beside
    from planner.cli.logbook import LogBook
    from planner.log import Open
    from planner.model.work import Feature

DEFER = (
    "These are a home builder's own checks, not an approval: local rules, inspection and qualified people decide "
    "whether a vehicle may be used."
)
MOST = 8


def show_status(book: LogBook) -> None:
    """Counts, what is off and entered, what waits, what failed."""
    agreed, standing = book.plan(), book.standing
    keys = open_keys(agreed, standing)
    with page() as console:
        console.print(Text(f"{agreed.project}: {agreed.job}", style="bold"))
        points = agreed.work.checkpoints
        done, left = whole_steps(standing.done, keys)
        waived = sum(standing.is_waived(c) for c in points)
        signed = sum(standing.is_passed(c) for c in points) - waived
        beside = f", {waived} said not to apply" if waived else ""
        console.print(f"{done} steps done, {left} to go; {signed} of {len(points)} checkpoints signed{beside}.")
        if agreed.plan.finish is not None and keys:
            finish = agreed.plan.finish
            console.print(f"Agreed finish: {day_words(finish)} {finish:%H:%M}.")
        show_stop(console, book)
        _list(console, "off now", _off(book).values())
        _list(console, "as it stands", _entered(book))
        _list(
            console, "to be done again", [f"{step_words(r.task, agreed)}: {r.why}" for r in standing.reopened.values()]
        )
        _list(
            console,
            "failed",
            [line_words(s, agreed) for s in standing.signed.values() if s.verdict is Verdict.FAILED],
        )
        _list(console, "open questions (knockon record settled QUESTION ANSWER)", question_lines(book) if keys else ())
        _list(console, "settled", settled_lines(book))
        _list(console, "not applicable", road_of(agreed, standing).waived)
        _list(console, "found on the way", _found(book))
        _list(console, "put away", [f"{of}: {where}" for of, where in standing.kept.items()])
        _list(console, "not here yet", _parcels(book))


def _list(console: Console, head: str, lines: Iterable[str]) -> None:
    told = list(lines)
    if told:
        console.print(Text(f"\n{head}", style="bold"))
        for line in told:
            console.print(indented(line))


def _off(book: LogBook) -> dict[str, str]:
    """Parts and links that were on the vehicle and are in no home now, with their names."""
    now: dict[str, bool] = {}
    was: dict[str, bool] = {}
    names: dict[str, str] = {}
    for feature in book.plan().work.features.values():
        if feature.subject and _is_part(feature.id):
            state = book.standing.states.get(feature.id, feature.start)
            now[feature.subject] = now.get(feature.subject, False) or state
            was[feature.subject] = was.get(feature.subject, False) or feature.start
            names.setdefault(feature.subject, feature.name.removesuffix(_FITTED))
    return {subject: names[subject] for subject, on in now.items() if was[subject] and not on}


_FITTED = " fitted"
"""What the name of a part or link ends with, as the state of being in its place."""


def _found(book: LogBook) -> list[str]:
    """What was found, with what became of it; of what is still to be mended the cautions as well."""
    agreed, standing = book.plan(), book.standing
    lines: list[str] = []
    for line in standing.found:
        task = agreed.work.tasks.get(line.id)
        over = "needless" if line.id in standing.skipped else "done" if line.id in standing.finished else ""
        left = "not in the plan yet, replan" if task is None else "to do"
        lines.append(f"{line_words(line, agreed).removeprefix('found: ')}: {over or left}")
        lines += [f"! {caution}" for caution in (() if task is None or over else task.cautions)]
    return lines


def _entered(book: LogBook) -> list[str]:
    """Conditions and circuits that are not as they were at the start."""
    found = []
    for feature in book.plan().work.features.values():
        state = book.standing.states.get(feature.id, feature.start)
        if not _is_part(feature.id) and state is not feature.start:
            found.append(state_words(feature, on=state))
    return found


def state_words(feature: Feature, *, on: bool) -> str:
    """A state in words; of an open circuit with the step that opened it, which says how its ends are shut."""
    opening = feature.turn_off
    if on or opening is None or not opening.minutes or not feature.id.startswith(CIRCUIT):
        return f"{feature.name}: {'yes' if on else 'no'}"
    return f"{feature.name}: no, opened for this job (`{opening.title}`)"


def _is_part(feature: str) -> bool:
    return ":" not in feature


def _parcels(book: LogBook) -> list[str]:
    known = book.plan().work.buys
    waiting = [b for b in known.values() if b.goods and b.lead_days and b.id not in book.standing.arrived]
    due = book.standing.ordered
    days = {i: f", expected {day_words(line.due)}" for i, line in due.items()}
    return [f"{b.what} ({b.id.removeprefix(BUY)}){days.get(b.id, '')}" for b in waiting]


def show_road(book: LogBook, beside: Sequence[Beside]) -> None:
    """May it move, may it go on the road, and what exactly stands between; ``beside`` are other jobs that do."""
    agreed = book.plan()
    road = road_of(agreed, book.standing)
    with page() as console:
        console.print(Text(f"{agreed.project}: {agreed.job}", style="bold"))
        if not road.begun:
            owed = any(c.startswith(OWED) for c in agreed.work.checkpoints)
            apart = [
                *(["what was found since"] if book.standing.found else []),
                *(["what earlier jobs left open"] if owed else []),
            ]
            since = f", but for {' and '.join(apart)}" if apart else ""
            console.print(f"Nothing of this job has been begun: the vehicle is as it was before it{since}.")
        own = tuple(one for one in road.moving if not one.road_only)
        _gate(console, "Under its own power", road.moving, later=len(road.moving) - len(own))
        _gate(console, "On a quiet road, for the road test", road.testing, own)
        _gate(console, "On the road", road.road, (*own, *road.testing))
        for line in (*(other.words for other in beside), *road.waived):
            console.print(Text(f"! {line}", style="bold"))
        console.print(Text(f"\n{DEFER}", style="bold"))


def _gate(
    console: Console, use: str, lacking: Sequence[Open], told_before: Sequence[Open] = (), later: int = 0
) -> None:
    """One use of the vehicle; what an earlier one told is not told again.

    ``later`` of them are checks for the road alone that the plan has before this use: they are told with the road.
    """
    if not lacking:
        console.print(Text(f"{use}: nothing of this job stands in the way.", style="bold"))
        return
    told = "1 thing stands" if len(lacking) == 1 else f"{len(lacking)} things stand"
    console.print(Text(f"{use}: NO, {told} between", style="bold"))
    # What is wrong comes before what is only not done yet, and checks before work.
    ordered = sorted(lacking, key=lambda one: (not _is_wrong(one), not one.text.startswith("CHECK"), one.number or 0))
    fresh = [one for one in ordered if one not in told_before and not (later and one.road_only)]
    if len(fresh) + later < len(lacking):
        console.print(indented("all that stands above" + (", and" if fresh else "")))
    for one in fresh[:MOST]:
        console.print(indented(one.words))
    if len(fresh) > MOST:
        console.print(f"   and {len(fresh) - MOST} more (--json lists all)")
    if later:
        checks = "1 check" if later == 1 else f"{later} checks"
        told = f"{checks} that only the road asks for, made before it by the plan: told below"
        console.print(indented(f"and {told}" if fresh else told))


def _is_wrong(one: Open) -> bool:
    return "failed" in one.text or one.unplanned


def show_log(book: LogBook) -> None:
    """Every line with its number; those that do not count are marked."""
    counting = {e.n for e in book.standing.entries}
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(justify="right", no_wrap=True)
    for _ in range(2):
        grid.add_column(no_wrap=True)
    grid.add_column(ratio=1)
    with page() as console:
        for entry in book.entries:
            dead = entry.n not in counting and not isinstance(entry, UndoLine)
            mark = "x" if dead else " "
            grid.add_row(str(entry.n), mark, f"{entry.at:%Y-%m-%d %H:%M}", Text(line_words(entry, book.agreed)))
        console.print(grid)


def show_pace(book: LogBook) -> None:
    """How long each kind of work takes: by the clock, and what the next plan will reckon with."""
    found = paces(all_entries(book), {})
    with page() as console:
        if not found:
            console.print("No step was taken by the clock yet: `knockon done STEP --took MINUTES`.")
            return
        table = Table(box=None, pad_edge=False)
        for head in ("kind of work", "steps", "took", "guessed", "factor"):
            table.add_column(head, justify="left" if head == "kind of work" else "right")
        for work, paced in found.items():
            table.add_row(
                work, str(paced.steps), f"{paced.took_min} min", f"{paced.guess_min:.0f} min", f"{paced.factor:.2f}"
            )
        console.print(table)
        console.print(
            "Few steps say little: each factor is drawn towards the one known before, as if by four steps more."
        )


def status_json(book: LogBook, beside: Sequence[Beside]) -> dict[str, Any]:
    """The standing as plain data; ``beside`` are other jobs of the vehicle that are begun."""
    agreed, standing = book.plan(), book.standing
    road, look = road_of(agreed, standing), look_of(agreed, standing)
    told = {"moving": road.moving, "testing": road.testing, "road": road.road}
    return {
        "job": book.job,
        "done": sorted(standing.done),
        "to_go": list(open_keys(agreed, standing)),
        "signed": {c: s.verdict.value for c, s in sorted(standing.signed.items())},
        "reopened": {t: r.why for t, r in sorted(standing.reopened.items())},
        "off": list(_off(book)),
        "states": _entered(book),
        "arrived": sorted(standing.arrived),
        "road": {use: {"free": not lacking, "open": [_open_json(o) for o in lacking]} for use, lacking in told.items()},
        "waived": list(road.waived),
        "beside": {other.job: other.words for other in beside},
        "stop": look.words if look is not None and look.stops else "",
        "questions": [{"id": q.id, "text": q.text, "why": q.why} for q in open_questions(agreed, standing)],
        "settled": settled_lines(book),
    }


def _open_json(one: Open) -> dict[str, Any]:
    return {"number": one.number, "text": one.text, "road_only": one.road_only}
