"""What a catalog file may hold. Lengths are millimetres and times minutes, as the keys say.

``source`` may be left out here: :mod:`planner.shelf.catalog_checks` refuses that in words of its own.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files import Entry
from planner.files.schema_vehicle import Version
from planner.files.values import FreedomText, Hands, NeedText, SideText, Slug, Text, one_of
from planner.model.catalog import Blocks, Demanded, Measure, Sex, When, Work
from planner.model.runs import RunSort

Words = Annotated[str, Field(max_length=400)]
"""Text that may be empty."""
Texts = list[Text]
LengthMm = Annotated[float, Field(ge=0, le=10_000)]
"""No part of a road vehicle is longer than ten metres."""
WorkMin = Annotated[int, Field(ge=0, le=2_400)]
"""A single job of more than forty hours is several."""
WorkText = Annotated[Work, one_of(Work)]
WhenText = Annotated[When, one_of(When)]
DemandedText = Annotated[Demanded, one_of(Demanded)]
BlocksText = Annotated[Blocks, one_of(Blocks)]
SexText = Annotated[Sex, one_of(Sex)]
MeasureText = Annotated[Measure, one_of(Measure)]
RunText = Annotated[RunSort, one_of(RunSort)]


class RoomEntry(Entry):
    """Room that must be free beside a face of the part."""

    name: Text
    """What it is for."""
    side: SideText
    """Side of the part beside which it lies."""
    depth_mm: Annotated[float, Field(gt=0, le=2_000)]
    """How deep it is on that side."""
    needed: NeedText
    """`always`, or only for `taking off`."""


class KindEntry(Entry):
    """Defaults for a kind of component."""

    name: Text | None = None
    """What people call it; the id with spaces when left out."""
    group: Text
    """Part of the vehicle it belongs to."""
    freedom: FreedomText
    """What may become of it when it is in the way."""
    largest_mm: Annotated[float, Field(gt=0, le=10_000)]
    """No believable part of the kind is longer."""
    source: Words = ""
    """Where the numbers come from."""
    rides: bool = False
    """Comes off with what it is mounted on."""
    keep_clear_mm: LengthMm = 0.0
    """Free gap all round."""
    rooms: list[RoomEntry] = Field(default_factory=list)
    """Working rooms."""
    off_min: WorkMin = 0
    """Minutes to take it off."""
    on_min: WorkMin = 0
    """Minutes to refit it."""
    hands: Hands = 1
    """People needed."""
    make_min: WorkMin | None = None
    """Minutes to make one at home; left out when it is not made at home."""
    tools: Texts = Field(default_factory=list)
    """Tools to take it off and refit it."""
    needs: Texts = Field(default_factory=list)
    """Conditions it is taken off and refitted in."""
    opens: Texts = Field(default_factory=list)
    """System kinds that taking it off opens."""
    keeps: Words = ""
    """What must stay true of it."""
    hot: bool = False
    """Gets hot in use."""
    unsprung: bool = False
    """Stays with the wheels when the suspension moves."""
    moving: bool = False
    """Moves or turns in use."""
    loose: Annotated[float, Field(gt=0, lt=1)] | None = None
    """Share of the time of fitting after which it is in place finger-tight; left out: it is not left so."""


class LinkEntry(Entry):
    """Defaults for a kind of link."""

    name: Text | None = None
    """What people call it; the id with spaces when left out."""
    group: Text
    """Part of the vehicle it belongs to."""
    freedom: FreedomText
    """What may become of it."""
    source: Words = ""
    """Where the numbers come from."""
    across_mm: Annotated[float, Field(gt=0, le=500)]
    """Diameter."""
    bend_radius_mm: LengthMm
    """Least bend radius of its centre line."""
    slack_mm: LengthMm
    """How far its ends may draw apart."""
    adjust_mm: LengthMm
    """What its own adjuster takes up."""
    rigid: bool
    """Keeps its shape."""
    off_min: WorkMin
    """Minutes to take it off."""
    on_min: WorkMin
    """Minutes to refit it."""
    hands: Hands
    """People needed."""
    remake_min: WorkMin
    """Minutes to make it anew."""
    adjust_min: WorkMin
    """Minutes to set its adjuster."""
    swing_deg: Annotated[float, Field(ge=0, le=180)] | None = None
    """How far its direction may change, in degrees; left out: as far as you like."""
    opens: Texts = Field(default_factory=list)
    """System kinds that taking it off opens."""
    tools: Texts = Field(default_factory=list)
    """Tools to take it off and refit it."""
    needs: Texts = Field(default_factory=list)
    """Conditions it is taken off and refitted in."""
    hot: bool = False
    """Gets hot in use."""
    moving: bool = False
    """Moves or turns in use."""
    run: RunText | None = None
    """How it is made; left out: by whether it is rigid and may be bent."""
    clip_pitch_mm: LengthMm = 0.0
    """Clips are at most this far apart; 0 for none."""
    spare_mm: LengthMm = 0.0
    """Added at each end when it is cut."""
    straight_mm: LengthMm = 0.0
    """Kept straight at each end for its fitting."""
    fitted: Words = ""
    """What is fitted at each end."""


class SystemEntry(Entry):
    """A kind of circuit."""

    name: Text | None = None
    """What people call it; the id with spaces when left out."""
    group: Text
    """Part of the vehicle it belongs to."""
    fluid: Words
    """What is in it; empty for none."""
    source: Words = ""
    """Where the numbers come from."""
    open: Words
    """How it is opened, verb first; empty when nothing is done."""
    open_min: WorkMin
    """Minutes to open it."""
    open_hands: Hands
    """People to open it."""
    close: Words
    """How it is made whole, verb first; empty when nothing is done."""
    close_min: WorkMin
    """Minutes to make it whole."""
    close_hands: Hands
    """People to make it whole."""
    steps: Texts = Field(default_factory=list)
    """Making it whole, spelt out."""
    needs: Texts = Field(default_factory=list)
    """Conditions it is opened in."""
    tools: Texts = Field(default_factory=list)
    """Tools to open and close it."""
    cautions: Texts = Field(default_factory=list)
    """What can hurt."""


class ConditionEntry(Entry):
    """A state of the vehicle that takes work to enter or leave."""

    name: Text
    """As a state: on stands."""
    enter: Text
    """How it is entered, verb first."""
    leave: Text
    """How it is left, verb first."""
    enter_min: WorkMin
    """Minutes to enter it."""
    leave_min: WorkMin
    """Minutes to leave it."""
    hands: Hands
    """People needed."""
    source: Words = ""
    """Where the numbers come from."""
    tools: Texts = Field(default_factory=list)
    """Tools to enter and leave it."""
    needs: Texts = Field(default_factory=list)
    """Conditions that hold before it is entered and until it is left."""
    cautions: Texts = Field(default_factory=list)
    """What can hurt."""


class TriggerEntry(Entry):
    """One reason for a template or a rule to apply."""

    when: WhenText
    """What happened."""
    of: Texts = Field(default_factory=list)
    """To which kinds, groups, system kinds or conditions; any when left out."""


class StepEntry(Entry):
    """One task of a template."""

    title: Text
    """Verb first; {part}, {host} and {home} are filled in."""
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
    """The limit in words."""
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


BodyMm = Annotated[float, Field(gt=0, le=3_000)]
"""No length of a human body is more."""


class BodySizeEntry(Entry):
    """One measured length of people, as printed."""

    of: SexText
    """woman or man."""
    what: MeasureText
    """What is measured."""
    count: Annotated[int, Field(gt=0)]
    """People measured."""
    mean_mm: BodyMm
    """Mean."""
    sd_mm: BodyMm
    """Standard deviation."""
    p1_mm: BodyMm | None = None
    """1st percentile, where printed."""
    p5_mm: BodyMm | None = None
    """5th percentile."""
    p50_mm: BodyMm | None = None
    """50th percentile."""
    p95_mm: BodyMm | None = None
    """95th percentile."""
    p99_mm: BodyMm | None = None
    """99th percentile."""
    source: Words = ""
    """Where the numbers come from."""


class BodyFigureEntry(Entry):
    """One published figure about the body."""

    value: Annotated[float, Field(gt=0, le=3_000)]
    """The number."""
    unit: Text
    """Its unit: mm or deg."""
    source: Words = ""
    """Where the number comes from."""


class NamesSetting(Entry):
    """A list with its source."""

    value: Texts
    """The names."""
    source: Words = ""
    """Where it comes from."""


class NumberSetting(Entry):
    """A length with its source."""

    value: LengthMm
    """The number."""
    source: Words = ""
    """Where it comes from."""


class MinutesSetting(Entry):
    """A time with its source."""

    value: WorkMin
    """The number."""
    source: Words = ""
    """Where it comes from."""


class SettingsEntry(Entry):
    """What holds for the catalog as a whole."""

    hot_conditions: NamesSetting
    """Conditions of any hot step."""
    hot_clear: NamesSetting
    """Groups that are off near hot work."""
    hot_reach_mm: NumberSetting
    """How near that is."""
    limits_near_mm: NumberSetting
    """Parts nearer than this to a new home are in place at its trial fit."""
    cut_reach_mm: NumberSetting
    """Working room left round a hole while it is cut."""
    bare_reach_mm: NumberSetting
    """How far round a hole the host is stripped for its finish."""
    tidy_min: MinutesSetting
    """Minutes to set up and tidy away in each work session."""


class CatalogFile(Entry):
    """One file of the catalog: any of the sections."""

    knockon: Version
    """Version of the file format."""
    kinds: dict[Slug, KindEntry] = Field(default_factory=dict)
    """Kinds of component."""
    links: dict[Slug, LinkEntry] = Field(default_factory=dict)
    """Kinds of link."""
    systems: dict[Slug, SystemEntry] = Field(default_factory=dict)
    """Kinds of circuit."""
    conditions: dict[Slug, ConditionEntry] = Field(default_factory=dict)
    """States of the vehicle."""
    templates: dict[Slug, TemplateEntry] = Field(default_factory=dict)
    """Task templates."""
    checkpoints: dict[Slug, RuleEntry] = Field(default_factory=dict)
    """Checkpoint rules."""
    clearances: dict[Slug, ClearanceEntry] = Field(default_factory=dict)
    """How far sorts of thing are kept apart."""
    body_sizes: dict[Slug, BodySizeEntry] = Field(default_factory=dict)
    """Published sizes of people."""
    body_figures: dict[Slug, BodyFigureEntry] = Field(default_factory=dict)
    """Other published figures about the body."""
    spreads: dict[Text, SpreadEntry] = Field(default_factory=dict)
    """How sure times are, by kind of work."""
    settings: SettingsEntry | None = None
    """Settings of the catalog as a whole; in one file only."""
    cautions: dict[Text, Text] = Field(default_factory=dict)
    """Standing cautions by kind of work or group."""
