"""From a vehicle and a job to everything that follows."""

from __future__ import annotations

from dataclasses import replace

from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.graph import EffectBook
from planner.knockon.homes import HomeSearch
from planner.knockon.impossible import impossible
from planner.knockon.link_change import Fate
from planner.knockon.near_holes import laid_near, near_holes
from planner.knockon.options import MILLI
from planner.knockon.others import tell_others
from planner.knockon.outcome import Outcome, outcome_of
from planner.knockon.piercing import pierced_at
from planner.knockon.runs import laid_instead, led_anew, links_with_runs, runs_for, stiff_runs
from planner.knockon.scene import Item, scene_of
from planner.knockon.slide import slid
from planner.knockon.tell_bearing import tell_bearing
from planner.knockon.tell_demands import tell_demands
from planner.knockon.tell_joints import tell_joints
from planner.knockon.tell_moves import tell_asked, tell_links, tell_moves
from planner.knockon.tell_questions import tell_questions
from planner.knockon.tell_relations import tell_lowest
from planner.knockon.tell_runs import tell_stopped, tell_unclear
from planner.knockon.tell_strip import Stripping, stripping_for, tell_shut_in, tell_strip
from planner.knockon.tell_tests import tell_opened, tell_retests
from planner.knockon.trouble import trouble_words
from planner.model.catalog import Catalog
from planner.model.effects import Knockons, Proof
from planner.model.job import Job
from planner.model.runs import Run, RunsBefore
from planner.model.vehicle import Component, Vehicle
from planner.space import closer_than


def find_knockons(
    vehicle: Vehicle,
    job: Job,
    catalog: Catalog,
    *,
    limit_s: float = 10.0,
    others: int = 0,
    before: RunsBefore | None = None,
) -> Knockons:
    """Choose homes at least cost, then tell every effect with its causes.

    Parameters
    ----------
    vehicle, job, catalog
        Resolved and free of errors.
    limit_s : float [s]
        Time for the choice of homes, counted in work; the answer says whether it is proved.
    others : int
        How many next-best answers to look for as well, each with the same time.
    before : RunsBefore, optional
        Runs that were agreed: each stays where it still goes, and is not looked for anew.
    """
    asked = asked_by(vehicle, job)
    rules = rules_for(vehicle, asked, catalog)
    never = impossible(vehicle, asked, rules)
    search = HomeSearch(asked, rules, catalog, job.hour_worth)
    answer = search.no_answer(()) if never else slid(search, search.run(limit_s))
    book = EffectBook()
    out = outcome_of(vehicle, job, catalog, asked, search, answer)
    tell_asked(out, book)
    if answer.proof is Proof.NONE:
        return replace(_no_answer(book, never or trouble_words(out)), held=tell_demands(out, search))
    tell_moves(out, book)
    runs = runs_for(out, before)
    tell_links(out, book, runs)
    out = laid_instead(out, runs.runs)
    asked = out.asked
    remade = frozenset(i for i, o in out.links.items() if o.fate is Fate.REMAKE and i not in asked.links_new)
    items = scene_of(vehicle, asked, answer, remade, stiff_runs(out, runs.runs))
    led = led_anew(out, items, runs.runs)
    strip = stripping_for(out, items, led)
    tell_strip(out, strip, book)
    tell_joints(out, strip, book)
    tell_shut_in(strip, book)
    tell_opened(out, book)
    tell_questions(out, book)
    tell_bearing(out, book)
    tell_unclear(out, runs, book)
    tell_stopped(out, runs, book)
    tell_lowest(out, book)
    through = pierced_at(out, runs.runs)
    pierced = {link: tuple(spots) for link, spots in through.items()}
    tell_retests(out, book, pierced)
    told = _knockons(out, book, strip, items, runs.runs)
    return replace(
        told,
        pierced=pierced,
        near_holes=near_holes(out, items, through),
        laid_near=laid_near(out, items, led, through),
        no_runs=runs.stopped,
        others=tell_others(out, search, others, limit_s),
    )


def _knockons(
    out: Outcome, book: EffectBook, strip: Stripping, items: dict[str, Item], runs: dict[str, Run]
) -> Knockons:
    placed = out.answer.placed
    present = out.vehicle.components
    return Knockons(
        effects=book.effects(),
        homes={i: p.part.pose for i, p in placed.items() if i in present and p.part.pose != present[i].pose},
        after={i: p.part for i, p in placed.items()},
        links_after=links_with_runs({i: k for i, k in out.asked.links.items() if i in out.links}, runs),
        access=strip.access,
        cut_rooms=strip.cut_rooms,
        hot_near=strip.hot_near,
        bare=strip.bare,
        limits=_limits(out, items),
        proof=out.answer.proof,
        cost=-(-out.answer.cost // MILLI),
        bound=-(-out.answer.bound // MILLI),
        runs=runs,
        in_contact=out.answer.contact,
    )


def _limits(out: Outcome, items: dict[str, Item]) -> dict[str, frozenset[str]]:
    """For each new or moved part the bodies, in their final homes, that limit it."""
    found: dict[str, frozenset[str]] = {}
    for item in items.values():
        if item.present or not isinstance(item.part, Component):
            continue
        body = out.answer.placed[item.subject].body
        found[item.id] = frozenset(
            i
            for i, other in items.items()
            if i != item.id
            and other.final
            and not other.stays
            and isinstance(other.part, Component)
            and not item.on(other)
            and closer_than(body, other.body, out.catalog.limits_near_mm)
        )
    return found


def _no_answer(book: EffectBook, trouble: tuple[str, ...]) -> Knockons:
    return Knockons(
        effects=book.effects(),
        homes={},
        after={},
        links_after={},
        access={},
        cut_rooms={},
        hot_near={},
        bare={},
        limits={},
        proof=Proof.NONE,
        trouble=trouble,
    )
