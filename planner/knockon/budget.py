"""How much work the choice of homes may take: measured in work done, so that the same input stops at the same place."""

from __future__ import annotations

from dataclasses import dataclass

WORK_PER_S = 1.0
"""Units of the solver's own measure of work that stand for a second."""


@dataclass(slots=True)
class Budget:
    """Seconds of work left; counted from what is done, not from a clock."""

    left_s: float = float("inf")
    whole_s: float = float("inf")

    def start(self, limit_s: float) -> None:
        """Begin anew with so many seconds."""
        self.left_s = self.whole_s = limit_s

    def spend(self, work_s: float) -> None:
        """Count some work."""
        self.left_s -= work_s

    def spent(self, share: float) -> bool:
        """Whether more than a share of the whole is gone."""
        return self.whole_s - self.left_s > share * self.whole_s
