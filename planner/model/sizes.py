"""Sizes of the vehicle and of a job's new parts, as a tape takes them, with how sure each is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeSize:
    """One size of one part.

    ``name`` is its short way in dots: "header-tank.at.z", "tank.box.x", or "bracket.solids.2.box.x" for the second of
    several solids.
    """

    name: str
    part: str
    mm: float
    doubt_mm: float
    """How far it may be out, either way."""
    said: bool
    """Whether the file says the doubt of this very size, and not only of all."""
    in_job: bool = False
    """Whether the part is one that the job adds."""

    @property
    def is_place(self) -> bool:
        """Whether it is where the part sits, and not how large it is."""
        return self.name.startswith(f"{self.part}.at.")
