"""What a catalog file may hold. Lengths are millimetres and times minutes, as the keys say.

``source`` may be left out here: :mod:`planner.shelf.catalog_checks` refuses that in words of its own.
"""

from __future__ import annotations

from pydantic import Field

from planner.files import Entry
from planner.files.schema_vehicle import Version
from planner.files.values import Slug, Text
from planner.shelf.entry_people import BodyFigureEntry, BodySizeEntry
from planner.shelf.entry_rules import ClearanceEntry, RuleEntry, SpreadEntry, TemplateEntry
from planner.shelf.entry_things import ConditionEntry, KindEntry, LinkEntry, SystemEntry
from planner.shelf.entry_values import LengthMm, Texts, Words, WorkMin


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
    hole_shy: NamesSetting = NamesSetting(value=[], source="none named")
    """Groups, kinds and link kinds that no drill or saw may come through into."""
    hole_shy_mm: NumberSetting = NumberSetting(value=0.0, source="none named")
    """So near a hole they are named in the step that makes it."""
    never_spared: NamesSetting = NamesSetting(value=[], source="none named")
    """Kinds and groups that are never said to be done without."""
    limits_near_mm: NumberSetting
    """Parts nearer than this to a new home are in place at its trial fit."""
    cut_reach_mm: NumberSetting
    """Working room left round a hole while it is cut."""
    bare_reach_mm: NumberSetting
    """How far round a hole the host is stripped for its finish."""
    tidy_min: MinutesSetting
    """Minutes to set up and tidy away in each work session."""
    drilled_hosts: NamesSetting = NamesSetting(value=[], source="none named")
    """Kinds and groups of what a new part's holes are drilled in at home."""
    fluid_things: NamesSetting = NamesSetting(value=[], source="none named")
    """What a fluid's name may stand before in the name of something bought that is not the fluid itself."""


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
    """Standing cautions by kind of work or group; of a condition, for what is fitted to a part that it keeps undone."""
