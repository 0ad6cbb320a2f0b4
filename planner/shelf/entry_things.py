"""What the catalog says of kinds of component, link and circuit, and of states of the vehicle."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files import Entry
from planner.files.values import FreedomText, Hands, NeedText, SideText, Text, one_of
from planner.model.runs import RunSort
from planner.shelf.entry_values import LengthMm, Texts, Words, WorkMin

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
    serves_as: Texts = Field(default_factory=list)
    """Kinds whose place in a circuit it takes as well."""
    opens: Texts = Field(default_factory=list)
    """System kinds that taking it off opens."""
    keeps: Words = ""
    """What must stay true of it."""
    hot: bool = False
    """Gets hot in use."""
    unsprung: bool = False
    """Stays with the wheels when the suspension moves."""
    rocks: bool = False
    """Rocks on its mountings in use, with all that is mounted on it."""
    moving: bool = False
    """Moves or turns in use."""
    uses: Texts = Field(default_factory=list)
    """What is used up each time it is fitted."""
    loose: Annotated[float, Field(gt=0, lt=1)] | None = None
    """Share of the time of fitting after which it is in place finger-tight; left out: it is not left so."""
    bears: bool = False
    """Is there to carry other parts: a tray, a bracket."""


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
    ends_at: Texts = Field(default_factory=list)
    """Kinds and groups of part it may end at besides members of a circuit it opens; left out: any part."""
    pushes: Texts = Field(default_factory=list)
    """Kinds of cylinder whose piston it pushes: it lies along their axis."""
    tools: Texts = Field(default_factory=list)
    """Tools to take it off and refit it."""
    needs: Texts = Field(default_factory=list)
    """Conditions it is taken off and refitted in."""
    hot: bool = False
    """Gets hot in use."""
    moving: bool = False
    """Moves or turns in use."""
    rocked: Words = ""
    """Kind of link that takes its place between what rocks in use and what does not."""
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
    undo: Words = ""
    """How it is undone where a part it joins comes off and it stays; left out: no step of its own."""
    join: Words = ""
    """How it is joined again."""
    undo_min: WorkMin = 0
    """Minutes to undo it."""
    join_min: WorkMin = 0
    """Minutes to join it again."""
    uses: Texts = Field(default_factory=list)
    """What is used up each time it is fitted or joined."""


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
    inside: Words = ""
    """Condition that holds when it is opened and is left after it is closed, in jobs that bring it about anyway."""
    open_inside: Words = ""
    """How it is opened there."""
    open_in: Words = ""
    """Condition that it is opened in, in all other jobs."""
    close_inside: Words = ""
    """How it is closed there."""
    called: Texts = Field(default_factory=list)
    """What its fluid is bought as, in small letters."""
    close_without: Texts = Field(default_factory=list)
    """Conditions that are left before it is closed."""
    uses: Texts = Field(default_factory=list)
    """What is used up each time it is closed."""
    open_checks: Texts = Field(default_factory=list)
    """Checks of the states it is opened in that are signed anew when it has been opened."""
    holds: Texts = Field(default_factory=list)
    """Kinds of part in which its fluid stands, drawn down when a circuit they feed is opened."""
    beside: Words = ""
    """What is done to it, verb first, when one of those was drawn down for another circuit."""
    beside_min: WorkMin = 0
    """Minutes of that."""
    open_late: bool = False
    """Opened as late as can be."""
    apart: bool = False
    """Nothing else is done while it is opened or closed."""


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
    protects: bool = False
    """It keeps current, heat or fuel away from whoever works: it is left as late as can be."""
    apart: bool = False
    """The vehicle itself moves, or fuel runs, as it is entered or left: nothing else is done meanwhile."""
    cautions: Texts = Field(default_factory=list)
    """What can hurt."""
    leave_cautions: Texts = Field(default_factory=list)
    """What can hurt when it is left, where that is something else."""
    inside: Words = ""
    """Condition that holds before this one is entered and until it is left, in jobs that bring it about anyway."""
    enter_inside: Words = ""
    """How it is entered there."""
    whole: Texts = Field(default_factory=list)
    """System kinds whose parts and links are all in place when it is left, as before the job or as after it."""
    whole_parts: Texts = Field(default_factory=list)
    """Kinds or groups of parts and links of which the same is asked."""
    bears: Texts = Field(default_factory=list)
    """Kinds of parts it holds up: with all of them away it may be left too."""
    undoes: Texts = Field(default_factory=list)
    """Kinds of part whose wires are undone as it is entered."""
    never_with: Texts = Field(default_factory=list)
    """Conditions in which it is neither entered nor left."""
    under: Texts = Field(default_factory=list)
    """Kinds of part beneath which work is done in this state."""
    wet: bool = False
    """What has to dry is painted in it, and nothing is welded or ground."""
    leave_gone: Words = ""
    """How it is left where no part that asks for it is there any more."""
