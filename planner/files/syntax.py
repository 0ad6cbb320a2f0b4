"""What the YAML reader complains of, in workshop words."""

from __future__ import annotations

import re

_TOLD: tuple[tuple[str, str, str], ...] = (
    (r"\\t.* cannot start any token|tab", "a tab where only spaces will do", "indent with spaces"),
    (
        "mapping values are not allowed",
        "a colon where no key can be",
        "put text that holds a colon in quotes, and check the indent of this line and the one above",
    ),
    ("could not find expected ':'", "a key without its colon", "write `key: value`"),
    (
        r"expected ',' or|while parsing a flow",
        "a list or block in brackets is not closed",
        "check the commas and brackets",
    ),
    (
        "expected <block end>|did not find expected key",
        "this line does not line up with those above",
        "check the indent",
    ),
    (
        "did not find expected '-'",
        "this line does not line up with the list above",
        "check the indent and the dash",
    ),
    (
        "block sequence entries are not allowed",
        "a dash where no list can start",
        "put the list on the next line",
    ),
    ("block mapping|sequence entries", "this line does not line up with those above", "check the indent"),
    ("unexpected end of stream", "a quote is opened and not closed", "close the quote"),
    ("unexpected document|document separator", "a quote or bracket is not closed before here", "close it"),
    (
        "escape",
        "a backslash code that means nothing",
        "write the text in single quotes, or double the backslash",
    ),
    (
        "<document start>",
        "the text does not hang together from here on",
        "check the indent and the brackets above",
    ),
    (
        "cannot start any token|%",
        "text may not start with this character",
        "put the text in quotes",
    ),
    (
        "undefined tag handle|tag|anchor|alias",
        "a `!`, `&` or `*` that starts no text",
        "put the text in quotes",
    ),
    ("simple keys|simple key", "a key must stand on one line", "shorten the key"),
    (
        "block scalar|chomping|indentation indicator",
        "a `|` or `>` with something odd after it",
        "put the text in quotes",
    ),
    ("directive", "a line starting with `%`", "put the text in quotes"),
)


def in_our_words(problem: str) -> tuple[str, str]:
    """Message and hint for a complaint of the YAML reader.

    Parameters
    ----------
    problem : str
        The reader's own words; never shown.
    """
    for pattern, message, hint in _TOLD:
        if re.search(pattern, problem):
            return message, hint
    return "this line cannot be read", "check indent, colons, quotes and brackets"
