"""What a limit says, one thing at a time: a single number is no answer to all of several."""

from __future__ import annotations

import re

from planner.model.work import Checkpoint

_COMPUTED = "; here: "
"""What stands between a rule's own limit and what the sums make of it."""
_ASIDE = re.compile(r"\([^()]*\)")
_BREAK = re.compile(r"[,;]\s+|\s+and\s+(?!a\s+(?:half|quarter)\b)")
_PAIR = re.compile(
    r"\b(up|in|on|hot|warm|top|left|front|inner|back|both|more|nearer) and "
    r"(down|out|off|cold|bottom|right|rear|back|outer|forth|more)\b|\b(between \S+) and (\S+)"
)
"""Two words that go together, and are no two things."""
_GOES_ON = re.compile(r"(?:so that|or|unless|as|which|where)\b")
"""How a piece begins that only says more of the one before it."""
_CLOSES = re.compile(r"\S+ or \S.*")
"""The end of a row of single words: `tilts or walks` after `no stand lifts`."""
_NUMERAL = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_JOINER = "\0"


def things_in(limit: str) -> tuple[str, ...]:
    """What a limit asks for, each thing in its words.

    Examples
    --------
    >>> things_in("sinks not more than 5 mm in 1 min, and it is never spongy")
    ('sinks not more than 5 mm in 1 min', 'it is never spongy')
    >>> things_in("no stand lifts, tilts or walks")
    ('no stand lifts, tilts or walks',)
    >>> things_in("0.5 to 1.5 mm, so that the cylinder's port opens; here: 0.7 mm")
    ("0.5 to 1.5 mm, so that the cylinder's port opens",)
    """
    own = _PAIR.sub(lambda m: m[0].replace(" and ", _JOINER), _ASIDE.sub("", limit.partition(_COMPUTED)[0]))
    found: list[str] = []
    for piece in (p.strip().removeprefix("and ") for p in _BREAK.split(own)):
        if not piece:
            continue
        if found and _GOES_ON.match(piece):
            found[-1] = f"{found[-1]}, {piece}"
        elif found and _CLOSES.fullmatch(piece):
            # The single words before it are of the same row, and so is what the row begins with.
            begun = next((i for i in range(len(found) - 1, -1, -1) if " " in found[i]), 0)
            found[begun:] = [", ".join((*found[begun:], piece))]
        else:
            found.append(piece)
    return tuple(" ".join(f.replace(_JOINER, " and ").split()) for f in found)


def beside_number(point: Checkpoint) -> tuple[str, ...]:
    """What a limit with numbers asks for besides the number that is read; empty where the number says it all.

    Where the limit tells neither of the numbers it is held against, that is all of it.
    """
    things = things_in(point.limit)
    if (point.low is None and point.high is None) or len(things) < 2:  # noqa: PLR2004  # one thing is said by its number
        return ()
    named = [len(numerals(t) & {point.low, point.high}) for t in things]
    read = named.index(max(named)) if any(named) else None
    return tuple(t for i, t in enumerate(things) if i != read)


def numerals(text: str) -> set[float]:
    """The numbers that stand in a text."""
    return {float(n.replace(",", ".")) for n in _NUMERAL.findall(text)}
