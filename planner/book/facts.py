"""What a job book is made from: everything is handed in, nothing is looked up."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from planner.export.plan_words import one_line, slot_title
from planner.model.answer import Answer
from planner.model.sums import SumLine

_QUOTED = re.compile("`([^`]+)`")
_FIGURE = re.compile(r"`(?P<what>[a-z_]+)` of `(?P<at>figures\.(?P<of>[a-z0-9._-]+))`")
"""How a sum says which figure it has not: the key, and the block of the vehicle's file it belongs into."""
_DIGEST = 12
"""Letters of a digest that tell one plan of a job from the next."""


class Paper(StrEnum):
    """What the book is printed on; any: it fits both, the printer's own setting decides."""

    ANY = "any"
    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """What was last written down about a checkpoint; ``stands``: it passed or does not apply."""

    words: str
    stands: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BookFacts:
    """A plan with what its book tells besides.

    ``keys`` is the step key of each slot; ``sums`` are those of the vehicle as
    it is when the job is done; ``fluids`` the fluid of each circuit, by its id; ``bags`` the number of the
    bag of each part that came off before this plan begins; ``signed`` what is known of each checkpoint by then.
    """

    answer: Answer
    keys: tuple[str, ...]
    sums: tuple[SumLine, ...] = ()
    fluids: Mapping[str, str] = field(default_factory=dict)
    bags: Mapping[str, int] = field(default_factory=dict)
    signed: Mapping[str, Signature] = field(default_factory=dict)
    paper: Paper = Paper.ANY

    @property
    def digest(self) -> str:
        """What tells this plan from another one of the job: steps, their titles and times."""
        work, slots = self.answer.work, self.answer.plan.slots
        lines = (f"{k}\t{slot_title(work, s)}\t{s.start}\t{s.end}" for k, s in zip(self.keys, slots, strict=True))
        return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:_DIGEST]

    @property
    def ticks(self) -> str:
        """Name under which a reader's ticks are kept."""
        return one_line(f"{self.answer.vehicle.name} / {self.answer.job.id} / {self.digest}")

    @property
    def units(self) -> str:
        """The owner's units of length."""
        return self.answer.vehicle.units

    def named(self, text: str) -> str:
        """A text in which a part, link or circuit is told by its id between backquotes, with its name instead."""
        return _QUOTED.sub(lambda m: self.name_of(m[1]) if self.name_of(m[1]) != m[1] else m[0], text)

    def figure(self, missing: str) -> str:
        """A figure that a sum waits for, in words, with where the file has it behind."""
        told = _FIGURE.fullmatch(missing)
        if told is None:
            return self.named(missing)
        things = (
            self.name_of(t) if self.name_of(t) != t else t.replace("-", " ").replace("_", " ")
            for t in told["of"].split(".")
        )
        return f"{told['what'].replace('_', ' ')} of {', '.join(things)} (vehicle.yaml: {told['at']})"

    def thing(self, about: str) -> str:
        """What a sum is about: a part, link, circuit or axle."""
        figures = self.answer.vehicle.figures
        axle = figures is not None and about in figures.axles and "axle" not in about
        return f"{about} axle" if axle else self.name_of(about)

    def name_of(self, subject: str) -> str:
        """A part, link or circuit in words."""
        found = self.answer.knockons
        for known in (found.after, found.links_after, self.answer.vehicle.components, self.answer.vehicle.links):
            if subject in known:
                return known[subject].name
        system = self.answer.vehicle.systems.get(subject)
        return system.name if system is not None else subject
