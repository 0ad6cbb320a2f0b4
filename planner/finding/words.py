"""How findings speak of what they found: values safely in backticks, and guesses at what was meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

LONGEST_QUOTE = 60
"""Characters of a found value that a message shows."""
MOST_KNOWN = 8
"""Of all that something may be called, a hint lists so many."""
_NEAR = 0.6


def quoted(value: object) -> str:
    """Put ``value`` in backticks as the file writes it: cut short, on one line, no control characters."""
    if value is None:
        return "`nothing`"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, dict):
        return "`a block of keys`"
    if isinstance(value, (list, tuple)):
        return f"`a list of {len(value)}`"
    text = value if isinstance(value, str) else _number_text(value)
    cut = text[:LONGEST_QUOTE] + ("..." if len(text) > LONGEST_QUOTE else "")
    safe = "".join(c if c.isprintable() else _escape(c) for c in cut)
    return "`" + safe.replace("`", "'") + "`"


def _number_text(value: object) -> str:
    """Text of a number; whole numbers too long to be printed are only named."""
    try:
        return format(value, "g") if isinstance(value, float) and value.is_integer() else str(value)
    except ValueError:
        return "a number of thousands of digits"


def _escape(character: str) -> str:
    return character.encode("unicode_escape", "backslashreplace").decode("ascii")


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Find the one of ``known`` that ``word`` most likely stands for, or None.

    Case, the choice of dash, underscore or space and the order of words do not count; one that has every word of
    ``word`` will do when none is spelt much like it.

    Examples
    --------
    >>> nearest("rear-wheel", ["steering-wheel", "wheel-rear"]), nearest("wiring", ["fuel", "low-voltage-wiring"])
    ('wheel-rear', 'low-voltage-wiring')
    """
    plain = {_plain(k): k for k in sorted(known)}
    asked = _plain(word)
    words = frozenset(asked.split("-"))
    turned = [k for k in plain if frozenset(k.split("-")) == words]
    match = turned if asked not in plain and turned else difflib.get_close_matches(asked, plain, n=1, cutoff=_NEAR)
    if not match:
        match = sorted((k for k in plain if words <= frozenset(k.split("-"))), key=len)
    return plain[match[0]] if match else None


def _plain(word: str) -> str:
    return word[:LONGEST_QUOTE].lower().replace("_", "-").replace(" ", "-")


def did_you_mean(word: object, known: Iterable[str], *, otherwise: str = "", most: int = MOST_KNOWN) -> str:
    """Give a hint: the nearest of ``known``, else ``otherwise``, else the list of them, the first ``most``."""
    names = sorted(known)
    guess = nearest(word, names) if isinstance(word, str) else None
    if guess is not None:
        return f"did you mean {quoted(guess)}?"
    if otherwise:
        return otherwise
    if not names:
        return ""
    shown = names[:most]
    return f"known: {listed(shown)}" + (f" and {len(names) - len(shown)} more" if len(names) > len(shown) else "")


def listed(names: Iterable[str], last: str = ", ") -> str:
    """Put names in backticks with commas; ``last`` joins the last two (" or ", " and ")."""
    words = [quoted(n) for n in names]
    if len(words) < 2:  # noqa: PLR2004  one name needs no joining
        return "".join(words)
    return ", ".join(words[:-1]) + last + words[-1]


def with_article(name: str) -> str:
    """A name of a thing with `a` or `an` before it, as it is spoken.

    Examples
    --------
    >>> with_article("engine"), with_article("union"), with_article("fuel tank")
    ('an engine', 'a union', 'a fuel tank')
    """
    spoken_as_you = name.lower().startswith(("uni", "use", "u-"))
    return f"an {name}" if name[:1].lower() in "aeiou" and not spoken_as_you else f"a {name}"
