"""The one interface of all exports."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.model.answer import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Exporter:
    """One form a plan can be had in. ``write`` gives the whole text; its line ends are to be kept as they are."""

    name: str
    suffix: str
    what: str
    write: Callable[[Answer], str]
