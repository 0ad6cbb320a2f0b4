"""What a person calls a step, a checkpoint, a part: numbers, ranges and ids, as keys of the plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook
from planner.log import lacks_of, open_keys

_RANGE = re.compile(r"(?P<first>[0-9]{1,6})(?:-(?P<last>[0-9]{1,6}))?")


def keys_named(book: LogBook, words: Sequence[str]) -> tuple[str, ...]:
    """Step keys of what was written: numbers, ranges of numbers, keys; the next step that can be done for nothing."""
    agreed = book.plan()
    if not words:
        keys = open_keys(agreed, book.standing)
        ready = next((k for k in keys if not lacks_of(agreed, book.standing, k)), None)
        if ready is None:
            raise Stop(Exit.FAULTS, "no step can be done as things stand", "`knockon next` says what waits for what")
        return (ready,)
    by_number = {n: k for k, n in agreed.named.items()}
    found: list[str] = []
    for word in (w for each in words for w in each.split(",") if w):
        match = _RANGE.fullmatch(word)
        if match is None:
            found.append(_key(word, agreed.named))
            continue
        first = int(match["first"])
        last = int(match["last"] or first)
        if last < first:
            raise Stop(Exit.USAGE, f"`{word}` goes backwards", f"write {last}-{first}")
        asked = [n for n in range(first, last + 1) if n in by_number]
        if not asked or (match["last"] is None and first not in by_number):
            raise Stop(Exit.USAGE, f"there is no step {word}", f"steps go from 1 to {max(by_number, default=0)}")
        found += _in_order(book, [by_number[n] for n in asked], whole=match["last"] is None)
    return tuple(dict.fromkeys(found))


def key_named(book: LogBook, word: str) -> str:
    """The one step that was named."""
    (key, *more) = keys_named(book, [word])
    if more:
        raise Stop(Exit.USAGE, f"`{word}` names {len(more) + 1} steps", "name one")
    return key


def _in_order(book: LogBook, keys: Iterable[str], *, whole: bool) -> list[str]:
    """Steps of a range in the order of the plan, without those done; a step named by itself whatever it is."""
    if whole:
        return list(keys)
    asked = set(keys) - book.standing.done.keys()
    return [k for k in open_keys(book.plan(), book.standing) if k in asked]


def _key(word: str, named: Iterable[str]) -> str:
    known = list(named)
    if word in known:
        return word
    near = get_close_matches(word, known, n=1)
    hint = f"did you mean `{near[0]}`?" if near else "use the number before the step: `knockon next` shows it"
    raise Stop(Exit.USAGE, f"no step is called `{word}`", hint)
