"""`knockon measure`: which sizes to measure before metal is cut, and what another size would change."""

from __future__ import annotations

import json
import sys
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop, listed

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle
    from planner.shelf import Draft


_NAMES = "`knockon measure PROJECT JOB PART` lists what the sizes of a part are called"


def measure(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    part: Annotated[
        str, typer.Argument(help="A part: list the names of its sizes, and decide nothing.", show_default=False)
    ] = "",
    tried: Annotated[
        list[str] | None,
        typer.Option("--try", metavar="SIZE=VALUE", help='Show what another size would do: "tank.at.z=645".'),
    ] = None,
    most: Annotated[int, typer.Option(min=1, help="Sizes worked through at the most.")] = 20,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
) -> None:
    """Rank the sizes in doubt by what they decide: which to measure before metal is cut, and how exactly.

    With a part named, list what its sizes are called, for --try and for `record size`.
    """
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.measured import as_logged, draft_logged, tried_now

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    vehicle, found = as_logged(project, vehicle, job_read(project, job, vehicle, catalog), catalog)
    draft = draft_logged(project, job, catalog)
    if part:
        _name(draft, (vehicle, found), part, as_json=as_json)
    elif tried:
        _try(draft, catalog, (vehicle, found), tried_now(project, job, draft, tried), as_json=as_json)
    else:
        _rank(draft, catalog, (vehicle, found), most=most, as_json=as_json)


def _name(draft: Draft, known: tuple[Vehicle, Job], called: str, *, as_json: bool) -> None:
    from planner.cli.called import id_called, names_of
    from planner.cli.measured import size_before
    from planner.cli.show_measure import names_json, show_names
    from planner.knockon.asked import asked_by

    vehicle, job = known
    name = id_called(called, names_of(vehicle, job), "there is no part")
    parts = {**asked_by(vehicle, job).base, **vehicle.components}
    if name not in parts:
        raise Stop(Exit.USAGE, f"`{name}` is a link: its sizes follow from its ends and the way it is led")
    sizes = {n: size_before(draft, n, vehicle, job) for n in draft.names if draft.size(n).part == name}
    if as_json:
        typer.echo(json.dumps(names_json(draft, parts[name], sizes), indent=1, ensure_ascii=False))
    else:
        show_names(draft, parts[name], sizes, vehicle.units)


def _rank(draft: Draft, catalog: Catalog, known: tuple[Vehicle, Job], *, most: int, as_json: bool) -> None:
    from planner.cli.show_measure import measured_json, show_measured
    from planner.knockon import weigh_sizes

    answer = weigh_sizes(draft, catalog, most=most, tell=_progress)
    _wipe()
    if answer.cost_min is None:
        told = listed(dict.fromkeys(answer.trouble))
        raise Stop(Exit.FAULTS, f"there is no place for all of it:{told}", "`knockon moves` tells more")
    if as_json:
        typer.echo(json.dumps(measured_json(answer), indent=1, ensure_ascii=False))
    else:
        show_measured(*known, answer)


def _progress(done: int, of: int) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\rsize {done + 1} of {of}: what follows at either end of its doubt ")
        sys.stderr.flush()


def _wipe() -> None:
    if sys.stderr.isatty():
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()


def _try(draft: Draft, catalog: Catalog, known: tuple[Vehicle, Job], tried: list[str], *, as_json: bool) -> None:
    from planner.cli.measured import size_before
    from planner.cli.show_measure import show_tried, tried_json
    from planner.finding import has_errors
    from planner.knockon import find_knockons
    from planner.model.effects import Proof

    values = values_tried(draft, tried)
    vehicle, job, findings = draft.filled(values)
    if vehicle is None or job is None:
        wrong = [f for f in findings if has_errors([f])]
        raise Stop(Exit.USAGE, f"{', '.join(tried)}: {wrong[0].message}", wrong[0].hint)
    before, after = find_knockons(*known, catalog), find_knockons(vehicle, job, catalog)
    sizes = {name: (size_before(draft, name, *known), value) for name, value in values.items()}
    if as_json:
        typer.echo(json.dumps(tried_json(sizes, before, after), indent=1, ensure_ascii=False))
    else:
        show_tried(vehicle, job, sizes, before, after)
    if after.proof is Proof.NONE:
        raise Stop(Exit.FAULTS)


def values_tried(draft: Draft, tried: list[str]) -> dict[str, str]:
    """Size names and what is to be tried for each, as written."""
    values: dict[str, str] = {}
    for text in tried:
        name, equals, value = (piece.strip() for piece in text.partition("="))
        name = name if name in draft.names else name.replace(".solids.1.", ".")
        if not equals or not value:
            raise Stop(Exit.USAGE, f"`{text}` tries nothing", 'write a size and a value: --try "header-tank.at.z=645"')
        if name not in draft.names:
            near = get_close_matches(name, draft.names, n=3, cutoff=0.5)
            hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else _NAMES
            raise Stop(Exit.USAGE, f"no size is called `{name}`", hint)
        if name in values:
            raise Stop(Exit.USAGE, f"`{name}` is tried twice", "one value a size")
        values[name] = value
    return values
