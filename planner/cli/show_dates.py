"""What stands behind the finish: what binds it, what more work would buy, how likely the dates are."""

from __future__ import annotations

from datetime import date
from textwrap import shorten
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from planner.cli.terminal import indented
from planner.export.plan_words import piece_of
from planner.model.words import DAY_MIN
from planner.units import format_minutes
from planner.units.spoken import day_words, moment_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from planner.model.answer import Answer
    from planner.model.job import Job
    from planner.model.plan import Chain, Odds, Plan, Step, WishCost
    from planner.model.work import WorkList

_TIES = 6
_NAMED = 5
_LONGEST = 70


def show_frontier(console: Console, job: Job, plan: Plan) -> None:
    """What an earlier finish would cost in work, and why this point was chosen."""
    if plan.earliest is not None and plan.finish is not None:
        console.print(Text(_bound_words(plan, plan.earliest), style="dim"))
    for note in plan.notes:
        console.print(Text(note, style="dim"))
    if len(plan.frontier) < 2:  # noqa: PLR2004  # one point is no choice
        return
    priced = ", your own prices on it included" if plan.strip.dislike else ""
    worth = f"a day sooner is worth {job.day_worth:g} {job.currency}"
    console.print(Text(f"Strip-down{priced}, against finish ({worth}):", style="bold"))
    table = Table.grid(padding=(0, 2, 0, 0))
    for justify in ("right", "left", "right", "left"):
        table.add_column(justify=justify, no_wrap=True)
    for point in plan.frontier:
        here = plan.finish is not None and (point.cost, point.finish) == (plan.strip.cost, plan.finish.date())
        table.add_row(
            format_minutes(point.cost),
            f"done {day_words(point.finish)}",
            f"{point.sessions} sessions",
            ", ".join([*(["this plan"] if here else []), *([] if point.proved else ["not proved"])]),
        )
    console.print(table)


def _bound_words(plan: Plan, earliest: date) -> str:
    if plan.finish is not None and earliest == plan.finish.date():
        return "No order of the work finishes on an earlier day: proved."
    return f"No order of the work finishes before {day_words(earliest)}: proved. In between, nobody knows."


def show_chain(console: Console, answer: Answer, chain: Chain, *, every: bool) -> None:
    """The chain that binds the finish, from the last step back; only its last links unless ``every``."""
    plan, work = answer.plan, answer.work
    console.print()
    console.rule(Text("What the finish hangs on (the last first)", style="bold"), align="left")
    ties = chain.ties[::-1] if every else chain.ties[::-1][:_TIES]
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for tie in ties:
        slot = plan.slots[tie.slot]
        text = Text(piece_of(work, slot.step).title)
        text.append(f"\n{tie.text}", style="dim")
        table.add_row(str(answer.number(tie.slot)), moment_words(slot.start), text)
    console.print(table)
    if len(ties) < len(chain.ties):
        console.print(Text(f"and {len(chain.ties) - len(ties)} more back to the start: `--why`", style="dim"))
    console.print(Text(loose_words(plan, chain), style="dim"))
    if every and chain.held:
        _show_slips(console, answer, chain)


def loose_words(plan: Plan, chain: Chain) -> str:
    """How many steps can slip by a day; one that is split counts once, and slips only when each of its parts can."""
    least: dict[int, int] = {}
    first: dict[Step, int] = {}
    for n, (slot, float_min) in enumerate(zip(plan.slots, chain.float_min, strict=True)):
        if slot.part == 1:
            first[slot.step] = n
        begun = first.get(slot.step, n)
        least[begun] = min(float_min, least.get(begun, float_min))
    loose = sum(f >= DAY_MIN for f in least.values())
    if loose:
        return f"{loose} of {len(least)} steps can slip by a day or more without a later finish"
    most = max(least.values(), default=0)
    return f"no step can slip by a day without a later finish, and none by more than {format_minutes(most)}"


def _show_slips(console: Console, answer: Answer, chain: Chain) -> None:
    """By how much steps can slip, those that slip together in one line, and what would be held up then."""
    plan = answer.plan
    groups: dict[tuple[str, int | None], list[int]] = {}
    for n in sorted(range(len(plan.slots)), key=lambda n: (-chain.float_min[n], n)):
        groups.setdefault((slip_words(chain.float_min[n]), _held_up(chain, n)), []).append(n)
    console.print()
    console.rule(Text("What can slip without a later finish day", style="bold"), align="left")
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True, justify="right")
    table.add_column(ratio=1)
    for (slips, held), slots in groups.items():
        text = Text(f"{'step' if len(slots) == 1 else 'steps'} {spans([answer.number(n) for n in slots])}")
        if len(slots) == 1:
            text.append(f" {_short(piece_of(answer.work, plan.slots[slots[0]].step).title)}")
        then = "until the finish day is full"
        if held is not None:
            title = _short(piece_of(answer.work, plan.slots[held].step).title)
            then = f"until {answer.number(held)} {title} is held up"
        text.append(f"\n{then}", style="dim")
        table.add_row(slips, text)
    console.print(table)


def _short(title: str) -> str:
    return shorten(title, _LONGEST, placeholder=" ...")


def _held_up(chain: Chain, n: int) -> int | None:
    """The first slot after one that can slip less, or as much by another reason; None: the finish day."""
    held = chain.held[n]
    while held is not None and chain.float_min[held] == chain.float_min[n]:
        held = chain.held[held]
    return held


def slip_words(float_min: int) -> str:
    """A time by the wall clock, in days from the first on.

    Examples
    --------
    >>> slip_words(0), slip_words(38), slip_words(3000)
    ('not at all', '38 min', '2 days')
    """
    if float_min >= DAY_MIN:
        days = float_min // DAY_MIN
        return "1 day" if days == 1 else f"{days} days"
    return format_minutes(float_min) if float_min > 0 else "not at all"


def spans(numbers: Sequence[int]) -> str:
    """Numbers with those in a row as a range.

    Examples
    --------
    >>> spans([3, 1, 2, 7, 9, 8])
    '1-3, 7-9'
    """
    found: list[list[int]] = []
    for number in sorted(set(numbers)):
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in found)


def show_wishes(console: Console, wishes: Sequence[WishCost]) -> None:
    """What each of the owner's wishes costs; nothing when there are none."""
    if not wishes:
        return
    console.print()
    console.rule(Text("What your wishes cost (`leave_in`)", style="bold"), align="left")
    for wish in wishes:
        price = "never" if wish.dislike_min is None else f"{format_minutes(wish.dislike_min)} each time"
        console.print(Text(f"{wish.title}: {price}"))
        console.print(indented(_wish_words(wish), style="dim"))


def _wish_words(wish: WishCost) -> str:
    """What became of a wish, and what giving it up would save."""
    if wish.cost is None or wish.more_min is None:
        return "whether it costs anything was not found out in the time"
    doubt = "" if wish.proved else " (not proved)"
    if wish.times:
        times = "once" if wish.times == 1 else f"{wish.times} times"
        saved = f"without the wish {format_minutes(wish.more_min)} less" if wish.more_min else "giving it up saves none"
        return f"done {times} all the same: every way round it costs more than its price; {saved}{doubt}"
    if not wish.more_min:
        return f"kept, for no more work{doubt}"
    return f"kept, for {format_minutes(wish.more_min)} more of taking off, refitting, draining and filling{doubt}"


def show_odds(console: Console, job: Job, work: WorkList, odds: Odds) -> None:
    """How likely the dates are, and whose doubt costs most."""
    console.print()
    console.rule(Text(f"How likely the dates are ({odds.runs:,} simulated jobs)", style="bold"), align="left")
    for share, day in (("half", odds.p50), ("8 in 10", odds.p80), ("19 in 20", odds.p95)):
        told = f"done by {day_words(day)}" if day is not None else "not done within the sessions told"
        console.print(f"{share} of them are {told}")
    if odds.by is not None and job.finish_by is not None:
        console.print(f"by {day_words(job.finish_by)}, the day to meet: {odds.by:.0%}")
    if odds.late:
        console.print(Text(f"{odds.late:.1%} of them ran out of sessions", style="bold"))
    if odds.costs:
        console.print("the doubt that costs most (mean days it adds):")
        for ref, days in odds.costs[:_NAMED]:
            console.print(f"  {days:5.1f}  {_title(work, ref)}")
    if odds.critical:
        console.print("most often on the chain that binds the finish:")
        for ref, chance in odds.critical[:_NAMED]:
            console.print(f"  {chance:5.0%}  {_title(work, ref)}")
    console.print(
        Text(
            "The spread of times is a guess unless the job says three figures; what was not thought of is not in it.",
            style="dim",
        )
    )


def _title(work: WorkList, ref: str) -> str:
    return work.tasks[ref].title if ref in work.tasks else work.features[ref].name
