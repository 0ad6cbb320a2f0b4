"""From a job to its checked plan, for every command that needs one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop, listed

if TYPE_CHECKING:
    from datetime import date

    from planner.model.answer import Answer
    from planner.model.catalog import Catalog
    from planner.model.effects import Knockons
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle
    from planner.model.work import WorkList
    from planner.order.halt import Halt

LIMIT_S = 12.0
"""Time for order and sessions, unless asked otherwise [s]: enough for the shipped job's strip-down to be proved."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """What a job makes necessary, before any date: with what the independent checker says against it."""

    vehicle: Vehicle
    job: Job
    knockons: Knockons
    work: WorkList
    violations: tuple[str, ...]
    faults: int
    fault_words: tuple[str, ...] = ()


def outlined(vehicle: Vehicle, job: Job, catalog: Catalog) -> Outline:
    """Knock-ons and work, and the check of each by verify/."""
    from planner.knockon import find_knockons, present_faults
    from planner.model.effects import Proof
    from planner.verify import check_gates, check_homes, check_steps, check_ways
    from planner.work import work_for

    knockons = find_knockons(vehicle, job, catalog)
    if knockons.proof is Proof.NONE:
        told = listed(dict.fromkeys(knockons.trouble))
        raise Stop(Exit.FAULTS, f"there is no place for all of it:{told}", "`knockon moves` tells more")
    work = work_for(vehicle, job, knockons, catalog)
    violations = (
        *check_homes(vehicle, job, knockons, catalog),
        *check_gates(vehicle, knockons, work, catalog, job=job),
        *check_steps(vehicle, knockons, work, catalog, job=job),
        *check_ways(vehicle, job, knockons, work, catalog),
    )
    faults = present_faults(vehicle)
    return Outline(
        vehicle=vehicle,
        job=job,
        knockons=knockons,
        work=work,
        violations=violations,
        faults=len(faults),
        fault_words=tuple(fault.text for fault in faults),
    )


def timed(outline: Outline, catalog: Catalog, *, today: date, limit_s: float, halt: Halt | None = None) -> Answer:
    """Order and sessions for what is to be done, checked by verify/."""
    from planner.model.answer import Answer
    from planner.order import binding, scheduled
    from planner.verify import check_plan, check_strip, check_told

    work, job = outline.work, outline.job
    plan = scheduled(work, job, catalog, today=today, limit_s=limit_s, halt=halt)
    violations = list(outline.violations)
    if plan.strip.steps:
        violations += check_strip(work, plan.strip)
    if plan.slots:
        violations += check_plan(work, plan, job, catalog, today)
        violations += check_told(outline.vehicle, outline.knockons, work, plan)
    return Answer(
        vehicle=outline.vehicle,
        job=job,
        knockons=outline.knockons,
        work=work,
        plan=plan,
        violations=tuple(violations),
        today=today,
        faults=outline.faults,
        fault_words=outline.fault_words,
        # What binds a plan that is wrong means nothing.
        chain=binding(work, plan, job, catalog, today=today) if plan.slots and not violations else None,
    )


def planned(
    vehicle: Vehicle, job: Job, catalog: Catalog, *, today: date, limit_s: float, halt: Halt | None = None
) -> Answer:
    """Knock-ons, work, order, sessions, and the check of each by verify/."""
    return timed(outlined(vehicle, job, catalog), catalog, today=today, limit_s=limit_s, halt=halt)


def with_wish_costs(answer: Answer, *, limit_s: float, halt: Halt | None = None) -> Answer:
    """The same answer with what each of the owner's wishes costs."""
    from dataclasses import replace

    from planner.order import wish_costs

    if not answer.plan.slots or not answer.job.leave_in:
        return answer
    return replace(answer, wishes=wish_costs(answer.work, answer.plan.strip, limit_s=limit_s, halt=halt))


def with_odds(answer: Answer, catalog: Catalog) -> Answer:
    """The same answer with the chances of its dates."""
    from dataclasses import replace

    from planner.order import odds

    if not answer.plan.slots:
        return answer
    return replace(answer, odds=odds(answer.work, answer.plan, answer.job, catalog, today=answer.today))
