"""Finding a kind by the words people use for it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from difflib import SequenceMatcher, get_close_matches
from typing import Protocol

OTHER_WORDS: Mapping[str, str] = {
    "accelerator": "throttle pedal",
    "gas pedal": "throttle pedal",
    "accumulator": "battery",
    "brake cylinder": "brake master cylinder",
    "master cylinder": "brake master cylinder",
    "clutch cylinder": "clutch master cylinder",
    "slave cylinder": "clutch slave cylinder",
    "brake fluid tank": "brake reservoir",
    "expansion tank": "header tank",
    "swirl pot": "header tank",
    "catch tank": "overflow bottle",
    "petrol tank": "fuel tank",
    "gas tank": "fuel tank",
    "petrol pump": "electric fuel pump",
    "motor": "engine",
    "transmission": "gearbox",
    "exhaust": "silencer",
    "muffler": "silencer",
    "headers": "exhaust manifold",
    "carb": "carburettor",
    "carburetor": "carburettor",
    "air cleaner": "air filter",
    "generator": "dynamo",
    "coil": "ignition coil",
    "fuses": "fuse box",
    "kill switch": "battery isolator switch",
    "main switch": "battery isolator switch",
    "shock absorber": "damper",
    "spring": "leaf spring",
    "wheel": "road wheel",
    "hood": "bonnet",
    "fender": "wing",
    "windshield": "windscreen",
    "frame": "chassis",
    "chassis tube": "chassis rail",
    "fire wall": "firewall",
    "gear stick": "gear lever",
    "shifter": "gear lever",
    "parking brake": "handbrake lever",
    "hand brake": "handbrake lever",
    "heater": "heater box",
    "fan": "cooling fan",
    "gauge": "instrument",
    "dash": "dashboard",
    "screen washer": "washer bottle",
    "axle": "front axle",
    "diff": "final drive",
    "radiator hose": "coolant hose",
    "water hose": "coolant hose",
    "petrol pipe": "fuel pipe",
    "cardan shaft": "propeller shaft",
    "cable": "wire",
    "ground strap": "earth strap",
}
"""Words that the catalog does not use, and what it calls the same thing."""

MOST_FOUND = 8
"""More than so many to choose from are read by nobody."""
LONGEST_WORDS = 60
LEAST_LETTERS = 3
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
    asked = _plain(text)
    if not asked:
        return ()
    names = {i: (_plain(i), _plain(k.name)) for i, k in kinds.items()}
    for words in (asked, *_reworded(asked)):
        exact = [i for i, own in names.items() if words in own]
        if exact:
            return (exact[0],)
    for words in (asked, *_reworded(asked)):
        found = _with_words(words, names)
        if found:
            return tuple(found[:MOST_FOUND])
    return _near(asked, names)


def _plain(text: str) -> str:
    """Words in small letters without marks, parted by single blanks."""
    bare = unicodedata.normalize("NFKD", text[:LONGEST_WORDS]).lower()
    return " ".join(_WORD.findall(bare))


def _reworded(asked: str) -> tuple[str, ...]:
    """The catalog's words for what it calls otherwise."""
    singular = asked.removesuffix("s")
    return tuple(dict.fromkeys(OTHER_WORDS.get(w, w) for w in (asked, singular) if w in OTHER_WORDS or w != asked))


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
    known = {own: i for i, both in names.items() for own in both}
    known |= {other: known[word] for other, word in OTHER_WORDS.items() if word in known}
    near = [known[n] for n in get_close_matches(asked, sorted(known), n=MOST_FOUND, cutoff=_NEAR)]
    if not near:
        near = [i for i, own in names.items() if any(_alike(asked, w) for o in own for w in o.split())]
    return tuple(dict.fromkeys(near))[:MOST_FOUND]


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one, other).ratio() >= _NEAR
