"""Does a plan keep what the job itself asks for: how the vehicle stands at a session's end, what is left as it is.

Asked of the features by what they are about, so that a wish lost on the way into the work list is found as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.model.catalog import Catalog, Work
from planner.model.job import EndState, Job, Replace
from planner.model.plan import Plan
from planner.model.work import Demand, Feature, WorkList
from planner.verify.holds import Ending, endings, not_so
from planner.verify.replay import state_word
from planner.verify.words import Numbered


def wish_faults(work: WorkList, plan: Plan, job: Job, catalog: Catalog, slots: Numbered) -> Iterator[str]:
    """Give a sentence for each end state of the job that a session does not end in, and each lost price of a step."""
    for ending in endings(plan, job, slots) if job.at_end else ():
        for state_id, state in sorted(job.at_end.items()):
            for clause in _not_standing(work, job, state, ending) if _asked(state, ending.session.day) else ():
                yield f"{ending}: `{state_id}` of the job asks that at its end {clause}"
    yield from _lost_prices(work, job, catalog)


def _asked(state: EndState, day: date) -> bool:
    always = not state.weekdays and not state.days
    return always or day.weekday() in state.weekdays or day in state.days


def _not_standing(work: WorkList, job: Job, state: EndState, ending: Ending) -> Iterator[str]:
    for name in state.fitted:
        homes = [f for part in sorted(_family(job, name)) for f in _places(work, part)]
        clauses = [not_so(work, Demand(feature=f.id, on=True), ending) for f in homes]
        # A part without a feature is not handled, or comes off with what it rides on.
        if clauses and all(clauses):
            yield f"`{name}` be in place: {'; '.join(clauses)}"
    wanted = [(c, True) for c in state.conditions] + [(n, False) for n in (*state.off, *state.without)]
    for name, on in wanted:
        places = _places(work, name)
        if on and not places:
            yield f"`{name}` hold, and nothing ever enters it"
        for feature in places:
            clause = not_so(work, Demand(feature=feature.id, on=on), ending)
            if clause:
                yield clause


def _family(job: Job, part: str) -> set[str]:
    """A part and what takes its place or whose place it takes."""
    pairs = [{change.part, change.component.id} for change in job.changes if isinstance(change, Replace)]
    return {part}.union(*(pair for pair in pairs if part in pair))


def _places(work: WorkList, subject: str) -> list[Feature]:
    """Features about a thing itself: where it is, or whether it holds; not those that only keep account of it."""
    return [f for _, f in sorted(work.features.items()) if f.subject == subject and not _is_account(f)]


def _is_account(feature: Feature) -> bool:
    """Whether changing it takes no time and no hand on the vehicle, either way."""
    changes = [toggle for toggle in (feature.turn_on, feature.turn_off) if toggle is not None]
    free = all(toggle.work is Work.PLANNING and toggle.minutes == 0 for toggle in changes)
    return bool(changes) and free and feature.goal is None


_TIGHT = ":tight"
"""How the features end that say whether a part in place is tightened."""


def _lost_prices(work: WorkList, job: Job, catalog: Catalog) -> Iterator[str]:
    """A condition is priced when it is entered, all else when it is taken off or opened.

    Slackening a part that stays where it is takes nothing off: it has no price.
    """
    for subject, price_min in sorted(job.leave_in.items()):
        on = subject in catalog.conditions
        for feature in (f for f in _places(work, subject) if not f.id.endswith(_TIGHT)):
            toggle = feature.turn_on if on else feature.turn_off
            if toggle is not None and toggle.dislike_min != price_min:
                asked = "never to be made" if price_min is None else f"disliked by {price_min} hand-minutes"
                found = "free to be made" if toggle.dislike_min == 0 else f"priced at {toggle.dislike_min}"
                yield f"`{feature.id}` {state_word(on=on)} is {asked} and the work list has it {found}"
