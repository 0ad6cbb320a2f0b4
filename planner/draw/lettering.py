"""How much room words take on the paper, words cut to the room there is, and lengths as they are written there."""

from __future__ import annotations

from itertools import accumulate, takewhile

from planner.draw.sheet import TEXT_MM

_NARROW, _SLIM, _WIDE = frozenset("ijlIJ.,:;|'"), frozenset("frt!()-/[] "), frozenset("mwMW@%+<>=&~#")
_EM = {"narrow": 0.34, "slim": 0.42, "wide": 1.0, "capital": 0.79, "other": 0.64}
"""Widths in letter heights, rounded up from the widest of the common sans-serif faces (measured on DejaVu Sans)."""


def text_width_mm(text: str, size_mm: float = TEXT_MM) -> float:
    """Room that a line of text may take at most in a common sans-serif face [mm].

    Examples
    --------
    >>> round(text_width_mm("ground"), 1)
    11.6
    """
    return size_mm * sum(_EM[_class(c)] for c in text)


def _class(letter: str) -> str:
    if letter in _NARROW:
        return "narrow"
    if letter in _SLIM:
        return "slim"
    if letter in _WIDE or ord(letter) > _WIDE_FROM:
        return "wide"
    return "capital" if letter.isupper() else "other"


_WIDE_FROM = 0x2E80
"""From here on Unicode holds letters as wide as they are high."""


def cut_to_fit(text: str, room_mm: float, size_mm: float = TEXT_MM) -> str:
    """The text, or its beginning and three dots when it is longer than the room.

    Examples
    --------
    >>> cut_to_fit("four-way brake union", 20.0)
    'four-way...'
    """
    if text_width_mm(text, size_mm) <= room_mm:
        return text
    room = room_mm - text_width_mm("...", size_mm)
    widths = accumulate(text_width_mm(letter, size_mm) for letter in text)
    kept = sum(1 for _ in takewhile(lambda wide: wide <= room, widths))
    return text[:kept].rstrip() + "..."


def num(value: float) -> str:
    """A length as it is written into a drawing: to a hundredth of a millimetre, without needless noughts.

    Examples
    --------
    >>> num(2.50), num(-0.001), num(12.3456)
    ('2.5', '0', '12.35')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
