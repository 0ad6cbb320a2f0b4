"""What planning anew changes, on the terminal: and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from planner.cli.agreeing import changed_inputs
from planner.cli.show_heads import show_trouble
from planner.cli.terminal import page
from planner.cli.updated import bygone_lines
from planner.export.plan_words import WRONG, asked_of, is_ordered_later, one_line, piece_of
from planner.log.questions import questions_in, settlings
from planner.log.ready import piece_of_key
from planner.log.sizes import look_of
from planner.log.words import SURPRISES, line_words, step_words
from planner.model.log import FailedLine, SignedLine, Verdict
from planner.model.steps import step_of_key, whole_steps
from planner.units.spoken import day_words, moment_words, short_day

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.cli.replanning import Replanned
    from planner.model.log import Entry
    from planner.model.plan import Plan
    from planner.model.standing import Agreed

MOST = 12
"""So many changed steps are listed; the plan itself has them all."""


def show_replan(new: Replanned, book: LogBook) -> None:
    """Print what happened since the plan was agreed and what the new plan changes."""
    with page() as console:
        console.print(Text(one_line(f"{new.answer.vehicle.name}: {new.answer.job.name}"), style="bold"))
        plan = new.answer.plan
        done, left = whole_steps(new.standing.done, new.keys)
        planned = bool(plan.slots) or not plan.trouble
        so_far = "1 step is done" if done == 1 else f"{done} steps are done"
        console.print(so_far + (f", {left} {'is' if left == 1 else 'are'} left." if planned else "."))
        _since(console, new, book)
        _bygone(console, new, book)
        show_trouble(console, plan)
        if plan.trouble:
            file = f"{book.project}/jobs/{book.job}.yaml"
            told = f"more time or hands: `knockon record extra sat 5 dec 10-16 2`, or `sessions` in {file}"
            console.print(Text(told))
        if plan.trouble or plan.strip.trouble:
            return
        if new.answer.violations:
            console.print(Text(WRONG, style="bold red"))
            for line in new.answer.violations:
                console.print(Text(f"  {line}"))
        if new.kept:
            console.print(_kept_words(book))
        elif book.agreed is not None:
            _changes(console, new, book.agreed)
        if plan.finish is not None:
            console.print(f"Finished {_finish(new)}.")
        for line in unused_words(plan, new.now):
            console.print(line)


def unused_words(plan: Plan, now: datetime) -> Iterator[str]:
    """Why nothing is planned for the sessions that come first, of those that are not over."""
    first = min((slot.session for slot in plan.slots), default=0)
    free = [
        f"{short_day(s.day)} {s.start:%H:%M}" for s in plan.sessions[:first] if datetime.combine(s.day, s.end) > now
    ]
    if free:
        kept = (
            "what was agreed for later stays there"
            if plan.notes
            else "of such plans that with fewest sessions is taken"
        )
        yield (
            f"Nothing is planned for {' and '.join(free[:2])}: it is finished on the same day without, and {kept}. "
            "What can be done ahead: knockon next -n 20."
        )


def _kept_words(book: LogBook) -> str:
    """That days and order stay; what is made to sizes that were measured since is theirs only when that is agreed."""
    if book.agreed is not None and look_of(book.agreed, book.standing) is not None:
        return "Days and order stay as agreed; the steps are made to the sizes that were measured once that is agreed."
    changed = changed_inputs(book)
    if changed:
        names = " and ".join(f"`{name}`" for name in changed)
        return f"Days, order and work stay as agreed; {names} as it reads now counts once that is agreed."
    return "The agreed plan still holds; nothing is changed (--anew looks whether it can be better)."


def _finish(new: Replanned) -> str:
    finish = new.answer.plan.finish
    return "" if finish is None else f"{day_words(finish.date())} {finish:%H:%M}"


def _since(console: Console, new: Replanned, book: LogBook) -> None:
    """What happened that the plan did not foresee."""
    told = [_surprise(new, e, book) for e in new.standing.since if isinstance(e, SURPRISES)]
    told += [line_words(e, book.agreed) for e in _still_failed(new)]
    told += [f"to be done again: {_title(new, t)}, {r.why}" for t, r in sorted(new.standing.reopened.items())]
    told += [f"to be made again, what it rests on is changed: {_title(new, t)}" for t in new.again]
    told += [f"{part} is held to the home that was agreed" for part in new.pins]
    told += _asked_again(new, book)
    told += _shifted(new, book)
    told += [*_late(new, book), *_pace(new, book)]
    if told:
        console.print(Text("\nsince then", style="bold"))
        for line in dict.fromkeys(told):
            console.print(Text(f"- {one_line(line)}"))
        console.print()


def _asked_again(new: Replanned, book: LogBook) -> Iterator[str]:
    """Questions that were settled and are open again, since what they are about is not as it was."""
    before = {} if book.agreed is None else settlings(questions_in(book.agreed), book.standing)
    for question in asked_of(new.answer.job, new.answer.knockons):
        line = before.get(question.id)
        if line is not None and question.id not in new.answer.settled:
            was = f" (line {line.n} settled it by `{line.answer}`, when it was: {line.why})"
            yield f"open again: {question.text}: {question.why}{was}"


def _bygone(console: Console, new: Replanned, book: LogBook) -> None:
    """What was done by a plan of an earlier knockon and is no step of this one: told until that is agreed."""
    told = list(bygone_lines(new.bygone, book))
    if told:
        console.print(Text("what was done and is no step of the plan any more", style="bold"))
        for line in told:
            console.print(Text(f"- {one_line(line)}"))
        console.print()


def _surprise(new: Replanned, line: Entry, book: LogBook) -> str:
    """A line in words; of a trial that fits by now that is said as well."""
    mended = isinstance(line, FailedLine) and step_of_key(line.key).ref in new.standing.finished
    return line_words(line, book.agreed) + (" (done again since)" if mended else "")


def _still_failed(new: Replanned) -> Iterator[SignedLine]:
    """Checks whose last word since then is not passed; one that failed and was passed since is as it should be."""
    last = {e.checkpoint: e for e in new.standing.since if isinstance(e, SignedLine)}
    yield from (e for e in last.values() if e.verdict is not Verdict.PASSED)


def _shifted(new: Replanned, book: LogBook) -> Iterator[str]:
    """Parts that are fitted and belong elsewhere by now: nothing of the plan moves them by itself."""
    from planner.cli.replanning import shifted_since
    from planner.knockon.way_words import shift_words
    from planner.units import format_length

    units = new.answer.vehicle.units
    for part, by_mm in ({} if book.agreed is None else shifted_since(new, book.agreed)).items():
        ways = shift_words(by_mm, lambda mm: format_length(mm, units))
        name = new.answer.knockons.after[part].name
        yield (
            f"{name} is fitted, and the files put it {ways or 'at another angle'} by now: no step moves it; say what "
            "is to be done again with `knockon record failed TRIAL WHY --redo STEPS`"
        )


def _late(new: Replanned, book: LogBook) -> Iterator[str]:
    """What was to be done by now, and what was to be ordered."""
    answer, now = new.answer, new.now
    if book.agreed is None:
        return
    open_slots = [
        (k, s) for k, s in zip(book.agreed.keys, book.agreed.plan.slots, strict=True) if k not in new.standing.done
    ]
    if open_slots and open_slots[0][1].end < now:
        key = open_slots[0][0]
        yield f"it is {moment_words(now)}, and {step_words(key, book.agreed)} was to be done by then"
    for buy, day in sorted(book.agreed.plan.order_by.items()):
        known = answer.work.buys.get(buy)
        is_parcel = known is not None and known.goods and known.lead_days > 0
        if known is not None and is_ordered_later(new.whole, known):
            # The step that orders it, when it is measured, says when.
            continue
        if known is not None and is_parcel and buy not in new.standing.ordered and day < now.date():
            yield f"{known.what} (`{buy}`) is not recorded as ordered, and should have been by {day_words(day)}"


def _pace(new: Replanned, book: LogBook) -> list[str]:
    if book.agreed is None:
        return []
    before = book.agreed.pace
    changed = [w for w in sorted({*before, *new.pace}) if before.get(w, 1.0) != new.pace.get(w, 1.0)]
    return [f"{w} takes you {new.pace.get(w, 1.0):.2f} times the guess, not {before.get(w, 1.0):.2f}" for w in changed]


def _title(new: Replanned, task: str) -> str:
    return new.whole.tasks[task].title if task in new.whole.tasks else task


def _changes(console: Console, new: Replanned, agreed: Agreed) -> None:
    console.print(Text("what changes", style="bold"))
    told = [*_finish_change(new, agreed), *_steps(new, agreed)]
    for line in told[: MOST + 1]:
        console.print(Text(f"- {one_line(line)}"))
    if len(told) > MOST + 1:
        console.print(f"- and {len(told) - MOST - 1} more steps on another day")
    if not told:
        console.print("- only times of the day")
    console.print()


def _finish_change(new: Replanned, agreed: Agreed) -> Iterator[str]:
    before, after = agreed.plan.finish, new.answer.plan.finish
    if before is not None and after is not None and before != after:
        days = (after.date() - before.date()).days
        told = "the same day" if not days else f"{abs(days)} day{'s' if abs(days) > 1 else ''} "
        told += "" if not days else "later" if days > 0 else "sooner"
        yield f"finish: {day_words(before.date())} {before:%H:%M} becomes {_finish(new)}, {told}"


def _steps(new: Replanned, agreed: Agreed) -> Iterator[str]:
    """New steps first, then those needed no more, those split otherwise than agreed, and those on another day."""
    old = dict(zip(agreed.keys, agreed.plan.slots, strict=True))
    plan, numbers = new.answer.plan, dict(zip(new.keys, new.answer.numbers, strict=True))
    fresh = dict(zip(new.keys, plan.slots, strict=True))
    split = {step_of_key(k).ref for k in old if k not in fresh} & {step_of_key(k).ref for k in fresh if k not in old}
    split = {ref for ref in split if ref in new.answer.work.tasks}
    for key, slot in fresh.items():
        if key not in old and step_of_key(key).ref not in split:
            title = piece_of(new.answer.work, slot.step).title
            yield f"new: {numbers[key]} {title}, {day_words(slot.start.date())}"
    for key in old:
        ref = step_of_key(key).ref
        gone = key not in fresh and key not in new.standing.done and ref not in new.standing.skipped
        if gone and ref not in split:
            piece = piece_of_key(agreed, key)
            yield f"no more: {'' if piece is None else piece.title}"
    for ref in sorted(split):
        parts = [(numbers[k], s) for k, s in fresh.items() if step_of_key(k).ref == ref and s.step.on is None]
        told = ", ".join(f"{number} {day_words(s.start.date())}" for number, s in parts)
        at_once = "is done in one go" if len(parts) == 1 else f"is done in {len(parts)} parts"
        yield f"{new.answer.work.tasks[ref].title} {at_once}: {told}"
    for key, slot in fresh.items():
        if key in old and old[key].start.date() != slot.start.date():
            title = piece_of(new.answer.work, slot.step).title
            yield f"{numbers[key]} {title}: {day_words(old[key].start.date())} becomes {day_words(slot.start.date())}"
