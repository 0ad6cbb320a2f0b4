"""Which features, tasks, checkpoints and purchases a set of knock-ons needs."""

from planner.work.build import work_for
from planner.work.circuits import circuit_id, state_id
from planner.work.gates import FIRST_MOVE, FIRST_START, ROAD_TEST
from planner.work.what_if import with_helper, with_late, with_session, without_wishes

__all__ = [
    "FIRST_MOVE",
    "FIRST_START",
    "ROAD_TEST",
    "circuit_id",
    "state_id",
    "with_helper",
    "with_late",
    "with_session",
    "without_wishes",
    "work_for",
]
