"""What a person calls a part or link: its id, or the name that is printed for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle

MOST_NEAR = 3
_NEAR = 0.5


def names_of(vehicle: Vehicle, job: Job | None = None) -> dict[str, str]:
    """Printed names by id: of every component and link, and of those a job adds."""
    from planner.model.job import Add, AddLink, Replace

    found = {i: x.name for things in (vehicle.components, vehicle.links) for i, x in things.items()}
    for change in () if job is None else job.changes:
        if isinstance(change, Add | Replace):
            found[change.component.id] = change.component.name
        elif isinstance(change, AddLink):
            found[change.link.id] = change.link.name
    return found


def ids_called(word: str, names: Mapping[str, str]) -> tuple[str, ...]:
    """Every id that ``word`` may stand for: the id itself, else those whose id or printed name reads the same.

    Capitals, dashes and the number of blanks do not count.

    Examples
    --------
    >>> names = {"header-tank": "header tank", "tank-2": "Fuel tank", "tank-3": "fuel tank"}
    >>> ids_called("Header  tank", names), ids_called("fuel tank", names), ids_called("tank-2", names)
    (('header-tank',), ('tank-2', 'tank-3'), ('tank-2',))
    """
    if word in names:
        return (word,)
    asked = _plain(word)
    return tuple(i for i, name in names.items() if asked and asked in {_plain(i), _plain(name)})


def id_called(word: str, names: Mapping[str, str], nothing: str, otherwise: str = "", more: Iterable[str] = ()) -> str:
    """The id of what a person calls so.

    Parameters
    ----------
    names : mapping of id to printed name
    nothing : str
        What to say when nothing is called so, before the word, such as "there is no part".
    otherwise : str
        The hint where nothing is near.
    more : iterable of str
        Other words that may have been meant, for the hint alone.

    Raises
    ------
    Stop
        Nothing is called so, or several things are.
    """
    from planner.finding.words import listed, quoted

    found = ids_called(word, names)
    if len(found) == 1:
        return found[0]
    if found:
        raise Stop(Exit.USAGE, f"{quoted(word)} may be several", f"name one by its id: {listed(found)}")
    near = near_to(word, {**names, **{m: m for m in more}})
    hint = f"did you mean {listed(near, ' or ')}?" if near else otherwise
    raise Stop(Exit.USAGE, f"{nothing} {quoted(word)}", hint)


def id_or_word(word: str, names: Mapping[str, str]) -> str:
    """The id of what a person calls so, or the word itself where nothing is called so.

    Raises
    ------
    Stop
        Several things are called so.
    """
    return id_called(word, names, "") if ids_called(word, names) else word


def near_to(word: str, names: Mapping[str, str]) -> tuple[str, ...]:
    """Ids that are spelt much like ``word``, or whose printed name is, the nearest first, else those that have it.

    Before any stand those of the very same words in another order.
    """
    asked = _plain(word)
    spelt: dict[str, list[str]] = {}
    for i, name in sorted(names.items()):
        for each in dict.fromkeys((_plain(i), _plain(name))):
            spelt.setdefault(each, []).append(i)
    close = [i for each in get_close_matches(asked, list(spelt), n=MOST_NEAR, cutoff=_NEAR) for i in spelt[each]]
    within = [i for each, ids in spelt.items() if asked and asked in each for i in ids]
    turned = [i for each, ids in spelt.items() if sorted(each.split()) == sorted(asked.split()) for i in ids]
    found = list(dict.fromkeys((*turned, *(close or within))))
    # The steps of a thing are called after it: who misspells it does not mean each of them.
    return tuple(i for i in found if not any(i.startswith(f"{o}.") for o in found))[:MOST_NEAR]


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
