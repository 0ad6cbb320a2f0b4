"""A page a work session: its steps with everything needed to do them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from planner.book.bags import Bags
from planner.book.checks import Check, check_at, sheet_numbers
from planner.book.facts import BookFacts
from planner.export.plan_words import (
    checks_of,
    details_of,
    one_line,
    open_of,
    piece_of,
    slot_minutes,
    slot_title,
)
from planner.log.questions import held_by
from planner.model.plan import Slot
from planner.model.words import Work
from planner.model.work import Task, Toggle, WorkList
from planner.units import format_minutes
from planner.units.spoken import day_words, hands_words
from planner.work.loosely import tight_id

_CIRCUIT = "circuit:"
_STATE = "state:"
_TORQUED = "torque wrench"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A caution at a step; ``told_at`` is the step of the same session that has it in full, where it is not this."""

    text: str
    told_at: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """An open question with its reasons, and the numbers of the steps of a session that wait for its answer."""

    id: str
    text: str
    why: str
    steps: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """One step. ``bag`` is the bag it fills or, with ``back``, empties."""

    slot: int
    key: str
    number: int
    start: str
    minutes: str
    hands: int
    title: str
    tools: str
    details: tuple[str, ...]
    why: str
    cautions: tuple[Caution, ...]
    checks: tuple[Check, ...]
    sort: str
    """"off", "on" or "task"."""
    fixings: str = ""
    torqued: bool = False
    fluid: str = ""
    bag: int | None = None
    bag_of: str = ""
    back: bool = False
    same_why: bool = False
    """The step before it in the session has the same reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPage:
    """One work session. ``number`` counts the sessions that have work in them, from 1."""

    number: int
    day: str
    hours: str
    hands: str
    length: str
    tools: tuple[str, ...]
    arrivals: tuple[str, ...]
    steps: tuple[StepLine, ...]


def sessions_of(facts: BookFacts, bags: Bags) -> tuple[SessionPage, ...]:
    """All sessions with work in them."""
    plan = facts.answer.plan
    found: list[SessionPage] = []
    told: set[str] = set()
    sheets = sheet_numbers(facts)
    for index, session in enumerate(plan.sessions):
        slots = [(n, s) for n, s in enumerate(plan.slots) if s.session == index]
        if not slots:
            continue
        items = [piece_of(facts.answer.work, s.step) for _, s in slots]
        needs = [p for i in items for p in i.purchases if p not in told]
        told.update(needs)
        found.append(
            SessionPage(
                number=len(found) + 1,
                day=day_words(session.day),
                hours=f"{session.start:%H:%M} to {session.end:%H:%M}",
                hands=hands_words(session.hands),
                length=format_minutes(sum(slot_minutes(s) for _, s in slots)),
                tools=tuple(dict.fromkeys(one_line(t) for i in items for t in i.tools)),
                arrivals=tuple(dict.fromkeys(facts.answer.work.buys[p].what for p in needs)),
                steps=tuple(_steps(facts, bags, slots, sheets)),
            )
        )
    return tuple(found)


def _steps(
    facts: BookFacts, bags: Bags, slots: list[tuple[int, Slot]], sheets: Mapping[str, int]
) -> Iterator[StepLine]:
    first: dict[str, int] = {}
    before = ""
    standing = _standing_cautions(facts.answer.work)
    for n, slot in slots:
        item = piece_of(facts.answer.work, slot.step)
        cautions = []
        # A check's own caution stands in its box.
        told = {facts.answer.work.checkpoints[c].caution for c in checks_of(item)}
        # What is said of all work of a kind is read past: what this step is warned of besides comes first.
        for text in sorted(dict.fromkeys(c for c in item.cautions if c not in told), key=standing.__contains__):
            at = first.setdefault(text, n)
            cautions.append(Caution(text=text, told_at=None if at == n else facts.answer.number(at)))
        checks = tuple(check_at(facts, n, c, sheets[c]) for c in checks_of(item))
        step = _step(facts, bags, n, item, (tuple(cautions), checks))
        yield replace(step, same_why=bool(step.why) and step.why == before)
        before = step.why


def _standing_cautions(work: WorkList) -> frozenset[str]:
    """What is said of all work of one kind: what several steps of it begin with."""
    pieces: list[Task | Toggle] = [t for t in work.tasks.values() if t.work is not Work.TESTING]
    pieces += [t for f in work.features.values() if ":" not in f.id for t in f.toggles]
    begun = Counter(p.cautions[0] for p in pieces if p.cautions)
    return frozenset(text for text, count in begun.items() if count > 1)


def _step(
    facts: BookFacts, bags: Bags, n: int, item: Task | Toggle, held: tuple[tuple[Caution, ...], tuple[Check, ...]]
) -> StepLine:
    answer, slot = facts.answer, facts.answer.plan.slots[n]
    filled, wanted = bags.filled_at(n), bags.wanted.get(n)
    subject = answer.work.features[slot.step.ref].subject if slot.step.on is not None else ""
    return StepLine(
        slot=n,
        key=facts.keys[n],
        number=answer.number(n),
        start=f"{slot.start:%H:%M}",
        minutes=format_minutes(slot_minutes(slot)),
        hands=item.hands,
        title=slot_title(answer.work, slot),
        tools=", ".join(one_line(t) for t in item.tools),
        details=tuple(_unsaid(details_of(item, open_of(answer)), item.cautions)),
        why=_why(answer.plan.why[n], item),
        cautions=held[0],
        checks=held[1],
        sort="task" if slot.step.on is None else "on" if slot.step.on else "off",
        fixings=_fixings(facts, slot, subject),
        torqued=_TORQUED in item.tools and slot.step.on is True and tight_id(slot.step.ref) not in answer.work.features,
        fluid=facts.fluids.get(subject, "") if slot.step.ref.startswith(_CIRCUIT) else "",
        bag=filled.number if filled is not None else wanted,
        bag_of=facts.name_of(subject) if subject else "",
        back=filled is None and wanted is not None,
    )


def _unsaid(lines: Iterable[str], cautions: Iterable[str]) -> Iterator[str]:
    """The lines that no caution of the step tells word for word, with or without what leads up to them."""
    for line in lines:
        told = line.partition(": ")[2] or line
        if not any(told in caution for caution in cautions):
            yield line


def _why(why: str, item: Task | Toggle) -> str:
    """The reason, with what it is a reason for."""
    if not why:
        return ""
    return f"Why: {why}" if isinstance(item, Task) else f"Why now: {why}"


def _fixings(facts: BookFacts, slot: Slot, subject: str) -> str:
    if slot.step.on is None or ":" in slot.step.ref:
        return ""
    after, now = facts.answer.knockons.after, facts.answer.vehicle.components
    part = (after.get(subject) or now.get(subject)) if slot.step.on else (now.get(subject) or after.get(subject))
    return part.fixings if part is not None else ""


def held_in(facts: BookFacts, slots: Iterable[int]) -> tuple[Held, ...]:
    """The open questions that hold back steps of a plan, told by their slots, each with the steps it holds."""
    answer = facts.answer
    asked = open_of(answer)
    waiting: dict[str, list[int]] = {}
    for n in slots:
        for question in held_by(piece_of(answer.work, answer.plan.slots[n].step), asked):
            waiting.setdefault(question.id, []).append(answer.number(n))
    return tuple(Held(id=q.id, text=q.text, why=q.why, steps=tuple(waiting[q.id])) for q in asked if q.id in waiting)


def standing_of(facts: BookFacts, slot: int) -> tuple[str, ...]:
    """How the vehicle stands when a step begins, in words: the states it is in, the circuits that are open."""
    now = facts.answer.work.states_after(s.step for s in facts.answer.plan.slots[:slot])
    features = facts.answer.work.features
    states = (features[i].name for i, on in now.items() if i.startswith(_STATE) and on)
    opened = (
        f"{facts.name_of(subject)} open"
        for i, on in now.items()
        if i.startswith(_CIRCUIT) and not on and not _is_unbuilt(facts, subject := features[i].subject, now)
    )
    return (*states, *opened)


def _is_unbuilt(facts: BookFacts, system: str, now: Mapping[str, bool]) -> bool:
    """Whether nothing of a circuit was on the vehicle and nothing of it is yet: there is nothing to be open."""
    vehicle = facts.answer.vehicle
    there = {i for i, part in vehicle.components.items() if system in part.systems}
    there |= {i for i, link in vehicle.links.items() if link.system == system}
    after = facts.answer.knockons
    comes = {i for i, part in after.after.items() if system in part.systems}
    comes |= {i for i, link in after.links_after.items() if link.system == system}
    return not there and not any(now.get(i, False) for i in comes)
