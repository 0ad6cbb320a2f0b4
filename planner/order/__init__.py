"""The order of work: least strip-down, dated work sessions, critical path."""

from planner.order.binds import binding
from planner.order.chance import odds
from planner.order.critical import Window, critical_path
from planner.order.resume import resumed
from planner.order.schedule import scheduled
from planner.order.schedule_first import pack
from planner.order.shift import shifted
from planner.order.strip_solve import least_strip
from planner.order.strip_wishes import wish_costs
from planner.order.what_if import with_helper, with_late, without_wishes

__all__ = [
    "Window",
    "binding",
    "critical_path",
    "least_strip",
    "odds",
    "pack",
    "resumed",
    "scheduled",
    "shifted",
    "wish_costs",
    "with_helper",
    "with_late",
    "without_wishes",
]
