"""What a fresh vehicle, part, link, mounting space or job looks like in its file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from planner.files import Plain, Put
from planner.files.render import block_lines, flow
from planner.files.values import LONGEST_ID, SLUG
from planner.finding.words import quoted
from planner.model.catalog import Catalog, Kind
from planner.model.job import USUAL_CURRENCY
from planner.shelf.fill_component import words_of
from planner.shelf.tape import Shape, Spot, anchor_words, in_units
from planner.units import Bare, format_length, format_minutes

LONGEST_NAME = 80
_NAME = re.compile(r"[^\W_][\w '.()+&-]*")
_RESERVED = frozenset({"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))})
"""Names that some systems keep for devices: no file can be called so there."""
_SYSTEM_IDS = {
    "hydraulic-brake": "brakes",
    "cable-brake": "foot-brakes",
    "hydraulic-clutch": "clutch-fluid",
    "coolant": "cooling",
    "engine-oil": "oil",
    "gearbox-oil": "gear-oil",
    "low-voltage-wiring": "wiring",
    "throttle-linkage": "throttle",
    "gear-linkage": "gear-change",
    "belt-drive": "belt-run",
    "choke": "choke-control",
    "vacuum": "servo-vacuum",
    "speedometer": "speedometer-drive",
}
"""What a circuit is called in a file that has none of its kind yet; its kind's own id otherwise."""


class NameFaultError(ValueError):
    """Text that cannot name a thing: what is wrong, and what to write."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry to be added to a file, with remarks on some of its keys."""

    put: Put
    notes: Mapping[str, str] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """Id of what is added."""
        return self.put.key


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """A thing's id, and its name where the id does not say it."""

    id: str
    name: str | None = None


def called(text: str, otherwise: str, taken: Collection[str] = ()) -> Called:
    """Make an id of what a thing is called: ``Brass tank`` becomes ``brass-tank``.

    Parameters
    ----------
    text : str
    otherwise : str
        Id when the name has no plain letters to make one of.
    taken : collection of str
        Ids in use: refused when the name gives one of them.

    Raises
    ------
    NameFaultError
        It holds what no name may hold, or is in use.
    """
    name = " ".join(text.split())
    if not _NAME.fullmatch(name):
        hint = "use letters, digits, spaces and dashes, and begin with a letter or digit"
        raise NameFaultError(f"{quoted(text)} cannot be a name", hint)
    if len(name) > LONGEST_NAME:
        raise NameFaultError(f"the name has {len(name)} characters, {LONGEST_NAME} are allowed", "shorten it")
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    made = re.sub(r"[^a-z0-9]+", "-", plain.replace("'", "")).strip("-")[:LONGEST_ID].strip("-")
    made = made if SLUG.fullmatch(made) else free_id(otherwise, taken)
    if made in _RESERVED:
        raise NameFaultError(f"`{made}` is a device's name on some systems", "add a word to it")
    if made in taken:
        raise NameFaultError(f"`{made}` is there already", f"such as `{free_id(made, taken)}`")
    return Called(id=made, name=None if words_of(made) == name else name)


def free_id(base: str, taken: Collection[str]) -> str:
    """Find the first of ``base``, ``base-2``, ``base-3`` that is not in use."""
    if base not in taken:
        return base
    number = 2
    while f"{base}-{number}" in taken:
        number += 1
    return f"{base}-{number}"


def fault_of_folder(name: str) -> str:
    """Why a folder should not be called so, or nothing."""
    if not name or any(not c.isprintable() for c in name):
        return "its name holds a character that cannot be seen"
    if name.split(".", maxsplit=1)[0].rstrip().lower() in _RESERVED:
        return "that is a device's name on some systems"
    if name not in {".", ".."} and name[-1] in ". ":
        return "some systems cannot keep a name that ends so"
    odd = sorted(set(name) & set('<>:"|?*\\'))
    return f"some systems cannot keep a name with {quoted(odd[0])}" if odd else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSaid:
    """All that was said of a part; its place is the point that was measured, and its solid is set beside that."""

    named: Called
    kind: str
    shape: Shape
    spot: Spot
    on: str | None = None
    systems: tuple[str, ...] = ()
    notes: Mapping[str, str] = field(default_factory=dict)

    def entry(self, bare: Bare) -> Entry:
        """The part in its vehicle's file."""
        told = {"at": anchor_words(self.spot.anchor)} | dict(self.notes)
        return Entry(put=Put(("components",), self.named.id, self.block(bare)), notes=told)

    def block(self, bare: Bare) -> dict[str, Plain]:
        """Its keys."""
        block: dict[str, Plain] = {"kind": self.kind}
        if self.named.name is not None:
            block["name"] = self.named.name
        block["at"] = [t.written for t in self.spot.at]
        solid: dict[str, Plain] = dict(self.shape.written)
        if any(self.spot.anchor):
            offsets = zip(self.spot.anchor, self.shape.size_mm, strict=True)
            solid["at"] = [in_units(-way * size / 2, bare) for way, size in offsets]
        block["solids"] = [solid]
        if self.on is not None:
            block["mounted_on"] = self.on
        if self.systems:
            block["systems"] = list(self.systems)
        return block


def system_entry(kind: str, taken: Collection[str]) -> Entry:
    """A circuit of a kind of which the vehicle has none yet."""
    name = free_id(_SYSTEM_IDS.get(kind, kind), taken)
    return Entry(put=Put(("systems",), name, {"kind": kind}))


def kind_note(kind: Kind, units: str) -> str:
    """What a kind brings with it, in a remark."""
    told = [kind.freedom.value]
    if kind.keep_clear_mm:
        told.append(f"{format_length(kind.keep_clear_mm, units)} kept clear")
    if kind.off_min or kind.on_min:
        told.append(f"{format_minutes(kind.off_min)} off, {format_minutes(kind.on_min)} on (guesses)")
    return "; ".join(told)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What is said of a vehicle as a whole."""

    folder: str
    name: str
    bare: Bare
    doubt: int | float | str
    ground: int | float | str
    overall: str


ZERO = (
    "centre of the front axle, x grows rearward",
    "centre line of the vehicle, y grows to the right",
    "underside of the chassis, z grows upward",
)
_INTRO = """\
# {name}: as it stands today. Plain text, made from answers to questions: go on with it in any editor.
# After each change: knockon check {folder}
#
# x rearward, y to the right, z up, left and right as the driver sees them. Over all: {overall}.
# A bare number is in `units`; 28.4 in, 62 cm, 1 1/4 in and 560 +/- 5 are read as well. What a part does not say comes
# from its kind in the catalog: how it is held, room round it, minutes. Write beside a part what you know better:
#   keep_clear: 8 / off: 20 min / mass: 4.2 kg / ports: {{out: [0, 0, -66]}} / near: {{engine: 12}} / way_out: [up]
# `knockon schema vehicle` lists every key.

"""
_SECTIONS = ("systems", "components", "links", "spaces")
_SECTION_NOTES = {
    "systems": "# circuits; a part is a member of those that are opened when it comes off",
    "components": "",
    "links": "",
    "spaces": "# boxes in which parts may find a new home: size along x, y, z and middle",
}


def fresh_vehicle(head: Head, entries: Sequence[Entry], catalog: Catalog) -> str:
    """Text of a vehicle file, whole, with remarks."""
    intro = _INTRO.format(name=head.name, folder=head.folder, overall=head.overall)
    lines = [
        "knockon: 1",
        f"name: {flow(head.name)}",
        f"units: {head.bare}",
        _noted(f"doubt: {flow(head.doubt)}", "how sure a size is that does not say"),
        _noted(
            f"# currency: {USUAL_CURRENCY}",
            "what prices are in, those of all its jobs as well",
        ),
        "zero:",
        *(f"  {axis}: {words}" for axis, words in zip("xyz", ZERO, strict=True)),
        _noted(f"ground: {flow(head.ground)}", "height of the ground"),
    ]
    for section in _SECTIONS:
        own = [e for e in entries if e.put.path == (section,)]
        if own:
            lines += ["", *([_SECTION_NOTES[section]] if _SECTION_NOTES[section] else []), f"{section}:"]
            lines += _section(section, own, catalog, head.bare)
    return intro + "\n".join(lines) + "\n"


def _section(section: str, entries: Sequence[Entry], catalog: Catalog, units: str) -> list[str]:
    lines: list[str] = []
    for entry in entries:
        block = entry.put.value
        if not isinstance(block, dict) or len(block) == 1:
            lines.append(f"  {entry.id}: {flow(block)}")
            continue
        notes = dict(entry.notes)
        kind = block.get("kind")
        if section == "components" and isinstance(kind, str) and kind in catalog.kinds:
            notes.setdefault("kind", kind_note(catalog.kinds[kind], units))
        lines += ["", f"  {entry.id}:"] if section == "components" else [f"  {entry.id}:"]
        for key, value in block.items():
            told = block_lines({key: value}, 4)
            lines += [_noted(told[0], notes.get(key, "")), *told[1:]]
    return lines


_NOTES_FROM = 40
"""Column of the remarks."""


def _noted(line: str, note: str) -> str:
    return f"{line.ljust(_NOTES_FROM)}  # {note}" if note else line


_JOB_INTRO = """\
# {name}: what is to change, and when there is time for it. Plain text: go on with it in any editor.
# What else must move: knockon moves {folder} {job}      In which order: knockon plan {folder} {job}
#
# Other changes: {{do: remove, part: ...}}, {{do: take-off, part: ...}},
#   {{do: grow, part: ..., by: [0, 0, 40], from: bottom}}, add and replace (with a whole `component:` block),
#   cut (a hole), link (with a whole `link:` block).
# Also: tasks of your own, purchases, options; `knockon schema job` lists every key.

"""


def fresh_job(
    folder: str, named: Called, changes: Iterable[Mapping[str, Plain]], sessions: Iterable[Mapping[str, Plain]]
) -> str:
    """Text of a job file, whole, with remarks."""
    name = named.name or words_of(named.id).capitalize()
    lines = [
        "knockon: 1",
        f"name: {flow(name)}",
        "# start: 2027-01-09        # first day of work; today when it does not say",
        "# hour_worth: 18           # what an hour of your time is worth, in the `currency` of vehicle.yaml",
        "changes:",
    ]
    for change in changes:
        lines += block_lines([dict(change)], 2)
    lines += ["sessions:"]
    for session in sessions:
        # A clock time is put in quotes: some readers take 09:00 for a number.
        told = ", ".join(f'{k}: "{v}"' if k in {"from", "to"} else f"{k}: {flow(v)}" for k, v in session.items())
        lines.append(f"  - {{{told}}}")
    return _JOB_INTRO.format(name=name, folder=folder, job=named.id) + "\n".join(lines) + "\n"
