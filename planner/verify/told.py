"""Whether everything a plan takes off was told among the knock-ons: what is not told calls for no checkpoint."""

from __future__ import annotations

from planner.model.effects import Knockons
from planner.model.plan import Plan
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList


def check_told(vehicle: Vehicle, knockons: Knockons, work: WorkList, plan: Plan) -> tuple[str, ...]:
    """Every part and link that some slot takes off or fits must be the subject of an effect.

    Returns
    -------
    tuple of str
        One sentence a part that is handled and not told; empty when sound.
    """
    told = {effect.subject for effect in knockons.effects}
    parts = {*vehicle.components, *vehicle.links, *knockons.after}
    handled: dict[str, int] = {}
    for number, slot in enumerate(plan.slots, start=1):
        feature = work.features.get(slot.step.ref) if slot.step.on is not None else None
        if feature is not None and feature.subject in parts:
            handled.setdefault(feature.subject, number)
    return tuple(
        f"slot {number}: `{part}` is handled, and no knock-on tells of it: its checkpoints may be missing"
        for part, number in handled.items()
        if part not in told
    )
