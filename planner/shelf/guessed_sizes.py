"""New parts of a job whose size nobody has measured: their homes and all that is cut for them rest on a guess."""

from __future__ import annotations

from collections.abc import Iterable

from planner.files import Faults, KeyPath
from planner.finding.words import quoted
from planner.model.guessed import size_is_guessed
from planner.model.vehicle import Component, Link


def warn_of_guessed_sizes(written: Iterable[tuple[KeyPath, Component | Link]], faults: Faults) -> None:
    """Warn of each new part whose size is in so much doubt that it must be a guess.

    Parameters
    ----------
    written : iterable of (KeyPath, Component or Link)
        Each with the way to its block.
    faults : Faults
    """
    for path, item in written:
        if isinstance(item, Component) and size_is_guessed(item):
            message = f"the size of {quoted(item.id)} was never measured, it is a guess"
            hint = (
                "its place, what must move for it and what is cut, drilled and bent for it rest on that: measure it "
                "and write each size here with how sure it is, as in `210 +/- 1`"
            )
            faults.warn("size-not-measured", (*path, "solids"), message, hint, key=True)
