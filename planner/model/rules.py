"""What a checkpoint rule asks for, and what it holds back while it is open."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.model.triggers import Trigger


class Blocks(StrEnum):
    """What an open checkpoint holds back."""

    ROAD = "road"
    MOVING = "moving"
    """moving under its own power, even in the yard"""
    CONDITION = "condition"
    """any work done in the condition it belongs to (stands, battery isolated...)"""
    FILLING = "filling"
    """filling and bleeding of the circuit"""
    ENGINE = "engine"
    """starting the engine"""
    METAL = "metal"
    """whatever cannot be undone: a cut, a drilled hole or heat on the vehicle, a part handed over to be altered"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckpointRule:
    """What must be measured and recorded before something is allowed."""

    id: str
    title: str
    group: str
    triggers: tuple[Trigger, ...]
    measure: str
    """What is measured and how, in words."""
    limit: str
    """The limit in words, with its unit; of one with numbers what the number says, and that alone."""
    blocks: tuple[Blocks, ...]
    source: str
    caution: str
    also: tuple[str, ...] = ()
    """What has to be so besides the number that is read: yes is said to it behind the number."""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    minutes: int = 5
    hands: int = 1
    conditions: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    involves: tuple[Blocks, ...] = ()
    """What the check itself does (run the engine, move the car): it comes after every checkpoint that blocks that."""
    after: tuple[str, ...] = ()
    """Rules to be passed before this one is made, where they are called for."""
    without: tuple[str, ...] = ()
    """Conditions that must be left, and not entered again, for the check to count."""
    before_leaving: tuple[str, ...] = ()
    """Conditions that nobody leaves before it is passed: it proves that leaving them does no harm."""
    inside: tuple[str, ...] = ()
    """Conditions in which it is made in jobs that bring them about anyway: what fails it is put right there."""
    whole: tuple[str, ...] = ()
    """System kinds: circuits of these are whole, filled or set, when it is made, whatever calls for it."""
    where: tuple[str, ...] = ()
    """Kinds or groups of part: it is called for only where one is there when the job is done."""
    several: bool = False
    """It is called for only where the vehicle has more than one circuit of the kinds that call for it."""
    filled_again: bool = False
    """Putting right what fails it lets fluid out or air in: its circuits are filled and bled once more, or set."""
    closing: bool = False
    """It shows others all that was done and found: nothing but the road test, and what follows that, comes after it."""
    bare: bool = False
    """Each thing is looked at by itself, bare: before paint, and before a part covers it."""
    settled: bool = False
    """It looks at what could touch or hinder: every part and link is where it ends, and is left there."""
    ask: str = ""
    """The question that goes out before it, where it looks at others' answer: it comes as late as the job says."""
    apart: bool = False
    """Nothing else is done meanwhile: starter or wheels turn, the vehicle is jacked, fuel may drip, or all of it is
    looked at."""

    @property
    def whole_limit(self) -> str:
        """All that has to be so, the number first."""
        return ", ".join((self.limit, *self.also))
