"""`knockon sums`: the engineering sums of a vehicle, as it stands or as it is when a job is done."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from planner.model.answer import Answer
    from planner.model.catalog import Catalog
    from planner.model.job import Cut
    from planner.model.sums import SumLine
    from planner.model.vehicle import Component, Link, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A vehicle as it stands, or as it is when a job is done, with the holes the job cuts."""

    name: str
    parts: Mapping[str, Component]
    links: Mapping[str, Link]
    cuts: tuple[Cut, ...] = ()


def standing(project: Path, job: str | None, vehicle: Vehicle, catalog: Catalog, option: str = "") -> Standing:
    """Parts and links as they stand, or as they are when a job is done."""
    if job is None:
        if option:
            raise Stop(Exit.USAGE, "an option belongs to a job", "name the job as well")
        return Standing(name=vehicle.name, parts=vehicle.components, links=vehicle.links)
    from planner.cli.loading import job_read
    from planner.cli.measured import as_logged
    from planner.knockon import find_knockons
    from planner.model.effects import Proof
    from planner.model.job import Cut

    there, asked = as_logged(project, vehicle, job_read(project, job, vehicle, catalog, option), catalog)
    knockons = find_knockons(there, asked, catalog)
    if knockons.proof is Proof.NONE:
        raise Stop(Exit.FAULTS, f"`{asked.id}` has no answer", f"`knockon moves {project} {job}` says why")
    return Standing(
        name=f"{vehicle.name}: {asked.name}",
        parts=knockons.after,
        links=knockons.links_after,
        cuts=tuple(c for c in asked.changes if isinstance(c, Cut)),
    )


def sums(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    job: Annotated[str | None, typer.Argument(help="A job: the vehicle as it is when that is done.")] = None,
    about: Annotated[str, typer.Option(help="Only the sums about this part, link, axle or hole.")] = "",
    bores: Annotated[bool, typer.Option("--bores", help="Only this: each brake cylinder with other bores.")] = False,
    option: Annotated[str, typer.Option(help="Which option of the job.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
) -> None:
    """Work out levers, brakes, strength, linkages, coolant, feet and slots: value, doubt, limit, margin, verdict."""
    from planner.cli.loading import catalog_read, vehicle_read
    from planner.cli.show_sums import show_sums, sums_json
    from planner.sums.sheet import bores_of

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    there = standing(project, job, vehicle, catalog, option)
    if bores:
        found = bores_of(there.parts, there.links, vehicle.figures)
    else:
        found = sums_there(project, there, vehicle, catalog)
    lines = _about(found, there, about)
    if as_json:
        typer.echo(json.dumps(sums_json(there.name, lines), indent=1, ensure_ascii=False))
    else:
        show_sums(there.name, lines, vehicle.units)


def job_done(answer: Answer) -> Standing:
    """The vehicle as it is when a job is done, from its worked-out answer."""
    from planner.model.job import Cut

    return Standing(
        name=f"{answer.vehicle.name}: {answer.job.name}",
        parts=answer.knockons.after,
        links=answer.knockons.links_after,
        cuts=tuple(c for c in answer.job.changes if isinstance(c, Cut)),
    )


def sums_there(project: Path, there: Standing, vehicle: Vehicle, catalog: Catalog) -> tuple[SumLine, ...]:
    """Every sum that can be made of it, with the driver's body, and which job adds what is not there yet."""
    from planner.sums.sheet import sums_of

    elsewhere = _added_by(project, there, vehicle, catalog)
    return sums_of(there.parts, there.links, vehicle.figures, there.cuts, vehicle.driver, elsewhere)


def _added_by(project: Path, there: Standing, vehicle: Vehicle, catalog: Catalog) -> dict[str, str]:
    """Which job adds a part or link that the figures name and that is not there; jobs with faults say nothing."""
    from planner.model.job import Add, AddLink, Replace
    from planner.shelf import list_jobs, load_job

    figures = vehicle.figures
    if figures is None:
        return {}
    named = {*figures.pedals, *(x.part for x in figures.linkages.values())}
    named |= {stage.link for x in figures.linkages.values() for stage in x.stages}
    wanted = named - there.parts.keys() - there.links.keys()
    found: dict[str, str] = {}
    for name in list_jobs(project) if wanted else ():
        job, _ = load_job(project, name, vehicle, catalog)
        for change in () if job is None else job.changes:
            if isinstance(change, Add | Replace) and change.component.id in wanted:
                found.setdefault(change.component.id, name)
            elif isinstance(change, AddLink) and change.link.id in wanted:
                found.setdefault(change.link.id, name)
    return found


def _about(lines: tuple[SumLine, ...], there: Standing, called: str) -> tuple[SumLine, ...]:
    """Lines about one thing: a lever is known by its part, its rod and its cylinder."""
    from planner.cli.called import id_or_word
    from planner.sums.levers_there import levers_there

    if not lines:
        hint = "describe a pedal that turns, its rod and its cylinder; a header tank; or `figures`"
        raise Stop(Exit.FAULTS, "nothing is described that a sum could be made of", hint)
    if not called:
        return lines
    about = id_or_word(called, {i: x.name for things in (there.parts, there.links) for i, x in things.items()})
    rods = {x.link for x in levers_there(there.parts, there.links) if about in {x.part, x.link, x.cylinder}}
    found = tuple(x for x in lines if x.about.split(",")[0] in {about, *rods})
    if not found:
        known = ", ".join(dict.fromkeys(x.about for x in lines))
        raise Stop(Exit.USAGE, f"no sum is about `{about}`", f"known: {known}")
    return found
