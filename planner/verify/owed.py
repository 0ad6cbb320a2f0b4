"""What earlier jobs left open: is each of it still to be signed before the use that it holds back."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.vehicle import Vehicle
from planner.model.words import GATES, ROAD_TEST
from planner.model.work import WorkList
from planner.verify.sequence import Order, tasks_before

_FROM = {"start": 0, "move": 1, "road": 2}
PREFIX = "open-"


def owed_faults(vehicle: Vehicle, work: WorkList, order: Order) -> Iterator[str]:
    """Give a sentence for each thing left open that is in no plan, or that may be signed too late."""
    for owed in vehicle.to_prove.values():
        check = f"{PREFIX}{owed.id}"
        signers = [t.id for t in work.tasks.values() if t.checkpoint == check]
        if check not in work.checkpoints or not signers:
            yield f"`{owed.id}` was left open by an earlier job and is no check of this one"
            continue
        for gate in GATES[_FROM[owed.before.value] :]:
            for signer in signers if gate in work.tasks else ():
                runs = gate in tasks_before(order, signer)
                if signer not in tasks_before(order, gate) and (gate == ROAD_TEST or not runs):
                    yield f"`{signer}` was left open by an earlier job and does not hold back `{gate}`"
