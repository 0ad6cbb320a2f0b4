"""Plain data as YAML text of our own, on one line or as a block."""

from __future__ import annotations

import json
import re

from planner.files.place import Plain

_BARE = re.compile(r"[A-Za-z][A-Za-z0-9 _./+-]*[A-Za-z0-9_./+]|[A-Za-z]")
_MEASURE = re.compile(r"[+-]?[0-9][A-Za-z0-9 _./+-]* [A-Za-z0-9 _./+-]*[A-Za-z0-9_./+]")
"""A size with its unit or its doubt; a blank in it, and a letter or a slash, keep it from being read as a number."""
_WORDS = frozenset({"null", "true", "false", "yes", "no", "on", "off", "y", "n"})
"""Text that some reader or other takes for something else."""


def flow(value: Plain) -> str:
    """Write a value on one line.

    Raises
    ------
    ValueError
        A number is not finite.
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(v) for v in value) + "]"
    return _scalar(value)


def _scalar(value: str | float | bool | None) -> str:  # noqa: FBT001  # a value of a file
    if value is None:
        return "null"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, float):
        if value != value or value in {float("inf"), float("-inf")}:  # noqa: PLR0124  # the test for "not a number"
            raise ValueError(f"{value} cannot be written")
        told = repr(value)
        return told if "e" not in told else f"{value:f}" if float(f"{value:f}") == value else told
    return json.dumps(value)


def _key(key: str) -> str:
    """A key as people write it: `on` and `off` are keys of this format, and its reader takes no key for a yes or no."""
    return key if _BARE.fullmatch(key) and not key.endswith(" ") else _text(key)


def _text(value: str) -> str:
    """Text without quotes where every reader takes it for text, else in double quotes."""
    if _BARE.fullmatch(value) and value.lower() not in _WORDS and not value.endswith(" "):
        return value
    if _MEASURE.fullmatch(value) and any(c.isalpha() or c == "/" for c in value):
        return value
    return json.dumps(value, ensure_ascii=False)


def block_lines(value: dict[str, Plain] | list[Plain], indent: int, *, widest: int = 110) -> list[str]:
    """Write a block or list as lines; what fits on a line stays on one.

    Parameters
    ----------
    value : dict or list
        Not empty.
    indent : int
        Spaces before each line.
    widest : int
        Longest line wanted.
    """
    pad = " " * indent
    lines: list[str] = []
    entries = [(f"{_key(k)}:", v) for k, v in value.items()] if isinstance(value, dict) else [("-", v) for v in value]
    for head, item in entries:
        short = f"{pad}{head} {flow(item)}"
        if len(short) <= widest or not isinstance(item, (dict, list)) or not item:
            lines.append(short)
        elif head == "-":
            inner = block_lines(item, indent + 2, widest=widest)
            lines += [f"{pad}- {inner[0].lstrip()}", *inner[1:]]
        else:
            lines += [f"{pad}{head}", *block_lines(item, indent + 2, widest=widest)]
    return lines
