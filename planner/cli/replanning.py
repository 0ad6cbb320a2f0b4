"""From where a job stands to a plan for what is left of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.planning_left import Ask, Left, Situation, plan_left, wrong_with
from planner.cli.program import program_digest
from planner.cli.updated import bygone_in, is_updated
from planner.model.job import TakeOff

if TYPE_CHECKING:
    from collections.abc import Mapping

    from planner.cli.logbook import LogBook
    from planner.cli.planning import Outline
    from planner.model.answer import Answer
    from planner.model.bygone import Bygone
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.plan import Plan
    from planner.model.runs import RunsBefore
    from planner.model.shapes import Pose, Vec
    from planner.model.standing import Agreed, Standing
    from planner.model.vehicle import Vehicle
    from planner.model.work import WorkList

_STEP = re.compile(r"\bstep ([1-9][0-9]*)(?= \(|$)")
OFF = ".off"
"""How the step is called that stands for what a part was taken off for."""
PACE_MATTERS = 0.15
"""What was agreed is worked to until somebody is so much quicker or slower at a kind of work (starting guess)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """A plan for what is left: ``answer`` with the work that is left, ``whole`` with all of it.

    ``kept``: what is left of the agreed plan, untouched. ``again``: tests that were made and do not count any more.
    ``pins``: parts held to the homes that were agreed. ``standing`` is where the job stands by today's files.
    """

    answer: Answer
    whole: WorkList
    standing: Standing
    keys: tuple[str, ...]
    kept: bool
    again: tuple[str, ...]
    pins: tuple[str, ...]
    pace: dict[str, float]
    now: datetime
    bygone: tuple[Bygone, ...] = ()
    """What was done by a plan of another program and is no step any more."""


def replanned(vehicle: Vehicle, job: Job, catalog: Catalog, book: LogBook, ask: Ask) -> Replanned:
    """Plan what is left of a job, with as little change to what was agreed as the facts allow."""
    from planner.order import binding
    from planner.order.calendar import setup_of
    from planner.work import amended, with_covered, with_fuel_off, with_mending

    pace = _pace(job, book)
    going = amended(replace(job, pace=pace), book.standing, ask.now, setup_of(job, catalog))
    going = with_fuel_off(going, vehicle, catalog)
    outline, pins = _with_what_goes_back(vehicle, going, catalog, book)
    work, bygones = _with_bygone(outline.work, book)
    standing = _refolded(book, work, ask.now)
    before = None if book.agreed is None else book.agreed.work
    whole = with_mending(with_covered(work, before, standing, catalog), standing)
    there = Situation(
        work=whole, job=outline.job, catalog=catalog, agreed=book.agreed, entries=book.entries, standing=standing
    )
    found = plan_left(there, ask)
    left, plan, today = found.work, found.plan, ask.now.date()
    violations = (*outline.violations, *_faults(outline, there, found, ask))
    from planner.log import keys_of, numbers_for
    from planner.model.answer import Answer

    keys = keys_of(plan, standing)
    numbers = numbers_for(keys, known_numbers(book))
    answer = Answer(
        vehicle=outline.vehicle,
        job=outline.job,
        knockons=outline.knockons,
        work=left,
        plan=_renumbered(plan, numbers),
        violations=violations,
        today=today,
        faults=outline.faults,
        fault_words=outline.fault_words,
        chain=binding(left, plan, outline.job, catalog, today=today) if plan.slots and not violations else None,
        numbers=numbers,
        settled=_settled(outline, standing),
    )
    return Replanned(
        answer=answer,
        whole=whole,
        standing=standing,
        keys=keys,
        kept=found.kept,
        again=tuple(sorted(found.again)),
        pins=pins,
        pace=pace,
        now=ask.now,
        bygone=bygones,
    )


def _settled(outline: Outline, standing: Standing) -> frozenset[str]:
    from planner.export.plan_words import asked_of
    from planner.log.questions import settlings

    return frozenset(settlings(asked_of(outline.job, outline.knockons), standing))


def _with_bygone(work: WorkList, book: LogBook) -> tuple[WorkList, tuple[Bygone, ...]]:
    """The work of today with what another program had planned, as far as it is still to be seen to, and all of that."""
    from planner.work import with_bygone, with_mending

    bygones = bygone_in(with_mending(work, _refolded(book, work)), book)
    return with_bygone(work, None if book.agreed is None else book.agreed.work, bygones), bygones


def _with_what_goes_back(
    vehicle: Vehicle, job: Job, catalog: Catalog, book: LogBook
) -> tuple[Outline, tuple[str, ...]]:
    """What the job makes necessary now, with parts put back that are off and need not have been."""
    outline, pins = outlined_as_agreed(vehicle, job, catalog, book.agreed)
    back = _going_back(outline, book)
    if not back:
        return outline, pins
    changes = (*job.changes, *(TakeOff(part=part) for part in back))
    return outlined_as_agreed(vehicle, replace(job, changes=changes), catalog, book.agreed)


def _going_back(outline: Outline, book: LogBook) -> tuple[str, ...]:
    """Parts and links that are off and by today's sizes stay where they were: nothing else would put them back."""
    if book.agreed is None:
        return ()
    before, vehicle, knockons = book.agreed.work.features, outline.vehicle, outline.knockons
    there = (vehicle.components.keys() | vehicle.links) & (knockons.after.keys() | knockons.links_after)
    off = [before[f].subject for f, on in book.standing.states.items() if f in before and before[f].start and not on]
    # What was put back so is still to be proved as one that was off.
    off += [t.removesuffix(OFF) for t in book.standing.finished if t in book.agreed.work.tasks and t.endswith(OFF)]
    handled = {f.subject for f in outline.work.features.values()}
    return tuple(p for p in dict.fromkeys(off) if p in there and p not in handled)


def _renumbered(plan: Plan, numbers: tuple[int, ...]) -> Plan:
    """Reasons that name steps by the numbers they are called by, not by their place in this plan."""

    def named(match: re.Match[str]) -> str:
        place = int(match[1]) - 1
        return f"step {numbers[place]}" if place < len(numbers) else match[0]

    return replace(plan, why=tuple(_STEP.sub(named, text) for text in plan.why))


def known_numbers(book: LogBook) -> dict[str, int]:
    """Every number that a step of this job was ever called by, by step key."""
    from planner.log import AgreedError, read_agreed
    from planner.model.log import AgreedLine

    for line in reversed(book.entries):
        if isinstance(line, AgreedLine):
            try:
                return read_agreed(book.plans, line.plan).named
            except AgreedError:
                continue
    return {}


def _pace(job: Job, book: LogBook) -> dict[str, float]:
    """The factors in use: those that were agreed, until the log says that one of them is well off."""
    from planner.cli.logbook import all_entries
    from planner.log import paces

    own = job.pace or {}
    found = {**own, **{work: p.factor for work, p in paces(all_entries(book), own).items()}}
    if book.agreed is None:
        return found
    agreed = book.agreed.pace
    off = [w for w in {*found, *agreed} if abs(found.get(w, 1.0) / agreed.get(w, 1.0) - 1.0) > PACE_MATTERS]
    return found if off else dict(agreed)


def outlined_as_agreed(
    vehicle: Vehicle, job: Job, catalog: Catalog, agreed: Agreed | None
) -> tuple[Outline, tuple[str, ...]]:
    """What the job makes necessary now; parts that would go elsewhere than agreed are held to where they were to go."""
    from planner.cli.planning import outlined
    from planner.work import pinned

    outline = outlined(vehicle, job, catalog)
    homes = {} if agreed is None else {p: h for p, h in agreed.homes.items() if p in vehicle.components}
    astray = tuple(sorted(p for p, home in homes.items() if outline.knockons.homes.get(p) != home))
    if not astray:
        return outline, ()
    try:
        return outlined(vehicle, pinned(job, homes, outline.knockons.homes, vehicle), catalog), astray
    except Stop:
        # What was measured or found leaves no room for what was agreed: the new homes stand.
        return outline, ()


def _refolded(book: LogBook, work: WorkList, now: datetime | None = None) -> Standing:
    from planner.log import fold
    from planner.model.standing import Basis

    basis = Basis(work=work) if book.agreed is None else replace(book.agreed.basis, work=work)
    return fold(book.entries, basis, now)


def _faults(outline: Outline, there: Situation, found: Left, ask: Ask) -> tuple[str, ...]:
    """What the independent checker has against the plan."""
    from planner.verify import check_bygone, check_days, check_found, check_left, check_told

    plan, today = found.plan, ask.now.date()
    lost = (*check_found(there.job, there.entries), *check_days(there.job, there.entries))
    if there.agreed is not None:
        lost = (*lost, *check_bygone(there.agreed, there.work, there.entries, updated=is_updated(there.agreed)))
    if not plan.slots:
        troubled = plan.trouble or plan.strip.trouble
        return lost if troubled else (*lost, *check_left(there.work, plan, there.entries, today))
    told = check_told(outline.vehicle, outline.knockons, found.work, plan)
    if found.kept:
        # It is kept because the checker has accepted all the rest of it.
        return (*lost, *told)
    return (
        *lost,
        *wrong_with(found.work, plan, there.job, there.catalog, today),
        *told,
        *check_left(there.work, plan, there.entries, today),
    )


def agreed_of(replan: Replanned, book: LogBook, inputs: Mapping[str, str], now: datetime) -> Agreed:
    """The plan as it is written down when it is agreed."""
    from planner.export.plan_words import asked_of
    from planner.model.standing import Agreed

    answer = replan.answer
    if answer.violations or answer.plan.trouble or answer.plan.strip.trouble:
        raise Stop(Exit.FAULTS, "this is no plan to agree to", "see what is said about it above")
    return Agreed(
        made=now.date(),
        project=answer.vehicle.name,
        job=book.job,
        option=answer.job.option,
        inputs=dict(inputs),
        pace=replan.pace,
        homes={p: answer.knockons.homes[p] for p in sorted(answer.knockons.homes)},
        work=replan.whole,
        plan=answer.plan,
        keys=replan.keys,
        named=known_numbers(book) | dict(zip(replan.keys, answer.numbers, strict=True)),
        again=tuple(sorted({*replan.again, *_still_again(replan, book)})),
        places=places_of(answer),
        asked=asked_of(answer.job, answer.knockons),
        sizes=dict(replan.standing.sizes),
        made_by=program_digest(),
        bygone=replan.bygone,
        runs=_runs_of(answer),
    )


def _runs_of(answer: Answer) -> RunsBefore:
    from planner.model.runs import Laid, RunsBefore

    runs = answer.knockons.runs
    found = {i: runs[i].points_mm[1:-1] for i in sorted(runs) if runs[i].laid is not Laid.DRAWN}
    return RunsBefore(corners_mm=found, none=dict(sorted(answer.knockons.no_runs.items())))


def places_of(answer: Answer) -> dict[str, Pose]:
    """Where a job puts the parts it adds or moves."""
    before = answer.vehicle.components
    after = answer.knockons.after
    return {i: c.pose for i, c in sorted(after.items()) if i not in before or before[i].pose != c.pose}


def shifted_since(replan: Replanned, agreed: Agreed) -> dict[str, Vec]:
    """Parts that are fitted where they were to go and that today's files put elsewhere, by how much [mm].

    What was marked, drilled and tried for them is of the old place; only who did it knows what of it still serves.
    """
    there = places_of(replan.answer)
    fitted = {
        f.subject
        for f in replan.whole.features.values()
        if f.goal and not f.start and replan.standing.states.get(f.id, f.start)
    }
    moved = {i: there[i] for i in sorted(fitted & there.keys() & agreed.places.keys()) if there[i] != agreed.places[i]}
    return {i: _between(agreed.places[i].at_mm, pose.at_mm) for i, pose in moved.items()}


def _between(before: Vec, after: Vec) -> Vec:
    x, y, z = (b - a for a, b in zip(before, after, strict=True))
    return x, y, z


def _still_again(replan: Replanned, book: LogBook) -> list[str]:
    """Tests that the plan before was to make again, and that nobody has made since."""
    before = () if book.agreed is None else book.agreed.again
    return [t for t in before if t not in replan.standing.finished]
