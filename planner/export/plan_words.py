"""What every face of a plan says in the same words, and text made safe to be printed anywhere."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import time

from planner.export.pushed_words import pushed_words
from planner.log.questions import held_by
from planner.model.answer import Answer
from planner.model.effects import Effect, EffectKind, Knockons, Proof
from planner.model.guessed import SIZE, resting_on_guess
from planner.model.job import Cut, Job
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.standing import Question
from planner.model.steps import thing_of
from planner.model.words import ROAD_TEST
from planner.model.work import Buy, Checkpoint, Task, Toggle, WorkList
from planner.units import format_minutes
from planner.units.spoken import day_words, hands_words, moment_words

DEFER = (
    "This plan is a home builder's aid, not an approval: it knows nothing of hidden corrosion, bad welds or wrong "
    "measurements. Local rules, inspection and qualified people decide. No checkpoint may be skipped."
)
WRONG = "THIS PLAN IS WRONG, do not work from it: the independent check does not accept it."
SOUND = "Independent check of places, order, sessions and checkpoints: no fault found (strength is not judged)."

BLOCKS = {
    "road": "not on the road",
    "moving": "not moved under its own power",
    "condition": "no work in that state",
    "filling": "not filled",
    "engine": "engine not started",
    "metal": "nothing of the vehicle cut, drilled or welded, no part of it altered (new parts at the bench may be)",
}
"""What an open checkpoint forbids, in words."""

_BARRED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]")
"""Controls and half characters (Unicode's Cc, but for the tab and the line end, and Cs), and marks that turn the
direction of writing: they can make a text read as another."""


def clean(text: str) -> str:
    r"""What of a text may be printed: what acts on a terminal or turns the writing round is out.

    Line ends stay, as plain ones, and so do the joiners that some scripts are written with: a text is read here.
    `log.read.safe_text` is stricter with what is kept, `draw.picture.plain` with what has to fit on a line.

    Examples
    --------
    >>> clean("fit\x1b[31m the\tseat\r\nthen\x07 stop")
    'fit[31m the seat\nthen stop'
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\u2028", "\n").replace("\u2029", "\n")
    return _BARRED.sub("", lines.replace("\t", " "))


def one_line(text: str) -> str:
    """The same on one line, without blanks at the ends."""
    return " ".join(clean(text).split())


def trouble_of(plan: Plan) -> tuple[str, ...]:
    """Why there is no plan, each reason once: the packing repeats what the strip-down could not do."""
    return tuple(dict.fromkeys((*plan.strip.trouble, *plan.trouble)))


def late_days(job: Job, plan: Plan) -> int | None:
    """Days from the day to meet to the day the plan ends: 0 when it is met, None without such a day or an end."""
    if job.finish_by is None or plan.finish is None:
        return None
    return max(0, (plan.finish.date() - job.finish_by).days)


def piece_of(work: WorkList, step: Step) -> Task | Toggle:
    """The task or toggle a step is."""
    return work.piece(step)


def checks_of(piece: Task | Toggle) -> tuple[str, ...]:
    """Ids of the checkpoints that are made with a step."""
    if isinstance(piece, Toggle):
        return piece.checks
    return (piece.checkpoint,) if piece.checkpoint is not None else ()


def details_of(piece: Task | Toggle, questions: Sequence[Question] = ()) -> tuple[str, ...]:
    """How a step is done, or what it is done to, line by line; before that the open questions that hold it back."""
    held = (f"First settle: {q.text} (knockon record settled {q.id} ANSWER)" for q in held_by(piece, questions))
    return (*held, *(piece.steps if isinstance(piece, Toggle) else piece.notes))


def unplaced(answer: Answer) -> tuple[Checkpoint, ...]:
    """Checkpoints that no slot carries: they are to be passed all the same."""
    work = answer.work
    placed = {c for s in answer.plan.slots for c in checks_of(piece_of(work, s.step))}
    return tuple(c for i, c in work.checkpoints.items() if i not in placed)


def check_words(checkpoint: Checkpoint) -> str:
    """A checkpoint in full: what is measured, its limit, what it holds back, the caution."""
    holds = [BLOCKS.get(b, b) for b in checkpoint.blocks]
    words = [f"{checkpoint.title}: {checkpoint.measure}.", f"Limit: {checkpoint.limit}."]
    if holds:
        words.append(f"Until it is passed: {'; '.join(holds)}.")
    if checkpoint.caution:
        words.append(checkpoint.caution)
    return one_line(" ".join(words))


def lead_words(buy: Buy) -> str:
    """How long a purchase takes to come, or that nobody has said so."""
    if buy.used_up and not buy.lead_days:
        return "used up"
    if not buy.lead_days:
        return "at hand" if buy.lead_told else "lead not given"
    return "1 day" if buy.lead_days == 1 else f"{buy.lead_days} days"


def order_words(answer: Answer, buy: Buy) -> str:
    """When to order a purchase: with the step that does it where it is made to what is measured, else by what day."""
    number = ordering_step(answer, buy)
    if number is not None:
        is_link = buy.for_part in answer.knockons.links_after
        return f"when measured, step {number}" if is_link else f"with step {number}"
    last = answer.plan.order_by.get(buy.id)
    return f"by {day_words(last)}" if last is not None and buy.lead_days else ""


def ordering_step(answer: Answer, buy: Buy) -> int | None:
    """Number of the step by which a purchase is ordered, or handed over; None when it can be ordered at once."""
    steps = {task.id for task in answer.work.tasks.values() if task.orders == buy.id}
    return next((answer.number(n) for n, s in enumerate(answer.plan.slots) if s.step.ref in steps), None)


def is_ordered_later(work: WorkList, buy: Buy) -> bool:
    """Whether a step that is still to be done orders it, so that it cannot be ordered on the first day."""
    return any(task.orders == buy.id for task in work.tasks.values())


def total_words(bought: Sequence[Buy], currency: str) -> str:
    """What purchases cost together, and how many have no price."""
    unpriced = sum(not b.price and not b.used_up for b in bought)
    told = f"{sum(b.price for b in bought):.2f} {currency}"
    return told if not unpriced else f"{told}, {unpriced} of them without a price"


def lead_hint(bought: Sequence[Buy]) -> str:
    """How to say what the list lacks; empty when it lacks nothing."""
    lacking = [b.for_part or b.id for b in bought if not b.lead_days and not b.lead_told]
    if not lacking:
        return ""
    return (
        "Lead not given: planned as if at hand. Write `lead: 6 days` (`lead: 0 days` when it is here) and `price: 12` "
        "beside the part or link where a file describes it, or name it with `for` under the job's `purchases`: "
        f"{', '.join(dict.fromkeys(lacking))}."
    )


def slot_minutes(slot: Slot) -> int:
    """Length of a slot [min]."""
    return int((slot.end - slot.start).total_seconds()) // 60


def slot_title(work: WorkList, slot: Slot) -> str:
    """Title of a slot, with its part when its task is split."""
    title = one_line(piece_of(work, slot.step).title)
    return title if slot.parts == 1 else f"{title} (part {slot.part} of {slot.parts})"


def effort_words(work: WorkList, slot: Slot) -> str:
    """How long a slot takes, and with how many hands when it takes more than one pair."""
    hands = piece_of(work, slot.step).hands
    return format_minutes(slot_minutes(slot)) + (f", {hands_words(hands)}" if hands > 1 else "")


def plan_name(answer: Answer) -> str:
    """Vehicle and job, with the option it takes."""
    job = answer.job
    option = f" ({job.options[job.option].name})" if job.option is not None and job.option in job.options else ""
    return one_line(f"{answer.vehicle.name}: {job.name}{option}")


def headline(answer: Answer) -> str:
    """Steps, effort, finish and proof on one line."""
    plan = answer.plan
    strip = plan.strip
    steps = sum(s.part == 1 for s in plan.slots)
    finish = f"; finished {day_words(plan.finish.date())} {plan.finish:%H:%M}" if plan.finish is not None else ""
    return (
        f"{steps} steps, {format_minutes(plan.work_min)} of hands' time in {len({s.session for s in plan.slots})} "
        f"sessions{finish}. Taking off, refitting, draining and filling take "
        f"{format_minutes(strip.cost - strip.dislike)} of it, {least_words(strip)}."
    )


def least_words(strip: Strip) -> str:
    """How near the strip-down is known to be to the least, told in the sum it was sought by.

    With the owner's own prices in that sum the bare minutes may be fewer than its proved least.
    """
    priced = ", your own prices on it included" if strip.dislike else ""
    if strip.proof is Proof.NONE:
        return "no answer"
    if strip.proof is Proof.PROVED:
        return f"proved the least there is{priced}"
    least = f"{format_minutes(strip.bound)} at least"
    return f"best found: {format_minutes(strip.cost)}{priced}, {least}" if priced else f"best found, {least}"


MOST_FAULTS = 4
"""So many faults of the vehicle as it stands are told one by one."""


def warnings_of(answer: Answer) -> list[str]:
    """What stands above a plan: trouble, a check that failed, lateness, faults, how it was found."""
    told = [f"Cannot be planned: {line}" for line in trouble_of(answer.plan)]
    if answer.violations:
        told += [WRONG, *answer.violations]
    late = late_days(answer.job, answer.plan)
    if late and answer.job.finish_by is not None:
        days = "1 day" if late == 1 else f"{late} days"
        told.append(f"Finishes {days} after the day to meet, {day_words(answer.job.finish_by)}.")
    dark = dark_words(answer.plan)
    told += [dark] if dark else []
    told += pushed_words(answer)
    if answer.faults:
        faults = "1 fault" if answer.faults == 1 else f"{answer.faults} faults"
        which = "; ".join(answer.fault_words[:MOST_FAULTS])
        rest = f"; and {more} more" if (more := len(answer.fault_words) - MOST_FAULTS) > 0 else ""
        said = f": {which}{rest}. It" if which else "; it"
        told.append(f"As it stands the vehicle has {faults} (`knockon check`){said} is taken as it is.")
    return [one_line(line) for line in (*told, *answer.plan.notes)]


FIRST_LIGHT, LAST_LIGHT, LAST_MIDWINTER = time(8), time(17), time(16)
"""Drives that begin outside these hours may be in the dark; the last is for November to January. Starting guesses."""
_MIDWINTER = frozenset({11, 12, 1})


def dark_words(plan: Plan) -> str:
    """A warning when the road test is planned for an hour that may be dark; empty when it is not."""
    begins = next((s.start for s in plan.slots if s.step.ref == ROAD_TEST), None)
    if begins is None:
        return ""
    last = LAST_MIDWINTER if begins.month in _MIDWINTER else LAST_LIGHT
    if FIRST_LIGHT <= begins.time() < last:
        return ""
    return (
        f"The road test would begin on {moment_words(begins)}. If it is dark by then, it waits: give the job a session "
        "by day for it."
    )


def questions_of(answer: Answer) -> list[str]:
    """What a tape measure has to settle before the plan can be trusted."""
    return [q.text for q in open_of(answer)]


def open_of(answer: Answer) -> tuple[Question, ...]:
    """Open questions of a plan to which the job's log has no answer."""
    return tuple(q for q in asked_of(answer.job, answer.knockons) if q.id not in answer.settled)


def asked_of(job: Job, knockons: Knockons) -> tuple[Question, ...]:
    """All that a job leaves open, each with its reasons and with the parts, links and holes whose work waits for it."""
    cuts = [c for c in job.changes if isinstance(c, Cut)]
    return tuple(_question(e, cuts, knockons) for e in knockons.effects if e.kind is EffectKind.MEASURED)


def _question(effect: Effect, cuts: Sequence[Cut], knockons: Knockons) -> Question:
    things = things_asked(effect.subject)
    hosts = set(things)
    if effect.subject.endswith(SIZE):
        hosts |= {p.mounted_on for i, p in knockons.after.items() if i in things and p.mounted_on is not None}
        # What ends at a part that nobody has measured ends nobody knows where, and what moves for it may go further.
        ends = {k.id for k in knockons.links_after.values() if any(end.component in things for end in k.ends)}
        things = things.union(ends, *(resting_on_guess(knockons, thing) for thing in things))
    return Question(
        id=effect.subject,
        text=one_line(effect.text),
        why="; ".join(one_line(c.text) for c in effect.causes),
        about=tuple(sorted(things | {c.id for c in cuts if c.host in hosts})),
        keep_mm=max((c.keep_mm for c in effect.causes if c.keep_mm is not None), default=None),
    )


def things_asked(subject: str) -> frozenset[str]:
    """What a question is about: one thing, one end of it after a dot, or two things.

    Examples
    --------
    >>> sorted(things_asked("pedal-box~bulkhead")), sorted(things_asked("tank@new"))
    (['bulkhead', 'pedal-box'], ['tank'])
    """
    return frozenset(thing_of(one).split("@", 1)[0] for one in subject.split("~"))
