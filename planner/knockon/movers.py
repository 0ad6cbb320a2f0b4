"""Which parts may be given a new home at all, and which part carries which."""

from __future__ import annotations

from dataclasses import dataclass, field

import networkx as nx

from planner.knockon.asked import Asked, mounting_graph
from planner.model.vehicle import Freedom


@dataclass(slots=True)
class Movers:
    """The active parts, whose homes are being chosen, and who moves with whom.

    A part is controlled by the nearest active part on its way down through the mountings, itself first; a part the job
    has placed is controlled by nobody.
    """

    asked: Asked
    active: dict[str, None] = field(default_factory=dict)
    _free: frozenset[str] = frozenset()
    _chains: dict[str, list[str]] = field(default_factory=dict)
    _carried: dict[str, list[str]] = field(default_factory=dict)
    """What each active part takes along; forgotten when another part becomes active."""

    def __post_init__(self) -> None:
        parts = self.asked.base
        mounts = mounting_graph(parts)
        pinned = {i for i, c in parts.items() if c.freedom is Freedom.STAYS or i in self.asked.fixed}
        holding = {h for i in pinned for h in nx.ancestors(mounts, i)}
        self._free = frozenset(
            i
            for i, c in parts.items()
            if (
                c.freedom in {Freedom.MOVES, Freedom.MAY_GO}
                or (c.remake is not None and c.freedom is not Freedom.STAYS)
            )
            and i not in self.asked.fixed
            and i not in holding
        )

    def chain(self, part: str) -> list[str]:
        """The parts whose moving would move this one: itself and its hosts, those that are free to move.

        A part is not free while it carries one that never comes off, or one that the job has put there.
        """
        if part not in self._chains:
            self._chains[part] = self._chain(part)
        return self._chains[part]

    def _chain(self, part: str) -> list[str]:
        found: list[str] = []
        at: str | None = part
        while at is not None and at in self.asked.base and at not in self.asked.fixed:
            if at in self._free:
                found.append(at)
            at = self.asked.base[at].mounted_on
        return found

    def controller(self, part: str) -> str | None:
        """The active part that decides where this one is, None when it is where the job or the vehicle has it."""
        # asked many thousand times for one answer
        for mover in self.chain(part):
            if mover in self.active:
                return mover
        return None

    def host_controller(self, part: str) -> str | None:
        """The active part below an active part, None when it stands on something that keeps still."""
        return next((p for p in self.chain(part)[1:] if p in self.active), None)

    def activate(self, part: str) -> bool:
        """Let everything be moved that could move this part, with the free parts that stand on it.

        False when there was nothing that was not active already.
        """
        movable = set(self.chain(part))
        movable |= {i for i in self._free if movable & set(self.chain(i))}
        fresh = sorted(movable - set(self.active))
        self.active.update(dict.fromkeys(fresh))
        if fresh:
            self._carried = {}
        return bool(fresh)

    def can_keep_still(self, part: str) -> bool:
        """Whether the first option of an active part leaves it where it is: neither it nor a host below is homeless."""
        return not any(p in self.asked.homeless for p in self.chain(part) if p in self.active)

    def hosts_first(self) -> list[str]:
        """The active parts, each after the active parts it stands on, then by id."""
        return sorted(self.active, key=lambda p: (len([q for q in self.chain(p) if q in self.active]), p))

    def carried_by(self, part: str) -> list[str]:
        """Everything an active part takes along, itself left out."""
        if not self._carried:
            self._carried = {p: [] for p in self.active}
            for i in sorted(self.asked.base):
                controller = self.controller(i)
                if controller is not None and controller != i:
                    self._carried[controller].append(i)
        return self._carried[part]
