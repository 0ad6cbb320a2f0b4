"""Which features, tasks, checkpoints and purchases a set of knock-ons needs."""

from planner.work.build import work_for
from planner.work.circuits import circuit_id, state_id
from planner.work.gates import FIRST_MOVE, FIRST_START, ROAD_TEST

__all__ = ["FIRST_MOVE", "FIRST_START", "ROAD_TEST", "circuit_id", "state_id", "work_for"]
