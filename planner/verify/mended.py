"""Mending that was found on the way: whether each is planned, done safely, in time, and looked at afterwards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.catalog import Blocks, Catalog, When
from planner.model.effects import Knockons
from planner.model.job import Job, Mending, OwnTask
from planner.model.log import Entry, FoundLine
from planner.model.shapes import Box, Pose, Tube
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.model.words import FIRST_START, Deed
from planner.model.work import Feature, Task, WorkList
from planner.space import Body, gap, link_body, port_mm, solid_body
from planner.verify.called import called_rules, events_of
from planner.verify.left import that_count
from planner.verify.sequence import Order, forced_order, tasks_before

_SPOT_MM = 50.0
"""A spot that is mended is so large (starting guess)."""
_ROUNDING_MM = 0.5
_ASKED_BY = {Deed.CUT: "battery-isolated", Deed.UNDER: "on-stands"}
_SAID_OF = {
    Deed.WELD: ("welding", "hot work"),
    Deed.GRIND: ("hot work",),
    Deed.CUT: ("drilling",),
    Deed.UNDER: ("lifting",),
}


def check_found(job: Job, entries: Sequence[Entry]) -> tuple[str, ...]:
    """Whether the job knows of everything that its log says was found, as it says it.

    Parameters
    ----------
    job : Job
        With the log worked in.
    entries : sequence of Entry
        The whole log, undone lines among them.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation.
    """
    own = {t.id: t for t in job.tasks}
    return tuple(said for line in that_count(entries) if isinstance(line, FoundLine) for said in _lost(line, own))


def _lost(line: FoundLine, own: dict[str, OwnTask]) -> Iterator[str]:
    task = own.get(line.id)
    if task is None:
        yield f"`{line.id}` was found ({line.title}) and the job does not know of it"
        return
    there = task.mending
    if line.does and (there is None or {*there.does} != {*line.does} or {*there.opens} != {*line.opens}):
        yield f"`{line.id}` does {', '.join(line.does)}, and the job does not know it"
    if there is not None and (there.on, there.spot_mm) != (line.on, line.spot_mm):
        yield f"`{line.id}` was found at `{line.on}`, and the job has it elsewhere"
    lacking = {*line.off} - {*task.off}
    if lacking:
        yield f"`{line.id}` is done with `{min(lacking)}` off, and the job does not know it"
    late = {*line.before} - {*task.before}
    if late:
        yield f"`{line.id}` comes before `{min(late)}`, and the job does not know it"


def mending_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> Iterator[str]:
    """Everything that a mending lacks.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    catalog : Catalog
    job : Job or None
        Its own tasks are looked at; without it nothing is.
    """
    mended = [t for t in job.tasks if t.mending is not None] if job is not None else []
    if not mended:
        return
    order = forced_order(work)
    rules = list(called_rules(catalog, events_of(vehicle, knockons, work, catalog, job), vehicle, knockons))
    for own in mended:
        task, mending = work.tasks.get(own.id), own.mending
        if task is None or mending is None:
            yield f"mending `{own.id}` is not among the tasks"
            continue
        thing = _thing(vehicle, knockons, mending.on)
        yield from _fuel_heated(catalog, own, mending, thing)
        if own.at_bench:
            yield from _off(work, task, mending.on, _homes(work, mending.on), "it is mended at the bench")
        else:
            yield from _states(work, task, _wanted(vehicle, catalog, mending, thing))
            yield from _open(vehicle, work, catalog, task, mending)
            yield from _near_heat(vehicle, knockons, work, catalog, own)
        yield from _cautions(catalog, task, mending, thing)
        yield from _in_time(work, order, own)
        yield from _asked_first(work, order, task, mending)
        yield from _left_alone(work, catalog, mending)
        looks = {r.id for r, calls in rules if {own.id, mending.on} & {e.subject for e in calls if e.subject}}
        bare = {i for i in looks if catalog.rules[i].bare}
        yield from _looked_at(work, order, task, looks - bare)


def _of_part(work: WorkList, subject: str) -> list[Feature]:
    """The features that say where a part is, without one that only says whether it is tight."""
    known = [f for f in work.features.values() if f.subject == subject]
    ids = {f.id for f in known}
    tights = {
        f.id for f in known if f.turn_on is not None and any(d.on and d.feature in ids for d in f.turn_on.demands)
    }
    return [f for f in known if f.id not in tights]


def _homes(work: WorkList, subject: str) -> list[bool]:
    """The homes a part has: at the start, at the end; one that no feature stands for never comes off."""
    features = _of_part(work, subject)
    return [h for h in (True, False) if any(f.start if h else f.goal for f in features)] or [True]


def _thing(vehicle: Vehicle, knockons: Knockons, name: str) -> Component | Link | None:
    parts = {**vehicle.components, **knockons.after}
    return parts.get(name) or {**vehicle.links, **knockons.links_after}.get(name)


def _wanted(vehicle: Vehicle, catalog: Catalog, mending: Mending, thing: Component | Link | None) -> set[str]:
    """Conditions in which a mending is done on the vehicle."""
    does = {*mending.does}
    wanted = {state for deed, state in _ASKED_BY.items() if deed in does}
    if Deed.WELD in does:
        wanted |= {*catalog.hot_conditions}
    if does & {Deed.WELD, Deed.GRIND}:
        watches = (r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers))
        wanted |= {c for rule in watches for c in rule.conditions}
    if thing is not None and does != {Deed.PLAIN}:
        wanted |= {*thing.needs}
    for system in mending.opens:
        if system in vehicle.systems:
            wanted |= {*catalog.system_kinds[vehicle.systems[system].kind].needs}
    return wanted & catalog.conditions.keys()


def _fuel_heated(catalog: Catalog, own: OwnTask, mending: Mending, thing: Component | Link | None) -> Iterator[str]:
    """Nothing that held fuel is welded, ground or drilled where it sits."""
    if thing is None or not {Deed.WELD, Deed.GRIND, Deed.CUT} & {*mending.does}:
        return
    if {thing.kind, thing.group} & {*catalog.hole_shy} and thing.id not in own.off:
        yield f"mending `{own.id}` brings heat or sparks to `{thing.id}` on the vehicle: what held fuel explodes"


def _states(work: WorkList, task: Task, wanted: set[str]) -> Iterator[str]:
    inside = {work.features[d.feature].subject for d in task.demands if d.on and d.feature in work.features}
    for condition in sorted(wanted - inside):
        yield f"mending `{task.id}` may be done while `{condition}` does not hold"


def _open(vehicle: Vehicle, work: WorkList, catalog: Catalog, task: Task, mending: Mending) -> Iterator[str]:
    shut = {d.feature for d in task.demands if not d.on}
    for system in mending.opens:
        known = vehicle.systems.get(system)
        circuit = next((f.id for f in work.features.values() if f.subject == system), None)
        if known is None or (circuit is None and not catalog.system_kinds[known.kind].takes_work):
            continue
        if circuit is None or circuit not in shut:
            yield f"mending `{task.id}` opens `{system}`, and it may be done while that is closed"


def _off(work: WorkList, task: Task, subject: str, homes: Sequence[bool], why: str) -> Iterator[str]:
    """Whether a part is off in the homes it may not be in: True is the one it starts in, False the one it ends in."""
    off = {d.feature for d in task.demands if not d.on}
    features = _of_part(work, subject)
    for starts in homes:
        there = {f.id for f in features if (f.start if starts else f.goal)}
        if not there or not there <= off:
            yield f"mending `{task.id}` may be done while `{subject}` is on the vehicle: {why}"
            return


def _near_heat(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, own: OwnTask) -> Iterator[str]:
    """Whatever minds heat and may come off is off while there is heat or sparks near it."""
    task, mending = work.tasks[own.id], own.mending
    if mending is None or not {Deed.WELD, Deed.GRIND} & {*mending.does}:
        return
    here = list(standing(vehicle, knockons))
    if mending.spot_mm is None:
        # A link that is made anew is mended as it is now.
        hot = [b for thing, now, b in here if thing.id == mending.on and (now or mending.on not in vehicle.links)]
    else:
        spot = Box(size_mm=(_SPOT_MM, _SPOT_MM, _SPOT_MM), pose=Pose(at_mm=mending.spot_mm))
        hot = [solid_body((spot,), Pose())]
    reach_mm = catalog.hot_reach_mm - _ROUNDING_MM
    for thing, starts, body in here:
        rides = isinstance(thing, Component) and thing.rides
        if thing.id in _mended_with(vehicle, mending.on) or rides or thing.freedom is Freedom.STAYS:
            continue
        if {thing.kind, thing.group} & {*catalog.hot_clear} and any(gap(h, body).mm < reach_mm for h in hot):
            yield from _off(work, task, thing.id, (starts,), "it minds the heat")


def _mended_with(vehicle: Vehicle, name: str) -> set[str]:
    """What is mended, and all that it rides on."""
    chain = [name]
    while chain[-1] in vehicle.components and vehicle.components[chain[-1]].rides:
        chain.append(str(vehicle.components[chain[-1]].mounted_on))
    return {*chain}


def standing(vehicle: Vehicle, knockons: Knockons) -> Iterator[tuple[Component | Link, bool, Body]]:
    """Parts where they are (True) and where they will be, links in the runs they have now and the new ones."""
    for parts, starts in ((vehicle.components, True), (knockons.after, False)):
        for part in parts.values():
            yield part, starts, solid_body(part.solids, part.pose)
    for link in vehicle.links.values():
        start, finish = (port_mm(vehicle.components[e.component], e.port) for e in link.ends)
        yield link, True, link_body(link, start, finish)
    for i, run in knockons.runs.items():
        if i in knockons.links_after:
            pipe = Tube(across_mm=knockons.links_after[i].across_mm, through_mm=run.points_mm, bend_mm=run.bend_mm)
            yield knockons.links_after[i], False, solid_body((pipe,), Pose())


def _cautions(catalog: Catalog, task: Task, mending: Mending, thing: Component | Link | None) -> Iterator[str]:
    keys = [key for deed, said in _SAID_OF.items() if deed in mending.does for key in said]
    keys += [] if thing is None else [thing.group]
    for key in keys:
        if key in catalog.cautions and catalog.cautions[key] not in task.cautions:
            yield f"mending `{task.id}` does not say the caution of `{key}`"
    shy = thing is not None and bool({thing.kind, thing.group} & {*catalog.hole_shy})
    if shy and {Deed.WELD, Deed.GRIND, Deed.CUT} & {*mending.does} and not any("explodes" in c for c in task.cautions):
        yield f"mending `{task.id}` does not say that what held fuel explodes"
    if Deed.UNSAID in mending.does and not any("Nobody said" in c for c in task.cautions):
        yield f"mending `{task.id}` does not say that nobody knows what it does"


def _in_time(work: WorkList, order: Order, own: OwnTask) -> Iterator[str]:
    """Before what it was said to come before, and before the engine is started."""
    for name in own.mending.ahead if own.mending is not None else ():
        for feature in _of_part(work, name):
            fits = feature.turn_on if feature.goal and name not in own.fitted else None
            if fits is not None and own.id not in fits.after:
                yield f"`{feature.id}` may be fitted before mending `{own.id}` is done"
        if name in work.tasks and name != own.id and own.id not in tasks_before(order, name):
            yield f"`{name}` may be done before mending `{own.id}`"
    if FIRST_START in work.tasks and own.id not in tasks_before(order, FIRST_START):
        yield f"mending `{own.id}` may be done after the engine is started"


def _left_alone(work: WorkList, catalog: Catalog, mending: Mending) -> Iterator[str]:
    """What is mended is looked at where it ends, and not touched after that."""
    ends = [f for f in _of_part(work, mending.on) if f.goal]
    rules = {r.id for r in catalog.rules.values() if any(t.when is When.MENDED for t in r.triggers)}
    gates = {g.id for g in work.checkpoints.values() if g.rule in rules}
    for task in work.tasks.values():
        held = {d.feature for d in task.demands if d.on and d.last}
        for feature in ends if task.checkpoint in gates else ():
            if feature.id not in held:
                yield f"`{task.id}` may be made before `{feature.id}`, or undone after it"


def _asked_first(work: WorkList, order: Order, task: Task, mending: Mending) -> Iterator[str]:
    """What is asked before anything that cannot be undone is asked before a mending that heats, grinds or drills."""
    if not {Deed.WELD, Deed.GRIND, Deed.CUT} & {*mending.does}:
        return
    held = {g.id for g in work.checkpoints.values() if Blocks.METAL.value in g.blocks}
    for signer in sorted(t.id for t in work.tasks.values() if t.checkpoint in held):
        if signer not in tasks_before(order, task.id):
            yield f"mending `{task.id}` may be done before `{signer}`"


def _looked_at(work: WorkList, order: Order, task: Task, looks: set[str]) -> Iterator[str]:
    """Every check that a mending calls for is made after it."""
    for gate in sorted(work.checkpoints):
        if work.checkpoints[gate].rule not in looks or work.checkpoints[gate].each_time:
            continue
        if Blocks.METAL.value in work.checkpoints[gate].blocks:
            # What is asked before the first cut looks at nothing.
            continue
        signers = [t.id for t in work.tasks.values() if t.checkpoint == gate]
        if task.id in signers:
            continue
        for signer in signers:
            # A check that is made with a welding step is made with each of them.
            if work.tasks[signer].effect.startswith("cut:") or task.id in tasks_before(order, signer):
                continue
            yield f"`{signer}` may be made before mending `{task.id}`, which it looks at"
