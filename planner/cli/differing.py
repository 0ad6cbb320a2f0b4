"""How the work of one list is another than that of the one agreed, in words, and which of it is no matter."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import TYPE_CHECKING

from planner.units import MM_PER_INCH
from planner.units.number import NUMBER, read_number

if TYPE_CHECKING:
    from planner.model.work import Task, WorkList

MOST = 3
"""So many of the steps that are other ones are named."""
_LENGTH = re.compile(rf"(?P<number>{NUMBER}) (?P<unit>mm|in)\b")
_ANGLE = re.compile(r"\b(?P<number>[0-9]+) degrees")
_AWAY = re.compile(rf"\b{_LENGTH.pattern} away\b")
"""How far what is in the way of a drill is from it; it is looked for by hand, whatever the number."""
ANGLE_DEG = 2.0
"""A bend that is so little another is the same to a hand that bends it (starting guess)."""
_ON_THE_WAY = {"corner": "one leg", "clips": "a clip at", "bend": "a bend at", "nothing": "nothing firm at"}
"""First words of notes that say where a run goes, and not how long the piece is that is made for it."""


def differences(before: WorkList, after: WorkList, slack_mm: float, most: int = MOST) -> tuple[list[str], list[str]]:
    """In words, how one list of work is another than the one agreed: what matters, and what does not.

    Other reasons for the same work are none, nor are other limits of the same checks: nothing is made to those, and the
    road is shut until the sizes are agreed to.

    Parameters
    ----------
    slack_mm : float [mm]
        How far the sizes that were measured may be out: a run that differs by no more is made from the same piece.
    """
    old, new = ({i: replace(t, why="") for i, t in work.tasks.items()} for work in (before, after))
    lost = [old[i].title for i in old if i not in new]
    more = [new[i].title for i in new if i not in old]
    other = [i for i in new if i in old and old[i] != new[i] and not new[i].is_test]
    slight = [i for i in other if _is_slight(old[i], new[i], slack_mm)]
    told = [f"{new[i].title} ({_what(old[i], new[i])})" for i in other if i not in slight]
    heads = [("no longer to be done", lost), ("to be done as well", more), ("otherwise than agreed", told)]
    names = {**{i: f.name for i, f in before.features.items()}, **{i: f.name for i, f in after.features.items()}}
    changed = [names[i] for i in names if before.features.get(i) != after.features.get(i)]
    heads.append(("taken off, put back or entered otherwise", changed))
    found = [f"{head}: {_first(titles, most)}" for head, titles in heads if titles]
    if before.buys != after.buys:
        found.append("what is to be bought is other than agreed")
    return found, [f"{new[i].title}: {_what(old[i], new[i])}" for i in slight]


def _first(titles: Sequence[str], most: int) -> str:
    return "; ".join(titles[:most]) + (f" and {len(titles) - most} more" if len(titles) > most else "")


def _is_slight(old: Task, new: Task, slack_mm: float) -> bool:
    """Whether the same piece is made with the same hands, and only its way on the vehicle is a little another."""
    bare, other = (replace(task, title="", cautions=(), notes=()) for task in (old, new))
    if bare != other:
        return False
    told = [((old.title, *old.cautions), (new.title, *new.cautions), _only_away), (old.notes, new.notes, _on_the_way)]
    return all(
        len(before) == len(after)
        and all(a == b or (may(a, b) and _near(a, b, slack_mm)) for a, b in zip(before, after, strict=True))
        for before, after, may in told
    )


def _only_away(one: str, other: str) -> bool:
    """Whether two texts differ in nothing but how far away something is."""
    return _AWAY.sub("#", one) == _AWAY.sub("#", other)


def _on_the_way(one: str, other: str) -> bool:
    return _label(one) == _label(other) and _label(one) in _ON_THE_WAY


def _near(one: str, other: str, slack_mm: float) -> bool:
    """Whether two notes say the same but for lengths and angles that hardly differ."""
    if _ANGLE.sub("#", _LENGTH.sub("#", one)) != _ANGLE.sub("#", _LENGTH.sub("#", other)):
        return False
    limits = ((_lengths_mm, slack_mm), (_angles_deg, ANGLE_DEG))
    return all(abs(a - b) <= most for read, most in limits for a, b in zip(read(one), read(other), strict=True))


def _lengths_mm(note: str) -> list[float]:
    found = _LENGTH.finditer(note)
    return [read_number(m["number"]) * (MM_PER_INCH if m["unit"] == "in" else 1.0) for m in found]


def _angles_deg(note: str) -> list[float]:
    return [float(m["number"]) for m in _ANGLE.finditer(note)]


def _label(note: str) -> str:
    return note.split(maxsplit=1)[0] if note.strip() else ""


def _what(old: Task, new: Task) -> str:
    """What of a task is another, with the two values where it has them."""
    return "; ".join(dict.fromkeys(_changes(old, new))) or "what it takes or waits for is another"


def _changes(old: Task, new: Task) -> Iterator[str]:
    before, after = ((task.title, *task.cautions) for task in (old, new))
    for one, other in zip_longest(before, after, fillvalue=""):
        apart = zip(_AWAY.finditer(one), _AWAY.finditer(other), strict=False)
        yield from (f"{a[0]}, now {b[0]}" for a, b in apart if a[0] != b[0])
    for one, other in zip_longest(old.notes, new.notes, fillvalue=""):
        if one == other:
            continue
        label = _label(other or one)
        pairs = zip(_LENGTH.finditer(one), _LENGTH.finditer(other), strict=False)
        moved = next(((a[0], b[0]) for a, b in pairs if a[0] != b[0]), None)
        if moved is None:
            yield f"{one or 'nothing'}, now {other or 'nothing'}" if label not in _ON_THE_WAY else "its way is another"
        else:
            yield f"{_ON_THE_WAY.get(label, label.rstrip(','))} {moved[0]}, now {moved[1]}"
    if old.minutes != new.minutes:
        yield f"{old.minutes} min, now {new.minutes} min"
