"""What the catalog calls for: tasks, checkpoints, clearances, and how sure the times of tasks are."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files import Entry
from planner.files.values import Hands, Text, one_of
from planner.model.catalog import Blocks, Demanded, When, Work
from planner.shelf.entry_values import Texts, Words

WorkText = Annotated[Work, one_of(Work)]
WhenText = Annotated[When, one_of(When)]
DemandedText = Annotated[Demanded, one_of(Demanded)]
BlocksText = Annotated[Blocks, one_of(Blocks)]


class TriggerEntry(Entry):
    """One reason for a template or a rule to apply."""

    when: WhenText
    """What happened."""
    of: Texts = Field(default_factory=list)
    """To which kinds, groups, system kinds or conditions; any when left out."""


class StepEntry(Entry):
    """One task of a template."""

    title: Text
    """Verb first; {part}, {host} and {home} are filled in; {named} is the part with its kind, {ends} a rod's ends."""
    work: WorkText
    """Kind of work."""
    minutes: Annotated[int, Field(ge=1, le=2_400)]
    """Minutes of work."""
    hands: Hands = 1
    """People needed."""
    demands: list[DemandedText] = Field(default_factory=list)
    """States of the part and its neighbours it is done in."""
    conditions: Texts = Field(default_factory=list)
    """Conditions it is done in."""
    hot: bool = False
    """Sparks or flame on the vehicle."""
    lag_min: Annotated[int, Field(ge=0, le=20_160)] = 0
    """Minutes to wait after it."""
    tools: Texts = Field(default_factory=list)
    """Tools for it."""
    cautions: Texts = Field(default_factory=list)
    """What can hurt."""
    splits: bool = False
    """May be laid down and taken up again in a later session."""
    again: Annotated[float, Field(ge=0, le=0.95)] = 0.0
    """Chance that this trial fails, 0 to 1."""
    redo: list[Annotated[int, Field(ge=1)]] = Field(default_factory=list)
    """Numbers, from 1, of the earlier steps that are then done again."""
    seat: bool = False
    """About holes in what holds the part; left out where it takes old holes or nothing is drilled at home."""
    undrilled: Words = ""
    """What a step about holes is where none are made in what holds the part; left out: then there is no such step."""
    undrilled_tools: Texts = Field(default_factory=list)
    """Tools for that."""
    left: bool = False
    """About holes left in what held the part before; left out where that goes, or was never drilled."""
    away: bool = False
    """From its end the part is with somebody else, for as long as its lead."""
    not_of: Texts = Field(default_factory=list)
    """Kinds of part that it is left out for; the other steps keep their numbers."""
    uses: Texts = Field(default_factory=list)
    """What is used up by it."""


class SpreadEntry(Entry):
    """How sure a time is, for one kind of work."""

    low: Annotated[float, Field(gt=0, le=1)]
    """What the minutes are multiplied by when all goes well."""
    high: Annotated[float, Field(ge=1, le=10)]
    """And when it goes badly."""
    source: Words = ""
    """Where the numbers come from."""


class TemplateEntry(Entry):
    """Tasks in the trade's order."""

    trigger: TriggerEntry
    """What calls for them."""
    steps: Annotated[list[StepEntry], Field(min_length=1)]
    """The tasks, first to last."""
    once: bool = False
    """Done once for all parts of these kinds that carry or touch each other, as the brake of one wheel is set."""
    source: Words = ""
    """Where the numbers and the order come from."""


class RuleEntry(Entry):
    """What must be measured and recorded before something is allowed."""

    title: Text
    """What is shown by it."""
    group: Text
    """Part of the vehicle it belongs to."""
    triggers: Annotated[list[TriggerEntry], Field(min_length=1)]
    """What calls for it."""
    measure: Text
    """What is measured, and how."""
    limit: Text
    """The limit in words; of one with numbers what the number says, and that alone."""
    also: Texts = Field(default_factory=list)
    """What has to be so besides the number that is read."""
    blocks: Annotated[list[BlocksText], Field(min_length=1)]
    """What it holds back while it is open."""
    source: Words = ""
    """Where the limit comes from."""
    caution: Text
    """What can hurt."""
    unit: Words = ""
    """Unit of the measured value."""
    low: float | None = None
    """Least value that passes."""
    high: float | None = None
    """Greatest value that passes."""
    minutes: Annotated[int, Field(ge=1, le=480)] = 5
    """Minutes to make it."""
    hands: Hands = 1
    """People needed."""
    conditions: Texts = Field(default_factory=list)
    """Conditions it is made in."""
    tools: Texts = Field(default_factory=list)
    """Tools for it."""
    involves: list[BlocksText] = Field(default_factory=list)
    """What the check itself does: run the engine, move the car."""
    after: Texts = Field(default_factory=list)
    """Checks to be passed before this one is made."""
    without: Texts = Field(default_factory=list)
    """Conditions that must be left for good before it is made."""
    before_leaving: Texts = Field(default_factory=list)
    """Conditions that nobody leaves before it is passed."""
    inside: Texts = Field(default_factory=list)
    """Conditions it is made in where a job brings them about anyway."""
    whole: Texts = Field(default_factory=list)
    """Kinds of circuit that are whole, filled or set, when it is made, whatever calls for it."""
    where: Texts = Field(default_factory=list)
    """Kinds or groups of part: called for only where one is there when the job is done."""
    several: bool = False
    """Called for only where the vehicle has more than one circuit of the kinds that call for it."""
    filled_again: bool = False
    """When it fails, its circuits are filled and bled, or set, once more after it is put right."""
    closing: bool = False
    """Made when all else but the road test, and what follows that, is done."""
    bare: bool = False
    """Made for each thing by itself, before paint or a part covers it."""
    settled: bool = False
    """Made with every part and link where it ends, and left there."""
    apart: bool = False
    """Nothing else is done meanwhile."""
    ask: Words = ""
    """The question that goes out days before it, where it looks at the answer of others."""


class ClearanceEntry(Entry):
    """How far two sorts of thing are kept apart."""

    one: Annotated[Texts, Field(min_length=1)]
    """Kinds, link kinds, groups, or `hot`, `moving`, `any`."""
    other: Annotated[Texts, Field(min_length=1)]
    """The same for what it is kept from."""
    keep_mm: Annotated[float, Field(gt=0, le=1_000)]
    """The least gap between them."""
    why: Text
    """What happens when they come nearer."""
    source: Words = ""
    """Where the number comes from."""
