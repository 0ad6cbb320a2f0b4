"""Pictures of a job that are no elevations: what follows from what, and its plan; each as SVG text or as lines."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop, listed

if TYPE_CHECKING:
    from planner.draw import Dot
    from planner.model.answer import Answer
    from planner.model.catalog import Catalog
    from planner.model.effects import Knockons
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle


class Picture(StrEnum):
    """What can be drawn of a job."""

    ELEVATIONS = "elevations"
    TREE = "tree"
    ORDER = "order"
    SESSIONS = "sessions"
    BANDS = "bands"
    ODDS = "odds"


class Engine(StrEnum):
    """What lays a tree out: the dot program where there is one, dot and nothing else, ourselves."""

    ANY = "any"
    DOT = "dot"
    OWN = "own"


WhatOption = Annotated[
    Picture,
    typer.Option(
        help="To scale; what follows from what; and of the plan: what must come after what, its sessions, what is off "
        "or fitted when, how likely the dates are."
    ),
]
EngineOption = Annotated[Engine, typer.Option(help="What lays a tree out: dot where there is one, or ourselves.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which picture of which job; ``words``: its lines instead."""

    project: Path
    job: str
    what: Picture
    words: bool
    engine: Engine
    option: str
    from_day: datetime | None
    limit_s: float


def pictured(wanted: Wanted) -> str:
    """SVG text of a picture, or its lines."""
    if wanted.what is Picture.TREE:
        return _tree(wanted)
    answer = _answer(wanted)
    return _lines(_told(wanted.what, answer)) if wanted.words else _drawn(wanted, answer)


def _drawn(wanted: Wanted, answer: Answer) -> str:
    from planner.draw import draw_bands, draw_odds, draw_order, draw_sessions

    work, plan, chain, numbers = answer.work, answer.plan, answer.chain, answer.numbers
    name, by = _name(wanted), answer.job.finish_by
    if wanted.what is Picture.ORDER:
        return draw_order(work, plan, chain, numbers=numbers, name=name)
    if wanted.what is Picture.SESSIONS:
        return draw_sessions(work, plan, chain, by=by, numbers=numbers, name=name)
    if wanted.what is Picture.BANDS:
        return draw_bands(work, plan, numbers=numbers, name=name)
    assert answer.odds is not None  # noqa: S101  # they are worked out for this picture
    return draw_odds(plan, answer.odds, by, name=name)


def _told(what: Picture, answer: Answer) -> tuple[str, ...]:
    from planner.draw import draw_bands_words, draw_odds_words, draw_order_words, draw_sessions_words

    work, plan, chain, numbers = answer.work, answer.plan, answer.chain, answer.numbers
    if what is Picture.ORDER:
        return draw_order_words(work, plan, chain, numbers=numbers)
    if what is Picture.SESSIONS:
        return draw_sessions_words(work, plan, chain, by=answer.job.finish_by, numbers=numbers)
    if what is Picture.BANDS:
        return draw_bands_words(work, plan, numbers=numbers)
    assert answer.odds is not None  # noqa: S101  # they are worked out for this picture
    return draw_odds_words(plan, answer.odds, answer.job.finish_by)


def _name(wanted: Wanted) -> str:
    return f"{wanted.job}.{wanted.what}"


def _lines(told: tuple[str, ...]) -> str:
    return "\n".join(told) + "\n"


def _tree(wanted: Wanted) -> str:
    from planner.draw import draw_tree_words
    from planner.knockon import find_knockons
    from planner.model.effects import Proof

    vehicle, job, catalog = _read(wanted)
    knockons = find_knockons(vehicle, job, catalog)
    if knockons.proof is Proof.NONE:
        hint = f"`knockon moves {wanted.project} {wanted.job}` says why"
        raise Stop(Exit.FAULTS, f"`{job.id}` has no answer, so there is nothing to draw after it", hint)
    if wanted.words:
        return _lines(draw_tree_words(vehicle, knockons, job=job.name))
    return _tree_drawn(wanted, vehicle, knockons, job.name)


def _tree_drawn(wanted: Wanted, vehicle: Vehicle, knockons: Knockons, job: str) -> str:
    """By the dot program when that is asked for or there is one, else by ourselves."""
    from planner.draw import DotError, draw_tree

    name = _name(wanted)
    dot = None if wanted.engine is Engine.OWN else dot_here()
    if dot is None and wanted.engine is Engine.DOT:
        raise Stop(Exit.FILE, "there is no dot program here, or no graphviz package to speak to it", "`--engine own`")
    try:
        return draw_tree(vehicle, knockons, dot, job=job, name=name)
    except DotError as error:
        if wanted.engine is Engine.DOT:
            raise Stop(Exit.FILE, str(error), "`--engine own`") from error
        typer.echo(f"{error}: laid out without it", err=True)
        return draw_tree(vehicle, knockons, job=job, name=name)


def dot_here() -> Dot | None:
    """The dot program of the system, else the one that came with the graphviz-pure package, else None."""
    import sys
    from importlib.util import find_spec
    from shutil import which

    from planner.draw import Dot

    if find_spec("graphviz") is None:
        return None
    beside = str(Path(sys.executable).parent)
    found = which("dot") or which("graphviz-pure", path=beside) or which("graphviz-pure")
    return Dot(program=Path(found)) if found is not None else None


def _read(wanted: Wanted) -> tuple[Vehicle, Job, Catalog]:
    from planner.cli.loading import catalog_read, job_read, vehicle_read

    catalog = catalog_read()
    vehicle = vehicle_read(wanted.project, catalog)
    return vehicle, job_read(wanted.project, wanted.job, vehicle, catalog, wanted.option), catalog


def _answer(wanted: Wanted) -> Answer:
    """The plan as `knockon plan` has it; one that is wrong or is none is not drawn."""
    from planner.cli.current import Wish, current_plan
    from planner.cli.plan import now_or
    from planner.export.plan_words import trouble_of

    wish = Wish(
        project=wanted.project,
        job=wanted.job,
        now=now_or(wanted.from_day),
        limit_s=wanted.limit_s,
        option=wanted.option,
        odds=wanted.what is Picture.ODDS,
    )
    answer = current_plan(wish).replan.answer
    if answer.violations:
        told = listed(answer.violations, 5)
        raise Stop(Exit.BUG, f"the independent checker does not accept this plan; it is not drawn:{told}", "tell us")
    if not answer.plan.slots:
        told = listed(trouble_of(answer.plan)) or " nothing is left to do"
        raise Stop(Exit.FAULTS, f"there is no plan to draw:{told}", f"`knockon plan {wanted.project} {wanted.job}`")
    return answer
