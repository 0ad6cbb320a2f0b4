"""The order of the work itself: every rule by which one step is done before, with or without something."""

from __future__ import annotations

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList
from planner.verify.body_steps import handling_faults
from planner.verify.earth_order import earth_faults
from planner.verify.holes_made import hole_faults
from planner.verify.let_in import let_in_faults
from planner.verify.looked_after import look_faults
from planner.verify.near_heat import heat_faults
from planner.verify.own_said import own_faults
from planner.verify.ports_taken import port_faults
from planner.verify.sequence import forced_order
from planner.verify.states_held import state_faults
from planner.verify.supplied import supply_faults
from planner.verify.templated import template_faults
from planner.verify.tightened import tightness_faults


def check_steps(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, *, job: Job | None = None
) -> tuple[str, ...]:
    """Every step that may be done too early, too late, or without what it needs.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Its templates, conditions and kinds.
    job : Job, optional
        Its cuts, own tasks and purchases; without it none of those is looked at.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when sound.
    """
    order = forced_order(work)
    return (
        *template_faults(vehicle, knockons, work, catalog, job, order),
        *hole_faults(vehicle, knockons, work, catalog, job, order),
        *let_in_faults(vehicle, knockons, work, catalog, job, order),
        *port_faults(vehicle, knockons, work, catalog),
        *own_faults(vehicle, knockons, work, catalog, job, order),
        *supply_faults(vehicle, knockons, work, catalog, job, order),
        *handling_faults(vehicle, knockons, work, catalog),
        *look_faults(vehicle, knockons, work, catalog, job, order),
        *tightness_faults(knockons, work, catalog, order),
        *state_faults(vehicle, work, catalog, order),
        *heat_faults(vehicle, knockons, work, catalog, job),
        *earth_faults(vehicle, knockons, work),
    )
