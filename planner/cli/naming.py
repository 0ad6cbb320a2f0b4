"""What a person calls a step, a checkpoint, a part: numbers, ranges and ids, as keys of the plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook
from planner.log import lacks_of, open_keys
from planner.model.steps import step_of_key

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
    found: list[str] = []
    for word in _words(words):
        meant = _keys(book, word)
        found += meant if len(meant) == 1 else _in_order(book, meant)
    if not found:
        raise Stop(Exit.USAGE, f"every step of `{', '.join(words)}` is done already", "knockon next")
    return tuple(dict.fromkeys(found))


def keys_done(book: LogBook, text: str) -> tuple[str, ...]:
    """Step keys of what was done and is named; of a range only the tasks, since the rest is planned anew by itself."""
    found: list[str] = []
    for word in _words([text]):
        keys = _keys(book, word)
        tasks = [k for k in keys if step_of_key(k).on is None and k in book.standing.done]
        found += keys if len(keys) == 1 else tasks
    if not found:
        raise Stop(Exit.USAGE, f"no work of `{text}` is done", "name the work that has to be done again")
    return tuple(dict.fromkeys(found))


def done_within(book: LogBook, words: Sequence[str]) -> tuple[str, ...]:
    """Keys of the steps in the ranges named that are done already, and that :func:`keys_named` passes over."""
    found = [k for word in _words(words) if len(keys := _keys(book, word)) > 1 for k in keys if k in book.standing.done]
    return tuple(dict.fromkeys(found))


def _words(words: Iterable[str]) -> list[str]:
    return [w for each in words for w in each.split(",") if w]


def _keys(book: LogBook, word: str) -> list[str]:
    """The keys of one word: of a number or a key one, of a range of numbers those that there are."""
    named = book.plan().named
    match = _RANGE.fullmatch(word)
    if match is None:
        return [_key(word, named)]
    by_number = {n: k for k, n in named.items()}
    first = int(match["first"])
    last = int(match["last"] or first)
    if last < first:
        raise Stop(Exit.USAGE, f"`{word}` goes backwards", f"write {last}-{first}")
    asked = [n for n in range(first, last + 1) if n in by_number]
    if not asked:
        raise Stop(Exit.USAGE, f"there is no step {word}", f"steps go from 1 to {max(by_number, default=0)}")
    return [by_number[n] for n in asked]


def key_named(book: LogBook, word: str) -> str:
    """The one step that was named."""
    (key, *more) = keys_named(book, [word])
    if more:
        raise Stop(Exit.USAGE, f"`{word}` names {len(more) + 1} steps", "name one")
    return key


def _in_order(book: LogBook, keys: Iterable[str]) -> list[str]:
    """Steps of a range in the order of the plan, without those done."""
    asked = set(keys) - book.standing.done.keys()
    return [k for k in open_keys(book.plan(), book.standing) if k in asked]


def _key(word: str, named: Iterable[str]) -> str:
    known = list(named)
    if word in known:
        return word
    near = get_close_matches(word, known, n=1)
    hint = f"did you mean `{near[0]}`?" if near else "use the number before the step: `knockon next` shows it"
    raise Stop(Exit.USAGE, f"no step is called `{word}`", hint)
