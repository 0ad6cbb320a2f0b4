"""What a sheet for a thing that is made says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class MakingSheet:
    """One sheet. ``joins`` are (letter, name, place) of where links join it; ``picture`` is SVG text or empty.

    ``bends`` are (where from end A, angle, turn of the tube since the last, which way it goes then), ``radius`` is what
    they are bent round.
    """

    id: str
    name: str
    sort: str
    lines: tuple[str, ...]
    joins: tuple[tuple[str, str, str], ...] = ()
    bends: tuple[tuple[str, str, str, str], ...] = ()
    radius: str = ""
    picture: str = ""
