"""What is found broken is mended, and looked at, before anything new is drilled in it or fitted on it."""

from __future__ import annotations

from planner.model.job import Cut, OwnTask
from planner.model.words import KINDLING, Deed
from planner.work.bodies import Ground
from planner.work.in_place import in_place_before
from planner.work.tasks import TaskBook

_ALTERS = KINDLING | {Deed.UNSAID}
"""What a mending does that no other part stands on before it is done."""


def mend_hosts_first(ground: Ground, book: TaskBook) -> None:
    """Let every hole in what is mended, and the fitting of all that it carries, wait for the mending and its looks.

    Left out is what the mending itself comes after or is done with: it was found, or can only be reached, with that.
    """
    for own in ground.job.tasks:
        if own.mending is None or own.id not in book.tasks or not _ALTERS & {*own.mending.does}:
            continue
        first = [own.id, *book.looks_at(own.id)]
        needed = _needed(ground, book, own)
        for body, item in ground.handled.items():
            if item.goal and item.hosts[1] == own.mending.on and item.subject not in needed:
                book.fit_after[body] += (t for t in first if t not in book.fit_after[body])
        for subject in sorted(_holed(ground, book, own.mending.on) - needed):
            for step in book.holing[subject]:
                book.wait(step, first)


def _holed(ground: Ground, book: TaskBook, host: str) -> set[str]:
    """Cuts, links and parts that get holes in a host, by the names their holes go by.

    Not a cut that is welded itself: both are best welded on one watch for fire, which does not outlast a session.
    """
    cuts = {c.id for c in ground.job.changes if isinstance(c, Cut) and c.host == host and not c.welded}
    carried = {i.subject for i in ground.handled.values() if i.goal and i.hosts[1] == host}
    return {s for s in book.holing if s in cuts or s in carried or s.endswith(f".{host}")}


def _needed(ground: Ground, book: TaskBook, own: OwnTask) -> set[str]:
    """Whatever is worked on, or in place, before the mending, through any number of others."""
    tasks, bodies = in_place_before(ground, book, [own.id])
    return {ground.handled[b].subject for b in bodies} | {s for s, of in book.of_subject.items() if tasks & {*of}}
