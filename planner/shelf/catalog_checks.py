"""What a catalog must hold to be trusted: a source for every number, and names that lead somewhere."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

from planner.files import Document, KeyPath
from planner.finding import Finding, Place, error_at
from planner.finding.words import did_you_mean, quoted
from planner.model.catalog import Demanded, When, Work
from planner.shelf.entry_rules import StepEntry, TriggerEntry

BODY = ("body_sizes", "body_figures")
"""Sections about people."""
SECTIONS = ("kinds", "links", "systems", "conditions", "templates", "checkpoints", "clearances", "spreads", *BODY)
"""Sections of a catalog file that are keyed by id."""
PROPERTIES = frozenset({"hot", "moving", "any"})
"""What a side of a clearance may say instead of a kind or group."""
FALLBACKS = (When.MADE, When.BOUGHT, When.MOVED, When.CUT, When.WELDED, When.LINK_MADE, When.LINK_ADJUSTED)
"""Knock-ons that must find tasks whatever they are about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """An entry and where it is written."""

    document: Document
    path: KeyPath
    entry: Any

    def place(self, *more: str | int, key: bool = False) -> Place:
        """Place of the entry's key, or of something in it."""
        return self.document.place((*self.path, *more), key=key or not more)


Sections = Mapping[str, Mapping[str, Written]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Names:
    """What may be named in a catalog, by what it is."""

    conditions: frozenset[str]
    systems: frozenset[str]
    parts: frozenset[str]
    """Kinds and the groups of kinds."""
    links: frozenset[str]
    """Link kinds and their groups."""
    groups: frozenset[str]
    """Groups of anything at all."""


def check_catalog(
    entries: Sections, settings: Written | None, cautions: Mapping[str, Written], folder: Path
) -> Iterator[Finding]:
    """Findings about the catalog as a whole.

    Parameters
    ----------
    entries : mapping of section to mapping of id to Written
    settings : Written or None
    cautions : mapping of kind of work, group or condition to Written
    folder : Path
        Place of what no single entry is to blame for.
    """
    names = _names(entries)
    yield from _unsourced(entries, settings)
    yield from _needs(entries, names)
    yield from _rings(entries["conditions"])
    yield from _triggers(entries, names)
    yield from _steps(entries["templates"], names)
    yield from _twins(entries["templates"])
    yield from _fallbacks(entries["templates"], folder)
    yield from _limits(entries["checkpoints"])
    yield from _sides(entries["clearances"], names)
    if settings is not None:
        yield from _unknown(settings, ("hot_conditions", "value"), names.conditions, "condition")
        heat_shy = names.groups | names.parts | names.links
        yield from _unknown(settings, ("hot_clear", "value"), heat_shy, "group, kind or link kind")
        yield from _unknown(settings, ("hole_shy", "value"), heat_shy, "group, kind or link kind")
        yield from _unknown(settings, ("never_spared", "value"), names.parts, "kind or group")
        yield from _unknown(settings, ("drilled_hosts", "value"), names.parts, "kind or group")
    works = {work.value for work in Work}
    for name, written in entries["spreads"].items():
        if name not in works:
            hint = did_you_mean(name, works)
            yield error_at(written.place(), "unknown-work", f"{quoted(name)} is no kind of work known here", hint)
    for name, written in cautions.items():
        known = works | names.groups | names.conditions
        if name not in known:
            told = f"{quoted(name)} is no kind of work, no group and no condition"
            yield error_at(written.place(), "unknown-name", told, did_you_mean(name, known))


def _names(entries: Sections) -> _Names:
    def groups(*sections: str) -> set[str]:
        return {w.entry.group for section in sections for w in entries[section].values()}

    return _Names(
        conditions=frozenset(entries["conditions"]),
        systems=frozenset(entries["systems"]),
        parts=frozenset(entries["kinds"]) | groups("kinds"),
        links=frozenset(entries["links"]) | groups("links"),
        groups=frozenset(groups("kinds", "links", "systems", "checkpoints")),
    )


def _unsourced(entries: Sections, settings: Written | None) -> Iterator[Finding]:
    """Every entry holds numbers (minutes at least), so every entry says where they come from."""
    hint = "write the publication with its clause, `common practice, no published source` or `starting guess`"
    for section in SECTIONS:
        for name, written in entries[section].items():
            if not written.entry.source.strip():
                yield error_at(written.place(), "unsourced-number", f"{quoted(name)} has numbers but no `source`", hint)
    if settings is not None:
        for name in type(settings.entry).model_fields:
            if not getattr(settings.entry, name).source.strip():
                message = f"{quoted(name)} has a value but no `source`"
                yield error_at(settings.place(name, key=True), "unsourced-number", message, hint)


def _unknown(written: Written, path: KeyPath, known: Iterable[str], what: str) -> Iterator[Finding]:
    """Names in the list at ``path`` of an entry that are not ``known``."""
    value: Any = written.entry
    for key in path:
        value = value[key] if isinstance(key, int) else getattr(value, key)
    for position, name in enumerate(value):
        if name not in known:
            place = written.place(*path, position)
            yield error_at(place, "unknown-name", f"no {what} is called {quoted(name)}", did_you_mean(name, known))


def _needs(entries: Sections, names: _Names) -> Iterator[Finding]:
    for section in ("kinds", "links", "systems", "conditions"):
        for written in entries[section].values():
            yield from _unknown(written, ("needs",), names.conditions, "condition")
            if section == "kinds":
                yield from _unknown(written, ("serves_as",), entries["kinds"], "kind")
            if section in ("kinds", "links"):
                yield from _unknown(written, ("opens",), names.systems, "system kind")
            if section == "links":
                yield from _unknown(written, ("ends_at",), names.parts, "kind or group")
                yield from _unknown(written, ("pushes",), entries["kinds"], "kind")
                if written.entry.rocked and written.entry.rocked not in entries["links"]:
                    told = f"no link kind is called {quoted(written.entry.rocked)}"
                    hint = did_you_mean(written.entry.rocked, entries["links"])
                    yield error_at(written.place("rocked"), "unknown-name", told, hint)
            if section in ("systems", "conditions"):
                yield from _inside(written, names)
            if section == "systems":
                yield from _unknown(written, ("open_checks",), entries["checkpoints"], "checkpoint")
                yield from _unknown(written, ("holds",), entries["kinds"], "kind")
    for written in entries["checkpoints"].values():
        yield from _unknown(written, ("conditions",), names.conditions, "condition")
        yield from _unknown(written, ("after",), entries["checkpoints"], "checkpoint")
        yield from _unknown(written, ("without",), names.conditions, "condition")
        yield from _unknown(written, ("before_leaving",), names.conditions, "condition")
        yield from _unknown(written, ("inside",), names.conditions, "condition")
        yield from _unknown(written, ("whole",), names.systems, "system kind")
        yield from _unknown(written, ("where",), names.parts, "kind or group")


def _inside(written: Written, names: _Names) -> Iterator[Finding]:
    """Conditions and circuits that a condition or circuit names besides what it needs."""
    inside = written.entry.inside
    if inside and inside not in names.conditions:
        message, hint = f"no condition is called {quoted(inside)}", did_you_mean(inside, names.conditions)
        yield error_at(written.place("inside"), "unknown-name", message, hint)
    if written.path[0] == "systems":
        safe = written.entry.open_in
        if safe and safe not in names.conditions:
            message, hint = f"no condition is called {quoted(safe)}", did_you_mean(safe, names.conditions)
            yield error_at(written.place("open_in"), "unknown-name", message, hint)
        yield from _unknown(written, ("close_without",), names.conditions, "condition")
    else:
        yield from _unknown(written, ("whole",), names.systems, "system kind")
        yield from _unknown(written, ("never_with",), names.conditions, "condition")
        for key in ("undoes", "whole_parts", "bears", "under"):
            yield from _unknown(written, (key,), names.parts, "kind or group")


def _rings(conditions: Mapping[str, Written]) -> Iterator[Finding]:
    """Conditions that wait for each other can never be entered."""
    try:
        waits = {name: [*w.entry.needs, *filter(None, [w.entry.inside])] for name, w in conditions.items()}
        TopologicalSorter(waits).prepare()
    except CycleError as error:
        ring = error.args[1]
        message = "conditions need each other in a ring: " + " needs ".join(map(quoted, reversed(ring)))
        yield error_at(conditions[ring[0]].place(), "needs-ring", message, "take one of the `needs` out")


def _triggers(entries: Sections, names: _Names) -> Iterator[Finding]:
    for written in entries["templates"].values():
        yield from _trigger(written, ("trigger",), written.entry.trigger, names)
    for written in entries["checkpoints"].values():
        for position, trigger in enumerate(written.entry.triggers):
            yield from _trigger(written, ("triggers", position), trigger, names)


def _trigger(written: Written, path: KeyPath, trigger: TriggerEntry, names: _Names) -> Iterator[Finding]:
    known, what = {
        When.LINK_MADE: (names.links, "link kind or group of links"),
        When.LINK_ADJUSTED: (names.links, "link kind or group of links"),
        When.OPENED: (names.systems, "system kind"),
        When.LEFT_OPEN: (names.systems, "system kind"),
        When.ENTERED: (names.conditions, "condition"),
        When.BROUGHT_ABOUT: (names.conditions, "condition"),
        When.DISTURBED: (names.parts | names.links, "kind, link kind or group"),
        When.MENDED: (names.parts | names.links, "kind, link kind or group"),
        When.ALWAYS: (frozenset[str](), "thing"),
    }.get(trigger.when, (names.parts, "kind or group"))
    yield from _unknown(written, (*path, "of"), known, what)


def _steps(templates: Mapping[str, Written], names: _Names) -> Iterator[Finding]:
    for written in templates.values():
        for position, step in enumerate(written.entry.steps):
            yield from _unknown(written, ("steps", position, "conditions"), names.conditions, "condition")
            if Demanded.LIMITS_FITTED in step.demands and Demanded.FITTED not in step.demands:
                # Two new parts that limit each other could otherwise wait for one another for ever.
                place = written.place("steps", position, "demands")
                yield error_at(place, "lone-limits", "`limits fitted` without `fitted`", "demand both, or neither")
            yield from _redone(written, position, step)


def _redone(written: Written, position: int, step: StepEntry) -> Iterator[Finding]:
    """Steps done again that do not come before the trial, or that no chance belongs to."""
    if step.redo and not step.again:
        message = "the step says what is done again, and not how likely that is"
        yield error_at(written.place("steps", position, "redo"), "redo-for-nothing", message, "add `again: 0.3`")
    for index, number in enumerate(step.redo):
        if number > position:
            message = f"step {number} is done again with step {position + 1}, and does not come before it"
            place = written.place("steps", position, "redo", index)
            yield error_at(place, "redo-not-before", message, "steps count from 1")


def _twins(templates: Mapping[str, Written]) -> Iterator[Finding]:
    """Two templates for one name leave it open which one holds."""
    first: dict[tuple[When, str], str] = {}
    for name, written in templates.items():
        trigger = written.entry.trigger
        for of in trigger.of or ("",):
            other = first.setdefault((trigger.when, of), name)
            if other != name:
                what = f"{trigger.when.value} {quoted(of)}" if of else f"anything {trigger.when.value}"
                message = f"{quoted(name)} and {quoted(other)} are both for {what}"
                yield error_at(written.place("trigger", key=True), "two-templates", message, "keep one of the two")


def _fallbacks(templates: Mapping[str, Written], folder: Path) -> Iterator[Finding]:
    there = {w.entry.trigger.when for w in templates.values() if not w.entry.trigger.of}
    for when in FALLBACKS:
        if when not in there:
            message = f"no template is for anything {when.value}"
            yield error_at(
                Place(folder.as_posix()),
                "no-fallback",
                message,
                f"write one with `when: {when.value}` and no `of`",
            )


def _sides(clearances: Mapping[str, Written], names: _Names) -> Iterator[Finding]:
    known = names.parts | names.links | PROPERTIES
    for written in clearances.values():
        for side in ("one", "other"):
            yield from _unknown(written, (side,), known, "kind, link kind, group or property")


def _limits(rules: Mapping[str, Written]) -> Iterator[Finding]:
    for name, written in rules.items():
        rule = written.entry
        if rule.low is not None and rule.high is not None and rule.low > rule.high:
            message = f"{quoted(name)} passes nothing: `low` {rule.low:g} is above `high` {rule.high:g}"
            yield error_at(written.place("low"), "out-of-range", message, "swap them")
        if (rule.low is not None or rule.high is not None) and not rule.unit:
            yield error_at(
                written.place(),
                "missing-key",
                f"{quoted(name)} has a number for its limit but no `unit`",
                "add it",
            )
        yield from _besides(name, written)


def _besides(name: str, written: Written) -> Iterator[Finding]:
    """A limit that does not tell the number it is held against, or a list of what else is asked that is none."""
    rule, numbers = written.entry, {written.entry.low, written.entry.high} - {None}
    if rule.low != rule.high and not numbers & _numerals(rule.limit):
        told = f"the limit of {quoted(name)} does not tell the number that its reading is held against"
        yield error_at(written.place("limit"), "limit-apart", told, "write the number into `limit`, in digits")
    if rule.also and not numbers:
        told = f"{quoted(name)} has no number, so yes says all of its limit"
        yield error_at(written.place("also"), "limit-apart", told, "write what is in `also` into `limit`")
    for thing in rule.also:
        if thing in rule.limit or rule.also.count(thing) > 1:
            told = f"{quoted(name)} asks twice: {thing}"
            yield error_at(written.place("also"), "limit-apart", told, "write it once, in `limit` or in `also`")
        if rule.low != rule.high and numbers & _numerals(thing):
            told = f"{quoted(name)} asks for its own number besides it: {thing}"
            yield error_at(written.place("also"), "limit-apart", told, "write what the number says into `limit`")


def _numerals(text: str) -> set[float]:
    """The numbers that stand in a text."""
    return {float(n) for n in re.findall(r"[0-9]+(?:[.][0-9]+)?", text)}
