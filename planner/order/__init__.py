"""The order of work: least strip-down, dated work sessions, critical path."""

from planner.order.binds import binding
from planner.order.chance import odds
from planner.order.critical import Window, critical_path
from planner.order.schedule import scheduled
from planner.order.schedule_first import pack
from planner.order.strip_solve import least_strip
from planner.order.strip_wishes import WishCost, wish_costs

__all__ = ["Window", "WishCost", "binding", "critical_path", "least_strip", "odds", "pack", "scheduled", "wish_costs"]
