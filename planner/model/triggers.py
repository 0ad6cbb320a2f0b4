"""What calls a task template or a checkpoint rule for."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class When(StrEnum):
    """What calls a task template or a checkpoint rule for."""

    MADE = "made"
    """a new part is made at home; ``of`` names kinds or groups"""
    BOUGHT = "bought"
    """a new part is bought"""
    MOVED = "moved"
    """a part gets a new home"""
    CUT = "cut"
    """a hole or slot is cut in ``of`` (kinds of the host, empty = any)"""
    DRILLED = "drilled"
    """a new or moved part is held by ``of`` (kinds of the host), or a new link goes through it"""
    PASSED = "passed"
    """a link goes through ``of`` (kinds or groups of what it passes), in which it has no hole yet"""
    LEFT = "left"
    """a part or link goes for good and leaves a hole in ``of`` (kinds or groups of what stays) that nothing takes"""
    LEFT_OPEN = "left open"
    """something goes from a part or circuit and nothing takes its place; ``of`` names system kinds"""
    WELDED = "welded"
    """a hole with a patch or doubler welded round it: its template takes the place of the ``cut`` one, while checkpoint
    rules of both apply"""
    WELDED_OFF = "welded off the vehicle"
    """something was mended by welding with the part off; ``of`` names kinds or groups of the part"""
    SPARKS = "sparks"
    """something on the vehicle is mended with sparks and no flame, as by grinding, or an own task of the job asks for
    the watch for fire"""
    MENDED = "mended"
    """work was found on the way and done; ``of`` names kinds, link kinds or groups of what it was found at"""
    LINK_MADE = "link made"
    """a link is made anew; ``of`` names link kinds or groups"""
    LINK_ADJUSTED = "link adjusted"
    OPENED = "opened"
    """a circuit is opened; ``of`` names system kinds"""
    DISTURBED = "disturbed"
    """a part or link is taken off, moved, changed or added; ``of`` names kinds, link kinds or groups"""
    ENTERED = "entered"
    """a condition is entered; ``of`` names conditions; the check is made each time, at once"""
    BROUGHT_ABOUT = "brought about"
    """the job brings a condition about; ``of`` names conditions; the check is made once, when it has been left"""
    ALWAYS = "always"
    """any job at all"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """One reason for a template or rule to apply; an empty ``of`` means any."""

    when: When
    of: tuple[str, ...] = ()
