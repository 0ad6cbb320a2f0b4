"""Finding a kind by the words people use for it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from difflib import SequenceMatcher, get_close_matches
from typing import Protocol

from planner.shelf.everyday_words import OTHER_WORDS, SEVERAL, STAND_INS

LACKED = (
    "not in the catalog? Take what carries the same: `fuel filter` (petrol), `brake pipe union` (brake fluid), "
    "`oil cooler` (oil, heat), `dynamo control box` (wiring); a box that only takes room is a `stowage box`; else "
    "`body panel`, `crossmember` or `bracket`, which bring few checks; then put its minutes and keep-clear right in "
    "the file"
)
"""What to take for a part that has no kind. It is the kind that brings the checks, so fluids and heat come first."""
LACKED_LINK = (
    "not in the catalog? Take what carries the same: `fuel hose`, `brake hose`, `coolant hose`, `engine oil hose`, "
    "`wire`; `fan belt`, `drive chain` or `propeller shaft` for what drives"
)
"""The same for links."""

MOST_FOUND = 8
"""More than so many to choose from are read by nobody."""
MOST_SAID = 4
"""Other words for a kind that a list shows."""
LONGEST_WORDS = 60
LEAST_LETTERS = 3
_SHAPES = frozenset({"box", "boxes", "case", "cover", "plate", "unit"})
"""Words that say what a thing looks like and not what it is for: by them alone no kind is near."""
_WORD = re.compile(r"[a-z0-9]+")
_NEAR = 0.75


class Named(Protocol):
    """A kind of part or link, or a part itself."""

    @property
    def id(self) -> str:
        """Its id."""
        ...

    @property
    def name(self) -> str:
        """What people call it."""
        ...


class Grouped(Named, Protocol):
    """A kind, and the part of the vehicle it belongs to."""

    @property
    def group(self) -> str:
        """Brakes, cooling and so on."""
        ...


def kinds_by_words(text: str, kinds: Mapping[str, Named]) -> tuple[str, ...]:
    """Ids of the kinds that ``text`` may mean, the likeliest first; a single one when there is no doubt.

    Parameters
    ----------
    text : str
        An id, a name, some words of either, or near it.
    kinds : mapping of str to Named

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass
    ... class K:
    ...     id: str
    ...     name: str
    >>> kinds = {i: K(i, i.replace("-", " ")) for i in ("header-tank", "fuel-tank", "radiator")}
    >>> kinds_by_words("tank", kinds), kinds_by_words("raditor", kinds), kinds_by_words("petrol tank", kinds)
    (('fuel-tank', 'header-tank'), ('radiator',), ('fuel-tank',))
    """
    return kinds_with_words(text, kinds) or _near(_plain(text), _names(kinds))


def kinds_with_words(text: str, kinds: Mapping[str, Named]) -> tuple[str, ...]:
    """As `kinds_by_words`, without those that are only spelt near it."""
    asked = _plain(text)
    if not asked:
        return ()
    names = _names(kinds)
    several = SEVERAL.get(asked, SEVERAL.get(asked.removesuffix("s"), ()))
    if several:
        return tuple(i for name in several for i, own in names.items() if _plain(name) in own)
    for words in (asked, *_reworded(asked)):
        exact = [i for i, own in names.items() if words in own]
        if exact:
            return (exact[0],)
    for words in (asked, *_reworded(asked)):
        found = _with_words(words, names)
        if found:
            return tuple(found[:MOST_FOUND])
    return ()


def _names(kinds: Mapping[str, Named]) -> dict[str, tuple[str, str]]:
    return {i: (_plain(i), _plain(k.name)) for i, k in kinds.items()}


def kinds_by_any_word(text: str, kinds: Mapping[str, Named]) -> tuple[str, ...]:
    """Ids of the kinds that share a word with ``text``, or another word for them does, the likeliest first.

    The more words the likelier, and the fewer others its name has. A word that only says its shape counts for none.

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass
    ... class K:
    ...     id: str
    ...     name: str
    >>> kinds = {i: K(i, i.replace("-", " ")) for i in ("engine-mount", "engine", "radiator")}
    >>> kinds_by_any_word("v twin engine", kinds)
    ('engine', 'engine-mount')
    """
    asked = [w for w in _plain(text).split() if len(w) >= LEAST_LETTERS and w not in _SHAPES]
    scored: list[tuple[int, int, str, str]] = []
    for i, own in _said(kinds).items():
        hit = max(sum(any(_same(w, a) for w in o.split()) for a in asked) for o in own)
        if hit:
            scored.append((-hit, len(own[0].split()), kinds[i].name, i))
    return tuple(i for *_, i in sorted(scored)[:MOST_FOUND])


def stand_ins(text: str, kinds: Mapping[str, Named]) -> tuple[str, ...]:
    """Ids of the kinds to take for a thing the catalog lacks; none where no such thing is in ``text``.

    Parameters
    ----------
    text : str
        Words that may hold one of `STAND_INS`.
    kinds : mapping of str to Named
    """
    asked = f" {_plain(text)} "
    by_name = {_plain(k.name): i for i, k in kinds.items()}
    found = [n for words, names in STAND_INS.items() if f" {words} " in asked or f" {words}s " in asked for n in names]
    return tuple(dict.fromkeys(by_name[n] for n in found if n in by_name))


def kinds_listed(kinds: Mapping[str, Grouped], word: str = "") -> list[str]:
    """Every kind by group, one group a line; with ``word`` those of a group, or with a word, that begins so.

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass
    ... class K:
    ...     id: str
    ...     name: str
    ...     group: str
    >>> kinds = {"fuel-tank": K("fuel-tank", "fuel tank", "fuel"), "radiator": K("radiator", "radiator", "cooling")}
    >>> kinds_listed(kinds)
    ['fuel: fuel tank', 'cooling: radiator']
    >>> kinds_listed(kinds, "tank")
    ['fuel: fuel tank (petrol tank, gas tank)']
    """
    asked = _plain(word).split()
    by_group: dict[str, list[str]] = {}
    for i, own in _said(kinds).items():
        said = [*own, kinds[i].group]
        if all(any(w.startswith(a.removesuffix("s") or a) for o in said for w in o.split()) for a in asked):
            others = [w for w, name in OTHER_WORDS.items() if name == kinds[i].name][:MOST_SAID] if asked else []
            by_group.setdefault(kinds[i].group, []).append(
                kinds[i].name + (f" ({', '.join(others)})" if others else "")
            )
    if by_group:
        return [f"{group}: {', '.join(names)}" for group, names in by_group.items()]
    return [f"nothing like it; groups: {', '.join(dict.fromkeys(k.group for k in kinds.values()))}"]


def _said(kinds: Mapping[str, Named]) -> dict[str, tuple[str, ...]]:
    """What each kind is called: its name, and other words for it."""
    others: dict[str, list[str]] = {}
    for words, name in OTHER_WORDS.items():
        others.setdefault(name, []).append(words)
    return {i: (_plain(k.name), _plain(i), *others.get(k.name, ())) for i, k in kinds.items()}


def _same(word: str, asked: str) -> bool:
    """Whether two words are one, said of one or several, spelt alike or begun."""
    one, other = word.removesuffix("s"), asked.removesuffix("s")
    return _begins(one, other) or (len(other) > LEAST_LETTERS + 1 and _alike(one, other))


def _plain(text: str) -> str:
    """Words in small letters without marks, parted by single blanks."""
    bare = unicodedata.normalize("NFKD", text[:LONGEST_WORDS]).lower()
    return " ".join(_WORD.findall(bare))


def _reworded(asked: str) -> tuple[str, ...]:
    """The catalog's words for what it calls otherwise."""
    singular = asked.removesuffix("s")
    words = (OTHER_WORDS.get(w, w) for w in (asked, singular) if w in OTHER_WORDS or w != asked)
    return tuple(dict.fromkeys(_plain(w) for w in words))


def _with_words(words: str, names: Mapping[str, tuple[str, str]]) -> list[str]:
    """Kinds whose names have every word, or one that begins with it; the shortest names first."""
    asked = words.split()
    found = [
        i for i, own in names.items() if any(all(any(_begins(w, a) for w in o.split()) for a in asked) for o in own)
    ]
    return sorted(found, key=lambda i: (len(names[i][1]), i))


def _begins(word: str, asked: str) -> bool:
    """Whether ``asked`` is the word or enough of its beginning to be no slip of the keys."""
    return word == asked or (len(asked) >= LEAST_LETTERS and word.startswith(asked))


def _near(asked: str, names: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
    """Kinds that are spelt much alike, or whose longest word is."""
    if not asked:
        return ()
    known = {own: i for i, both in names.items() for own in both}
    known |= {other: known[word] for other, word in OTHER_WORDS.items() if word in known}
    near = [known[n] for n in get_close_matches(asked, sorted(known), n=MOST_FOUND, cutoff=_NEAR)]
    if not near:
        near = [i for i, own in names.items() if any(_alike(asked, w) for o in own for w in o.split())]
    return tuple(dict.fromkeys(near))[:MOST_FOUND]


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one, other).ratio() >= _NEAR
