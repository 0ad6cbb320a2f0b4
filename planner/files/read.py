"""YAML text to plain data with places, without ever building objects from it.

The text is taken event by event, so depth and number are counted before anything is built. Only whole
numbers, decimals, true/false, null and text exist; dates and times stay text. Anchors, aliases, merges, tags
and several documents in a file are refused: no vehicle file needs them, and they make small files explode.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

import yaml

from planner.files.place import Document, KeyPath, Plain, Span
from planner.files.raw import CUT_SHORT, has_hidden, read_text, text_faults
from planner.files.syntax import in_our_words
from planner.finding import Finding, Place, error_at, sort_findings
from planner.finding.words import quoted

DEEPEST = 30
"""The deepest thing in a vehicle file is nine levels down."""
MOST_VALUES = 100_000
"""Values in one file; a vehicle of a thousand parts has a quarter of that."""
LONGEST_KEY = 80

# Named in quotes: the loader written in C is not there on every platform.
Loader: TypeAlias = "type[yaml.SafeLoader | yaml.CSafeLoader]"

_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_PLAIN: dict[str, Plain] = {
    "": None,
    "~": None,
    "null": None,
    "Null": None,
    "NULL": None,
    "true": True,
    "True": True,
    "TRUE": True,
    "false": False,
    "False": False,
    "FALSE": False,
}


def read_document(path: Path) -> tuple[Document | None, tuple[Finding, ...]]:
    """Read a YAML file.

    Parameters
    ----------
    path : Path
        Shown in findings as it is given.

    Returns
    -------
    document : Document or None
        None when the text cannot be understood at all. A document with findings can still be checked further.
    findings : tuple of Finding
        Sorted by place.
    """
    text, findings = read_text(path)
    if text is None:
        return None, findings
    return parse_text(text, path.as_posix())


def parse_text(text: str, file: str, *, loader: Loader | None = None) -> tuple[Document | None, tuple[Finding, ...]]:
    """Read YAML text already in hand.

    Parameters
    ----------
    text : str
    file : str
        Name to show in findings.
    loader : type, optional
        The YAML loader class; by default the quick one, where the platform has it.
    """
    faults = text_faults(file, text)
    if faults:
        return None, sort_findings(faults)
    builder = _Builder(file)
    try:
        for event in _events(text, loader or quick_loader()):
            builder.take(event)
    except _StopReading as stop:
        return None, (stop.finding,)
    except yaml.YAMLError as error:
        return None, sort_findings((*builder.findings, _syntax_fault(file, text, error)))
    if builder.root is _NOTHING:
        builder.fault(
            "empty-file",
            Span(0, 0, 0, 0),
            "holds only comments",
            "copy projects/trials-car, or begin with `knockon new FOLDER`",
        )
        return None, sort_findings(builder.findings)
    document = Document(
        file=file,
        text=text,
        data=builder.root,
        values=builder.values,
        keys=builder.keys,
        told=frozenset(builder.told),
        blank=frozenset(builder.blank),
    )
    return document, sort_findings(builder.findings)


def quick_loader() -> Loader:
    """Take the loader written in C, where the platform has it."""
    found: Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return found


def _events(text: str, loader: Loader) -> Iterator[yaml.Event]:
    return yaml.parse(text, Loader=loader)


def _syntax_fault(file: str, text: str, error: yaml.YAMLError) -> Finding:
    problem = str(getattr(error, "problem", None) or error)
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    opened = getattr(error, "context_mark", None)
    place = Place(file, 1, 1)
    if mark is not None:
        place = Place(file, mark.line + 1, mark.column + 1)
        if text[mark.index : mark.index + 1] == "\t":
            problem = "tab"
    message, hint = in_our_words(problem)
    if place.line > text.count("\n") and not text.endswith(("\n", "\r")):
        hint += CUT_SHORT
    if opened is not None and opened.line != place.line - 1 and ("quote" in message or "bracket" in message):
        message += f"; it is opened on line {opened.line + 1}"
    # The reader notices what is left open only at the end; the last line of text is where to look.
    last = text.count("\n") + 1
    if place.line > last:
        place = Place(file, last, 1)
    return error_at(place, "yaml-syntax", message, hint)


class _StopReading(Exception):  # noqa: N818  it ends the reading and is no error of ours
    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.message)
        self.finding = finding


class _Nothing:
    """No value yet."""


_NOTHING: Any = _Nothing()


@dataclass(slots=True)
class _Level:
    """A block or list that is being read."""

    path: KeyPath
    held: Any
    key: str | None = None
    skip: bool = False
    """The value to come belongs to a key that was refused."""
    bad_key: bool = False
    """The block itself stands where a key should be, or beneath a refused one: nothing of it is kept."""


@dataclass(slots=True)
class _Builder:
    """Builds plain data from parsing events."""

    file: str
    root: Any = _NOTHING
    values: dict[KeyPath, Span] = field(default_factory=dict)
    keys: dict[KeyPath, Span] = field(default_factory=dict)
    told: set[KeyPath] = field(default_factory=set)
    blank: set[KeyPath] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)
    _levels: list[_Level] = field(default_factory=list)
    _count: int = 0
    _documents: int = 0

    def fault(self, code: str, span: Span, message: str, hint: str) -> Finding:
        """Note an error at ``span``."""
        finding = error_at(Place(self.file, span.line, span.column), code, message, hint)
        self.findings.append(finding)
        return finding

    def take(self, event: yaml.Event) -> None:
        """Take one event."""
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                hint = "put each into a file of its own, or delete the `---`"
                raise _StopReading(self.fault("yaml-documents", _span(event), "a second document starts here", hint))
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self._levels.pop()
        elif isinstance(event, yaml.NodeEvent):
            self._count += 1
            if self._count > MOST_VALUES:
                message = f"more than {MOST_VALUES} values in one file"
                raise _StopReading(self.fault("too-many-values", _span(event), message, "split the vehicle"))
            self._node(event)

    def _node(self, event: yaml.NodeEvent) -> None:
        level = self._levels[-1] if self._levels else None
        if level is not None and isinstance(level.held, dict) and level.key is None and not level.skip:
            self._key(level, event)
            return
        path, keep = self._next_path(level)
        span = _span(event)
        value, refused = self._value(event, span)
        if keep:
            self._store(level, path, value, span)
            if refused:
                self.told.add(path)
            elif isinstance(event, yaml.ScalarEvent) and event.value == "" and value is None:
                self.blank.add(path)
        if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            self._open(path, value, span, bad_key=not keep)
        if level is not None:
            level.key, level.skip = None, False

    def _next_path(self, level: _Level | None) -> tuple[KeyPath, bool]:
        """Where the value to come belongs, and whether it is kept."""
        if level is None:
            return (), True
        keep = not (level.bad_key or level.skip)
        if isinstance(level.held, list):
            return (*level.path, len(level.held)), keep
        return (*level.path, level.key or ""), keep

    def _store(self, level: _Level | None, path: KeyPath, value: Plain, span: Span) -> None:
        self.values[path] = span
        if level is None:
            self.root = value
        elif isinstance(level.held, list):
            level.held.append(value)
        else:
            level.held[path[-1]] = value

    def _open(self, path: KeyPath, held: Plain, span: Span, *, bad_key: bool) -> None:
        if len(self._levels) >= DEEPEST:
            message = f"more than {DEEPEST} levels inside each other"
            raise _StopReading(self.fault("too-deep", span, message, "check the brackets"))
        self._levels.append(_Level(path=path, held=held, bad_key=bad_key))

    def _key(self, level: _Level, event: yaml.NodeEvent) -> None:
        span = _span(event)
        level.skip = True
        if not isinstance(event, yaml.ScalarEvent):
            if isinstance(event, yaml.AliasEvent):
                self._refuse_alias(span)
            else:
                self.fault("bad-key", span, "a list or block stands where a key should be", "write `key: value`")
                self._open(level.path, {} if isinstance(event, yaml.MappingStartEvent) else [], span, bad_key=True)
            return
        key = event.value
        self._refuse_marks(event, span)
        if key == "<<" and not event.style:
            self.fault("yaml-merge", span, "`<<` merges are not read", "write the values out")
        elif key == "" or len(key) > LONGEST_KEY or has_hidden(key) or "\n" in key:
            self.fault("bad-key", span, f"{quoted(key)} cannot be a key", "write a short name before the colon")
        elif not level.bad_key and key in level.held:
            first = self.keys[(*level.path, key)]
            hint = "keep one of the two"
            self.fault("double-key", span, f"key {quoted(key)} is written twice, first on line {first.line}", hint)
        else:
            level.skip, level.key = False, key
            if not level.bad_key:
                self.keys[(*level.path, key)] = span

    def _value(self, event: yaml.NodeEvent, span: Span) -> tuple[Plain, bool]:
        """Plain value of an event, and whether it was refused."""
        if isinstance(event, yaml.AliasEvent):
            self._refuse_alias(span)
            return None, True
        refused = self._refuse_marks(event, span)
        if isinstance(event, yaml.MappingStartEvent):
            return {}, refused
        if isinstance(event, yaml.SequenceStartEvent):
            return [], refused
        if not isinstance(event, yaml.ScalarEvent):
            return None, refused
        if has_hidden(event.value):
            self.fault("control-character", span, "the text holds a control character", "write it in plain letters")
            return None, True
        return (_scalar(event.value) if not event.style else event.value), refused

    def _refuse_marks(self, event: yaml.NodeEvent, span: Span) -> bool:
        """Refuse anchors and tags; whether there was one."""
        if event.anchor is not None:
            self.fault("yaml-alias", span, f"`&{event.anchor}` names a value for use elsewhere", "write the value out")
            return True
        tag = getattr(event, "tag", None)
        if tag is not None:
            hint = "delete it; text that starts with `!` needs quotes"
            self.fault("yaml-tag", span, f"the tag {quoted(tag)} is not read", hint)
            return True
        return False

    def _refuse_alias(self, span: Span) -> None:
        self.fault("yaml-alias", span, "`*` repeats a value from elsewhere", "write the value out")


def _span(event: yaml.Event) -> Span:
    start, end = event.start_mark, event.end_mark
    if start is None or end is None:
        raise AssertionError("the YAML reader marks every event")
    return Span(start.line + 1, start.column + 1, start.index, end.index)


def _scalar(text: str) -> Plain:
    """Value of unquoted text."""
    if text in _PLAIN:
        return _PLAIN[text]
    if _INT.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        if re.match(r"[-+]?0[0-9]", text) or re.fullmatch(r"[-+]?[0-9]+", text):
            return text
        number = float(text)
        return number if math.isfinite(number) else text
    return text
