"""A way to stop a search from outside and keep the best found so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol


class Stoppable(Protocol):
    """A solver at work."""

    def stop_search(self) -> None:
        """Stop soon, with the best answer so far."""


@dataclass(slots=True)
class Halt:
    """Shared by whoever may ask for an end (a key pressed) and the searches that must heed it.

    A search calls :meth:`watch` with its solver before it solves and looks at ``asked`` between two solves.
    """

    asked: bool = False
    _solver: Stoppable | None = field(default=None, repr=False)

    def watch(self, solver: Stoppable | None) -> None:
        """Name the solver that is at work now; None when it is done."""
        self._solver = solver
        if self.asked and solver is not None:
            solver.stop_search()

    def ask(self) -> None:
        """Ask for an end: the solver at work is stopped, later searches do not begin."""
        self.asked = True
        if self._solver is not None:
            self._solver.stop_search()
