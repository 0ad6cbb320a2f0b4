"""The whole list of work a set of knock-ons asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.knockon import Fact
from planner.model.catalog import Catalog, Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.model.words import FIRST_START, ROAD_TEST
from planner.model.work import After, Buy, Demand, Feature, Task, WorkList
from planner.work.bare import look_bare
from planner.work.bled import bleed_after_trials
from planner.work.bodies import Ground, ground_for
from planner.work.brought_about import with_brought_about
from planner.work.buys import arrivals, buying_list
from planner.work.carriers import bolt_before_bearing
from planner.work.checkpoints import (
    called_rules,
    checkpoint_tasks,
    checkpoints_for,
    filling_gates,
    hold_metal,
    leaving_gates,
    made_inside,
    passing_checks,
    sign_hot_steps,
    task_id,
    waits_of_gates,
)
from planner.work.circuits import circuit_features
from planner.work.computed_limits import Sheet, with_computed_limits
from planner.work.conditions import condition_features, conditions_in
from planner.work.controls import try_with_controls
from planner.work.earth_last import earth_last
from planner.work.features import body_features
from planner.work.fluids import filled_at_bench, filling_waits, fills_of
from planner.work.gates import gate_tasks
from planner.work.guessed import measure_guessed
from planner.work.holds import holds_for, holds_that_bind, watched
from planner.work.holes import add_holes
from planner.work.inside import opened_safely, states_inside
from planner.work.joints import joined, joints_of, pins_of, with_joints
from planner.work.laid_late import lay_after_holes
from planner.work.leaving import left_in
from planner.work.left_holes import close_holes
from planner.work.loosely import with_loose_fits
from planner.work.made_sizes import with_made_sizes
from planner.work.mended import mended_first
from planner.work.mended_hosts import mend_hosts_first
from planner.work.mock_ups import mock_up_before_cutting
from planner.work.near_holes import guard_holes
from planner.work.owed import owed_checkpoints, with_owed_tasks
from planner.work.own import add_own_tasks, with_late_tasks
from planner.work.set_once import set_once
from planner.work.shared_fluid import look_beside
from planner.work.spreads import with_spreads
from planner.work.tasks import TaskBook, template_tasks
from planner.work.used_up import with_used_up
from planner.work.watch import watch_holds, with_sparks
from planner.work.wet_paint import no_sparks_by_paint


def work_for(vehicle: Vehicle, job: Job, knockons: Knockons, catalog: Catalog) -> WorkList:
    """Turn knock-ons into features, tasks, checkpoints and purchases; nothing is in any order yet."""
    ground = ground_for(vehicle, job, catalog, knockons)
    book = _own_steps(ground)
    ground = with_brought_about(with_sparks(ground), book)
    called = called_rules(ground)
    _put_in_turn(ground, called, book)
    joints = joints_of(ground)
    held = (*joints, *pins_of(ground))
    checks = {i: joined(held, t) for i, t in checkpoint_tasks(ground, called, book).items()}
    buys = buying_list(ground)
    fills = fills_of(ground, buys.values())
    filled_at_bench(ground, book, fills)
    handled = {i: b for i, b in buys.items() if i not in fills}
    tasks = {i: joined(joints, t) for i, t in _with_purchases(ground, book, handled).items()}
    features: dict[str, Feature] = {
        **body_features(ground, _tuples(book.off_after), _tuples(book.fit_after), arrivals(ground, handled)),
        **filling_waits(circuit_features(ground, filling_gates(ground, called, book)), fills),
    }
    features = earth_last(ground, mended_first(ground, book, with_joints(ground, joints, features)))
    holds, presences = holds_for(ground)
    asked = [d for hold in holds.values() for d in hold.demands]
    features = opened_safely(ground, features, [*_all_demands(features, {**tasks, **checks}), *asked])
    conditions = conditions_in(ground, [*_all_demands(features, {**tasks, **checks}), *asked])
    proofs = leaving_gates(ground, called, book)
    features = states_inside(ground, {**features, **condition_features(ground, conditions, proofs, book.labelled)})
    features = left_in(ground, features)
    features = watched(features, presences)
    tasks = {i: _of_known_states(task, features) for i, task in tasks.items()}
    checks = made_inside(ground, {i: _of_known_states(task, features) for i, task in checks.items()}, features)
    gates = gate_tasks(ground, features, waits_of_gates(ground, called, book))
    checks = _settled(ground, _at_the_end(checks, called, gates, features), called, features)
    everything = {**tasks, **_after_gates(ground, checks, called, book), **gates}
    everything = with_owed_tasks(ground, with_late_tasks(ground, book, _before_start(everything, list(tasks))))
    features = _said_last(ground, features, everything[FIRST_START])
    sheet = Sheet(vehicle, job, knockons)
    work = WorkList(
        features=features,
        tasks=with_made_sizes(everything, ground, book, sheet),
        checkpoints={
            **with_computed_limits(checkpoints_for(ground, called, conditions), sheet),
            **owed_checkpoints(ground),
        },
        buys=buys,
        holds=holds_that_bind({**holds, **watch_holds(ground)}, features),
    )
    work = with_used_up(ground, book, joints, work)
    return with_spreads(with_loose_fits(ground, work), catalog)


def _own_steps(ground: Ground) -> TaskBook:
    """The tasks of templates, holes, sizes and the owner, before anything that others ask of them."""
    book = template_tasks(ground)
    set_once(ground, book)
    add_holes(ground, book)
    close_holes(ground, book)
    guard_holes(ground, book)
    measure_guessed(ground, book)
    add_own_tasks(ground, book)
    look_beside(ground, book)
    no_sparks_by_paint(ground, book)
    return book


def _put_in_turn(ground: Ground, called: dict[str, tuple[Fact, ...]], book: TaskBook) -> None:
    """What the steps ask of each other, and the looks that they are signed with."""
    sign_hot_steps(ground, called, book)
    look_bare(ground, called, book)
    mend_hosts_first(ground, book)
    bolt_before_bearing(ground, book)
    mock_up_before_cutting(ground, book)
    try_with_controls(ground, book)
    bleed_after_trials(ground, book)
    lay_after_holes(ground, book)
    hold_metal(ground, called, book)


def _tuples(lists: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    return {key: tuple(values) for key, values in lists.items()}


def _with_purchases(ground: Ground, book: TaskBook, buys: dict[str, Buy]) -> dict[str, Task]:
    """Work on a part waits for what is bought for it, from its first task that handles it, and not its mock-up in card.

    What is bought besides for a link that somebody else makes, such as their time, is here before it is measured.
    """
    tasks = dict(book.tasks)
    links = ground.knockons.links_after
    for buy in buys.values():
        besides = buy.for_part in links and buy.id != f"buy:{buy.for_part}"
        for task in book.of_subject.get(buy.for_part, []):
            handles = tasks[task].demands or task == book.of_subject[buy.for_part][0]
            handles = handles and not _in_card(ground, tasks[task], buy.for_part)
            if handles and (besides or task not in book.ordering):
                tasks[task] = replace(tasks[task], purchases=(*tasks[task].purchases, buy.id))
    for own, parts in book.back.items():
        here = tuple(f"buy:{part}" for part in parts if f"buy:{part}" in buys)
        tasks[own] = replace(tasks[own], purchases=(*tasks[own].purchases, *here))
    for broken in (own for own in ground.job.tasks if own.replaces and f"buy:{own.id}" in buys and own.id in tasks):
        known = tasks[broken.id]
        tasks[broken.id] = replace(known, purchases=(*known.purchases, f"buy:{broken.id}"))
    return tasks


def _in_card(ground: Ground, task: Task, part: str | None) -> bool:
    """Whether a step mocks up in card or wood what is made at home: no metal is wanted for it yet."""
    made = ground.knockons.after.get(part or "")
    off = Demand(feature=ground.final(part or "") or "", on=False)
    return task.work is Work.MOCK_UP and made is not None and made.make_min is not None and off not in task.demands


def _of_known_states(task: Task, features: dict[str, Feature]) -> Task:
    """A task without the demand to be out of conditions that this job never enters."""
    kept = tuple(d for d in task.demands if d.on or d.feature in features)
    return replace(task, demands=kept)


def _all_demands(features: dict[str, Feature], tasks: dict[str, Task]) -> list[Demand]:
    toggles = [t for f in features.values() for t in f.toggles]
    demands = [d for t in toggles for d in t.demands]
    demands += [d for t in toggles for way in t.ways for d in way]
    return demands + [d for t in tasks.values() for d in t.demands]


def _at_the_end(
    checks: dict[str, Task],
    called: dict[str, tuple[Fact, ...]],
    gates: dict[str, Task],
    features: dict[str, Feature],
) -> dict[str, Task]:
    """A check of the whole vehicle is made when nothing is left to do: it demands what the road test demands."""
    whole = {task_id(r) for r, facts in called.items() if any(not f.subject for f in facts)}
    # A state that is left by a word, as by saying that the engine is to be run, leaves nothing that could be loose.
    said = {f.id for f in features.values() if not f.goal and f.turn_off is not None and not f.turn_off.minutes}
    demands = tuple(d for d in gates[ROAD_TEST].demands if d.feature not in said)
    return {i: replace(task, demands=(*task.demands, *demands)) if i in whole else task for i, task in checks.items()}


def _settled(
    ground: Ground, checks: dict[str, Task], called: dict[str, tuple[Fact, ...]], features: dict[str, Feature]
) -> dict[str, Task]:
    """A check of what could touch or hinder is made with every part and link where it ends, and left there."""
    settled = {task_id(r) for r in called if ground.catalog.rules[r].settled}
    demands = tuple(
        Demand(feature=i, on=f.goal, last=True)
        for i, f in features.items()
        if i in ground.handled and f.goal is not None
    )
    return {
        i: replace(task, demands=tuple(dict.fromkeys((*task.demands, *demands)))) if i in settled else task
        for i, task in checks.items()
    }


def _said_last(ground: Ground, features: dict[str, Feature], start: Task) -> dict[str, Feature]:
    """A state that is left by a word, as by saying that the engine is to be run, is left right before the start."""
    ahead = tuple(a.task for a in start.after)
    found = dict(features)
    for i, known in features.items():
        leave = known.turn_off
        asked = any(d.feature == i and not d.on for d in start.demands) and known.subject in ground.catalog.conditions
        if asked and leave is not None and not leave.minutes:
            after = tuple(dict.fromkeys((*leave.after, *ahead)))
            found[i] = replace(known, turn_off=replace(leave, after=after))
    return found


def _after_gates(
    ground: Ground, checks: dict[str, Task], called: dict[str, tuple[Fact, ...]], book: TaskBook
) -> dict[str, Task]:
    passing = passing_checks(called, ground, book)
    return {i: replace(task, after=(*task.after, *(After(task=g) for g in passing[i]))) for i, task in checks.items()}


def _before_start(tasks: dict[str, Task], own: list[str]) -> dict[str, Task]:
    """The engine is not started before the work is done."""
    start = tasks[FIRST_START]
    known = {a.task for a in start.after}
    more = tuple(After(task=t) for t in own if t not in known)
    return {**tasks, FIRST_START: replace(start, after=(*start.after, *more))}
