"""Which parts may be given a new home at all, and which part carries which."""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.knockon.asked import Asked
from planner.model.vehicle import Freedom


@dataclass(slots=True)
class Movers:
    """The active parts, whose homes are being chosen, and who moves with whom.

    A part is controlled by the nearest active part on its way down through the mountings, itself first; a part the job
    has placed is controlled by nobody.
    """

    asked: Asked
    active: dict[str, None] = field(default_factory=dict)

    def chain(self, part: str) -> list[str]:
        """The parts whose moving would move this one: itself and its hosts, those that are free to move."""
        found: list[str] = []
        at: str | None = part
        while at is not None and at in self.asked.base and at not in self.asked.fixed:
            if self.asked.base[at].freedom in {Freedom.MOVES, Freedom.MAY_GO}:
                found.append(at)
            at = self.asked.base[at].mounted_on
        return found

    def controller(self, part: str) -> str | None:
        """The active part that decides where this one is, None when it is where the job or the vehicle has it."""
        return next((p for p in self.chain(part) if p in self.active), None)

    def host_controller(self, part: str) -> str | None:
        """The active part below an active part, None when it stands on something that keeps still."""
        return next((p for p in self.chain(part)[1:] if p in self.active), None)

    def activate(self, part: str) -> bool:
        """Let everything be moved that could move this part; False when nothing new could."""
        fresh = [p for p in self.chain(part) if p not in self.active]
        self.active.update(dict.fromkeys(fresh))
        return bool(fresh)

    def hosts_first(self) -> list[str]:
        """The active parts, each after the active parts it stands on, then by id."""
        return sorted(self.active, key=lambda p: (len([q for q in self.chain(p) if q in self.active]), p))

    def carried_by(self, part: str) -> list[str]:
        """Everything an active part takes along, itself left out."""
        return [i for i in sorted(self.asked.base) if i != part and self.controller(i) == part]
