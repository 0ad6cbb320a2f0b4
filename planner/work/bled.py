"""Cylinders bled at the bench: after whatever is tried with them by hand, for a plugged cylinder lets no rod travel."""

from __future__ import annotations

from planner.model.catalog import Work
from planner.work.bodies import Ground
from planner.work.in_place import in_place_before
from planner.work.tasks import TaskBook


def bleed_after_trials(ground: Ground, book: TaskBook) -> None:
    """Let a part that is filled off the vehicle wait for the trial fits of all links at it, and of what those join.

    Left out is what can only be tried after the filling.
    """
    for subject in sorted(ground.knockons.after.keys() & book.of_subject.keys()):
        for filled in (t for t in book.of_subject[subject] if book.tasks[t].work is Work.FILLING):
            links = [k for k in ground.knockons.links_after.values() if subject in {e.component for e in k.ends}]
            tried = [s for k in links for s in (k.id, *(e.component for e in k.ends))]
            trials = (t for s in dict.fromkeys(tried) for t in book.trial_fits.get(s, ()))
            book.wait(filled, [t for t in trials if filled not in in_place_before(ground, book, [t])[0]])
