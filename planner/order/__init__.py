"""The order of work: least strip-down, dated work sessions, critical path."""

from planner.order.critical import Window, critical_path
from planner.order.pack import pack
from planner.order.strip_solve import least_strip

__all__ = ["Window", "critical_path", "least_strip", "pack"]
