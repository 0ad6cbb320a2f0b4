"""Edits of a YAML text that leave every other character of it alone: comments, order and layout stay.

The text is composed to nodes once for each edit, a piece is cut out at the node's own marks and another put in its
place. Afterwards the new text is read again and compared with the same edit made on the plain data: an edit that would
change anything else is refused, not made.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, TypeAlias

import yaml

from planner.files.place import KeyPath, Plain
from planner.files.read import parse_text, quick_loader
from planner.files.render import block_lines, flow

WIDEST = 110
"""What is put in stays on one line up to so many characters."""


class SpliceError(ValueError):
    """The edit cannot be made without touching something else, or the text cannot be read."""


@dataclass(frozen=True, slots=True)
class Change:
    """Give the value at ``path`` another ``value``; what is there must exist."""

    path: KeyPath
    value: Plain


@dataclass(frozen=True, slots=True)
class Put:
    """Add ``key`` with ``value`` at the end of the block or braces at ``path``; the key must be new there."""

    path: KeyPath
    key: str
    value: Plain


@dataclass(frozen=True, slots=True)
class Append:
    """Add ``value`` at the end of the list at ``path``."""

    path: KeyPath
    value: Plain


@dataclass(frozen=True, slots=True)
class Drop:
    """Take out the entry or list item at ``path``, with a comment at the end of its own line."""

    path: KeyPath


Edit: TypeAlias = Change | Put | Append | Drop


def spliced(text: str, edits: Sequence[Edit]) -> str:
    """Make edits one after the other.

    Parameters
    ----------
    text : str
        A file that reads without a finding.
    edits : sequence of Edit
        Each refers to the text as the ones before it left it.

    Raises
    ------
    SpliceError
        The text does not read, a path leads nowhere, or an edit cannot be made cleanly.
    """
    for edit in edits:
        text = _one(text, edit)
    return text


def _one(text: str, edit: Edit) -> str:
    wanted = _edited(deepcopy(_data(text)), edit)
    root = yaml.compose(text, Loader=quick_loader())
    if root is None:
        raise SpliceError("there is nothing to edit")
    cut = _cut(_Page(text, root), edit)
    new = text[: cut.start] + cut.put + text[cut.end :]
    if not _same(_data(new), wanted):
        raise SpliceError(f"{edit} cannot be made without touching something else")
    return new


def _data(text: str) -> Plain:
    document, findings = parse_text(text, "text")
    if document is None or findings:
        raise SpliceError(findings[0].message if findings else "the text cannot be read")
    return document.data


def _same(one: Plain, other: Plain) -> bool:
    """Equal in value and in kind: 1 is not true, and 1.0 is not 1."""
    return repr(one) == repr(other)


def _edited(data: Any, edit: Edit) -> Plain:  # noqa: ANN401  # plain data of any depth
    """Make the edit on plain data, as the measure of the one in the text."""
    try:
        match edit:
            case Change(path=(), value=value):
                return value
            case Change(path=path, value=value):
                holder = _at(data, path[:-1])
                _ = holder[path[-1]]
                holder[path[-1]] = value
            case Put(path=path, key=key, value=value):
                holder = _at(data, path)
                if holder is None:
                    return _edited(data, Change(path, {key: value}))
                if key in holder:
                    raise SpliceError(f"`{key}` is there already")
                holder[key] = value
            case Append(path=path, value=value):
                holder = _at(data, path)
                if holder is None:
                    return _edited(data, Change(path, [value]))
                holder.append(value)
            case Drop(path=path):
                del _at(data, path[:-1])[path[-1]]
    except (KeyError, IndexError, TypeError, AttributeError):
        raise SpliceError(f"{edit} leads nowhere") from None
    return data  # type: ignore[no-any-return]


def _at(data: Any, path: KeyPath) -> Any:  # noqa: ANN401  # plain data of any depth
    for key in path:
        data = data[key]
    return data


@dataclass(frozen=True, slots=True)
class _Cut:
    """Characters ``start`` to ``end`` give way to ``put``."""

    start: int
    end: int
    put: str


class _Page:
    """A text with its nodes."""

    def __init__(self, text: str, root: yaml.Node) -> None:
        self.text = text
        self.root = root
        self.newline = "\r\n" if "\r\n" in text else "\n"

    def node(self, path: KeyPath) -> yaml.Node:
        """The node at a path that is known to lead somewhere."""
        node = self.root
        for key in path:
            node = self.children(node)[self.index(node, key)][1]
        return node

    def index(self, node: yaml.Node, key: str | int) -> int:
        """Position of a key or item among a node's children."""
        if isinstance(node, yaml.MappingNode):
            return next(i for i, (k, _) in enumerate(node.value) if k.value == key)
        return int(key) if int(key) >= 0 else len(node.value) + int(key)

    @staticmethod
    def in_braces(node: yaml.Node) -> bool:
        """Whether a node is written between braces or brackets."""
        return isinstance(node, yaml.CollectionNode) and bool(node.flow_style)

    @staticmethod
    def children(node: yaml.Node) -> list[tuple[yaml.Node, yaml.Node]]:
        """Pairs of what begins a child (its key, or itself) and its value."""
        if isinstance(node, yaml.MappingNode):
            return list(node.value)
        return [(child, child) for child in node.value]

    def end(self, node: yaml.Node) -> int:
        """Where a node's own characters end; the marks of block nodes run on over comments and blank lines."""
        if isinstance(node, yaml.ScalarNode):
            stop = node.end_mark.index
            return len(self.text[:stop].rstrip()) if node.style in {"|", ">"} else stop
        if self.in_braces(node) or not node.value:
            return int(node.end_mark.index)
        return self.end(self.children(node)[-1][1])

    def line_end(self, index: int) -> int:
        """Index just past the end of the line that holds ``index``."""
        stop = self.text.find("\n", index)
        return len(self.text) if stop < 0 else stop + 1

    def line_start(self, index: int) -> int:
        """Index of the first character of the line that holds ``index``."""
        return self.text.rfind("\n", 0, index) + 1


def _cut(page: _Page, edit: Edit) -> _Cut:
    match edit:
        case Change(path=path, value=value):
            return _changed(page, path, value)
        case Put(path=path, key=key, value=value):
            return _put(page, path, key, value)
        case Append(path=path, value=value):
            return _append(page, path, value)
        case Drop(path=path):
            return _drop(page, path)


def _changed(page: _Page, path: KeyPath, value: Plain) -> _Cut:
    node = page.node(path)
    start, end = node.start_mark.index, page.end(node)
    put = flow(value)
    if start == end and start and not page.text[start - 1].isspace():
        put = f" {put}"
    if end < len(page.text) and page.text[end] == "#":
        put = f"{put} "
    return _Cut(start, end, put)


def _put(page: _Page, path: KeyPath, key: str, value: Plain) -> _Cut:
    node = page.node(path)
    if isinstance(node, yaml.ScalarNode):
        return _changed(page, path, {key: value})
    if not isinstance(node, yaml.MappingNode):
        raise SpliceError(f"{path} is no block")
    entry = f"{flow(key)}: {flow(value)}"
    if page.in_braces(node):
        return _into_braces(page, node, entry)
    indent = node.value[0][0].start_mark.column
    if isinstance(value, dict) and any(_is_block(page, entry) for _, entry in node.value):
        laid_out = _laid_out({key: value}, indent, 1 if path else 2)
        return _below(page, node, laid_out)
    if indent + len(entry) > WIDEST:
        return _below(page, node, block_lines({key: value}, indent))
    return _below(page, node, [" " * indent + entry])


def _laid_out(value: dict[str, Plain], indent: int, deep: int) -> list[str]:
    """Lines of a block, ``deep`` levels of it with a line for each key; what has one key only stays on its line."""
    lines: list[str] = []
    for key, item in value.items():
        if deep and isinstance(item, dict) and (len(item) > 1 or deep > 1):
            lines += [f"{' ' * indent}{flow(key)}:", *_laid_out(item, indent + 2, deep - 1)]
        else:
            lines += block_lines({key: item}, indent)
    return lines


def _is_block(page: _Page, node: yaml.Node) -> bool:
    """Whether an entry has a line for each of its keys: what is put under it is laid out alike."""
    return isinstance(node, yaml.MappingNode) and not page.in_braces(node)


def _append(page: _Page, path: KeyPath, value: Plain) -> _Cut:
    node = page.node(path)
    if isinstance(node, yaml.ScalarNode):
        return _changed(page, path, [value])
    if not isinstance(node, yaml.SequenceNode):
        raise SpliceError(f"{path} is no list")
    if page.in_braces(node):
        return _into_braces(page, node, flow(value))
    indent = node.start_mark.column
    if indent + len(flow(value)) > WIDEST:
        return _below(page, node, block_lines([value], indent))
    return _below(page, node, [f"{' ' * indent}- {flow(value)}"])


def _into_braces(page: _Page, node: yaml.Node, entry: str) -> _Cut:
    """Add an entry after the last one, before any comma or comment that follows it."""
    children = page.children(node)
    if not children:
        return _Cut(node.start_mark.index + 1, node.start_mark.index + 1, entry)
    at = page.end(children[-1][1])
    return _Cut(at, at, f", {entry}")


def _below(page: _Page, node: yaml.Node, lines: Sequence[str]) -> _Cut:
    """Add lines under the last line of a block."""
    at = page.line_end(page.end(node))
    put = "".join(line + page.newline for line in lines)
    if at and page.text[at - 1] != "\n":
        put = page.newline + put.removesuffix(page.newline)
    return _Cut(at, at, put)


def _drop(page: _Page, path: KeyPath) -> _Cut:
    if not path:
        raise SpliceError("the whole file cannot be dropped")
    holder = page.node(path[:-1])
    children = page.children(holder)
    index = page.index(holder, path[-1])
    if len(children) == 1:
        empty = "{}" if isinstance(holder, yaml.MappingNode) else "[]"
        start, end = holder.start_mark.index, page.end(holder)
        return _Cut(start, end, empty)
    if page.in_braces(holder):
        if index == 0:
            return _Cut(children[0][0].start_mark.index, children[1][0].start_mark.index, "")
        return _Cut(page.end(children[index - 1][1]), page.end(children[index][1]), "")
    return _drop_lines(page, holder, index)


def _drop_lines(page: _Page, holder: yaml.Node, index: int) -> _Cut:
    """Take the lines of a block's entry out; one that shares its first line gives it to the next."""
    children = page.children(holder)
    begin = children[index][0].start_mark.index
    if isinstance(holder, yaml.SequenceNode):
        begin = page.text.rfind("-", 0, begin + 1)
    first = page.line_start(begin)
    if page.text[first:begin].strip():
        following = children[index + 1][0].start_mark.index
        if isinstance(holder, yaml.SequenceNode):
            following = page.text.rfind("-", 0, following + 1)
        return _Cut(begin, following, "")
    return _Cut(first, page.line_end(max(begin, page.end(children[index][1]) - 1)), "")
