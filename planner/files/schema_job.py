"""What a job file may hold."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import ConfigDict, Field, model_validator

from planner.files.job_values import Chance, DayOrWeekday, Leave, Takes
from planner.files.schema_relations import RelationFile
from planner.files.schema_shapes import SHAPES, ShapeKeys, only_one
from planner.files.schema_vehicle import ComponentFile, LinkFile, Names, Version
from planner.files.values import (
    Clock,
    Currency,
    Day,
    Days,
    Entry,
    FacesText,
    Factor,
    Hands,
    Minutes,
    Point,
    Price,
    Slug,
    Text,
    Turns,
    WeekdayText,
    refuse,
)


class RemoveFile(Entry):
    """A part or link goes for good."""

    do: Literal["remove"]
    """What is to change."""
    part: Text
    """The part or link."""


class AddFile(Entry):
    """A new part."""

    do: Literal["add"]
    """What is to change."""
    part: Slug
    """Its id."""
    component: ComponentFile
    """The part, complete with its home."""


class ReplaceFile(Entry):
    """A part goes and another takes over."""

    do: Literal["replace"]
    """What is to change."""
    part: Text
    """The part that goes."""
    with_: Slug = Field(alias="with")
    """Id of the new one."""
    component: ComponentFile
    """The new one, complete with its home."""


class MoveFile(Entry):
    """A part gets a new home."""

    model_config = ConfigDict(json_schema_extra=only_one(("to",), ("by",)))

    do: Literal["move"]
    """What is to change."""
    part: Text
    """The part."""
    to: Point | None = None
    """Its new place."""
    by: Point | None = None
    """How far it moves from its present place."""
    turn: Turns | None = None
    """Its new turn in degrees; as now when it is not said."""
    onto: Text | None = None
    """What it is mounted on there; as now when it is not said."""

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        if (self.to is None) == (self.by is None):
            hint = "`to` is the new place, `by` the way there"
            raise refuse("bad-move", "a move needs one of `to` or `by`", hint)
        return self


class TakeOffFile(Entry):
    """A part only comes off and goes back."""

    do: Literal["take-off"]
    """What is to change."""
    part: Text
    """The part."""


class GrowFile(Entry):
    """A part becomes larger, from a side that stays or about its middle."""

    do: Literal["grow"]
    """What is to change."""
    part: Text
    """The part."""
    by: Point
    """How much larger along x, y and z."""
    from_: FacesText = Field(default=(), alias="from")
    """The side that stays where it is, or several; not said, the one on its own zero or on its host, if any."""
    price: Price = 0.0
    """What it costs, made or altered."""
    lead: Days | None = None
    """Days until it is made, or altered and back."""


class CutFile(ShapeKeys):
    """A hole or slot, in vehicle axes."""

    model_config = ConfigDict(json_schema_extra=only_one(*((shape,) for shape in SHAPES)))

    do: Literal["cut"]
    """What is to change."""
    id: Slug
    """Id of the hole."""
    host: Text
    """The part it is cut in."""
    welded: bool = False
    """A patch or doubler is welded round it."""

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        self._need_one_shape()
        return self


class AddLinkFile(Entry):
    """A new link."""

    do: Literal["link"]
    """What is to change."""
    part: Slug
    """Its id."""
    link: LinkFile
    """The link, complete."""


ChangeFile = Annotated[
    RemoveFile | AddFile | ReplaceFile | MoveFile | TakeOffFile | GrowFile | CutFile | AddLinkFile,
    Field(discriminator="do"),
]


class TaskFile(Entry):
    """A task of your own."""

    title: Text
    """What is done, verb first."""
    takes: Takes
    """How long it takes; three times when it is not sure: well, most likely, badly."""
    splits: bool = False
    """May be laid down at the end of a session and taken up again in another."""
    alone: bool = False
    """Nothing else is done meanwhile: water runs, the vehicle rocks, all hands are off it."""
    again: Chance = 0.0
    """Chance that it fails and is done again, with what `redo` names."""
    redo: Names = Field(default_factory=list)
    """Tasks, parts or cuts before it that are done again when it fails."""
    hands: Hands = 1
    """People needed."""
    after: Names = Field(default_factory=list)
    """Tasks, parts or cuts whose work comes first."""
    before: Names = Field(default_factory=list)
    """Tasks, parts or cuts whose work comes later."""
    off: Names = Field(default_factory=list)
    """Parts that must be off."""
    fitted: Names = Field(default_factory=list)
    """Parts that must be in place; an old part that goes in this job may serve as a jig until then."""
    back: Names = Field(default_factory=list)
    """Parts that must be here from whoever sells, makes or alters them, and on the bench: before they are fitted."""
    conditions: Names = Field(default_factory=list)
    """Conditions that must hold."""
    lag: Minutes = 0
    """Wait after it, such as for paint to dry."""
    tools: Names = Field(default_factory=list)
    """Tools it takes."""


class PurchaseFile(Entry):
    """Something to buy that is no part."""

    what: Text
    """What to ask for."""
    price: Price = 0.0
    """Price."""
    lead: Days | None = None
    """Days from order to arrival."""
    for_: Text | None = Field(default=None, alias="for")
    """The part that cannot be fitted without it."""


class SessionFile(Entry):
    """A stretch of work time."""

    model_config = ConfigDict(json_schema_extra=only_one(("every",), ("on",)))

    every: WeekdayText | None = None
    """A day of every week."""
    on: Day | None = None
    """One day."""
    from_: Clock = Field(alias="from")
    """Start."""
    to: Clock
    """End."""
    hands: Hands = 1
    """People there."""

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        if (self.every is None) == (self.on is None):
            hint = "`every: saturday` or `on: 2026-12-12`"
            raise refuse("bad-session", "a session needs one of `every` or `on`", hint)
        return self


class EndStateFile(Entry):
    """How the vehicle must stand when a session ends."""

    name: Text
    """What you call it, as a state: car can be pushed."""
    fitted: Names = Field(default_factory=list)
    """Parts and links that must be in place; one that moves or is replaced in its old home or its new one."""
    off: Names = Field(default_factory=list)
    """Parts and links that must be off."""
    conditions: Names = Field(default_factory=list)
    """Conditions that must hold."""
    without: Names = Field(default_factory=list)
    """Conditions that must not hold."""
    on: list[DayOrWeekday] = Field(default_factory=list)
    """Days of the week and dates it is asked of; every session when left out."""


class OptionFile(Entry):
    """One way to do what is undecided: added to what the job says anyway."""

    name: Text
    """What you call it."""
    changes: list[ChangeFile] = Field(default_factory=list)
    """What is to change."""
    tasks: dict[Slug, TaskFile] = Field(default_factory=dict)
    """Tasks of your own."""
    relations: dict[Slug, RelationFile] = Field(default_factory=dict)
    """What must hold when the job is done."""
    purchases: dict[Slug, PurchaseFile] = Field(default_factory=dict)
    """Things to buy that are no parts."""


class JobFile(Entry):
    """One modification."""

    knockon: Version
    """Version of the file format."""
    name: Text
    """What you call the job."""
    start: Day | None = None
    """First day of work."""
    finish_by: Day | None = None
    """Day by which it must be done."""
    hour_worth: Price = 15.0
    """What an hour of your time is worth."""
    currency: Currency | None = None
    """What all prices are in: the vehicle's when left out."""
    day_worth: Price = 5.0
    """What being finished a day sooner is worth to you: the price at which work is traded for time."""
    setup: Minutes | None = None
    """Time at the start of each session before work begins; the catalog's when left out."""
    tidy: Minutes = 0
    """Time at the end of each session to put away."""
    changes: list[ChangeFile] = Field(default_factory=list)
    """What is to change."""
    tasks: dict[Slug, TaskFile] = Field(default_factory=dict)
    """Tasks of your own."""
    relations: dict[Slug, RelationFile] = Field(default_factory=dict)
    """What must hold when the job is done, besides what the vehicle file says."""
    purchases: dict[Slug, PurchaseFile] = Field(default_factory=dict)
    """Things to buy that are no parts."""
    sessions: list[SessionFile] = Field(default_factory=list)
    """When there is time."""
    days_off: list[Day] = Field(default_factory=list)
    """Days without work."""
    answer_in: Days | None = None
    """Days until inspection body and insurer answer: they are asked first, and nothing is cut before."""
    pace: dict[Text, Factor] = Field(default_factory=dict)
    """Your own pace in each kind of work: 1.5 is half as long again."""
    leave_in: dict[Text, Leave] = Field(default_factory=dict)
    """What you would rather not take off, enter or open: how much longer you would work instead, or `always`."""
    again: dict[Text, Chance] = Field(default_factory=dict)
    """Chance that the trial fit of a part or link fails, where you know better than the catalog."""
    at_session_end: dict[Slug, EndStateFile] = Field(default_factory=dict)
    """How the vehicle must stand when a session ends."""
    options: dict[Slug, OptionFile] = Field(default_factory=dict)
    """Ways to do what is undecided."""
    take: Text | None = None
    """The option that is taken."""
