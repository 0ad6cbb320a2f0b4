"""`knockon lever`: the levers of a vehicle through their travel, and sizes that give what is wanted."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.sums import standing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from planner.cli.sums import Standing
    from planner.model.catalog import Catalog
    from planner.model.vehicle import Component, Link, Vehicle
    from planner.sums.lever import Lever
    from planner.sums.lever_design import Band, Range
    from planner.sums.lever_slot import Sheet, Slot
    from planner.sums.levers_there import LeverThere

SIZES = {
    "clevis-arm": ("clevis_arm_mm", 0.5),
    "clevis-angle": ("clevis_deg", 0.5),
    "pad-arm": ("pad_arm_mm", 1.0),
    "pad-angle": ("pad_deg", 0.5),
    "pivot-x": ("pivot_x_mm", 0.5),
    "pivot-z": ("pivot_z_mm", 0.5),
    "cylinder-x": ("mouth_x_mm", 0.5),
    "cylinder-z": ("mouth_z_mm", 0.5),
    "push-angle": ("push_deg", 0.5),
    "travel": ("travel_deg", 0.5),
}
"""What may be chosen: name on the command line, name in the sums, step it can be marked out in [mm or deg]."""
FIGURES = {
    "stroke": "stroke_mm",
    "ratio": "ratio_mean",
    "ratio-at-rest": "ratio_rest",
    "ratio-at-end": "ratio_full",
    "rod": "rod_mm",
    "lean": "rod_most_deg",
    "pad-travel": "pad_arc_mm",
    "pad-foremost": "pad_x_low_mm",
    "pad-rearmost": "pad_x_high_mm",
    "pad-lowest": "pad_z_low_mm",
    "pad-highest": "pad_z_high_mm",
}

_ASK = "say what may change with --free and what it is to give with --want"
_CHECK = "check the ports of pedal and cylinder, and the motion of the pedal"


def lever(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml.")],
    job: Annotated[str | None, typer.Argument(help="A job: the levers there are when it is done.")] = None,
    part: Annotated[str, typer.Option(help="Only the lever, or the rod, of this id.")] = "",
    force_n: Annotated[float, typer.Option("--force", min=1.0, max=5000.0, help="Push at the pad, in N.")] = 500.0,
    free: Annotated[
        list[str] | None, typer.Option(help=f"A size that may be chosen: SIZE=LEAST..MOST ({', '.join(SIZES)}).")
    ] = None,
    want: Annotated[
        list[str] | None, typer.Option(help=f"What it is to give: FIGURE=LEAST..MOST ({', '.join(FIGURES)}).")
    ] = None,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Draw it, to scale through its travel, into this SVG file.")
    ] = None,
    sheet: Annotated[str, typer.Option(help="A part it passes through: tell the slot it asks for there.")] = "",
    write: Annotated[
        bool, typer.Option("--write", help="Write the layout found into the job's file, or into vehicle.yaml.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
) -> None:
    """Work out the pedals and levers that push a cylinder: stroke, ratio, rod angle, forces; or find better sizes."""
    from planner.cli.called import id_called
    from planner.cli.loading import catalog_read, vehicle_read
    from planner.sums.lever import LeverError
    from planner.sums.lever_design import DesignError

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    there = standing(project, job, vehicle, catalog)
    found = _chosen(there.parts, there.links, part)
    bands, ranges = _bands(want or []), _ranges(free or [])
    _check_asked(found, one=bool(bands or ranges or output or sheet), design=bool(bands or ranges), write=write)
    if sheet:
        names = {i: x.name for i, x in there.parts.items()}
        sheet = id_called(sheet, names, "there is no part", "name the floor or bulkhead it passes through")
    try:
        if not (bands or ranges):
            _told(there, found, force_n, as_json=as_json)
            drawn = found[0]
        else:
            drawn = _designed(there, found[0], (ranges, bands), as_json=as_json)
        cut = _slot(drawn, there, sheet, quiet=as_json) if sheet else None
        if output is not None:
            _draw(output, f"{there.name}: {there.parts[drawn.part].name}", drawn.lever, force_n, cut)
    except DesignError as error:
        raise Stop(Exit.USAGE, str(error), _ASK) from None
    except LeverError as error:
        raise Stop(Exit.FAULTS, str(error), _CHECK) from None
    if write:
        _write((project, job, vehicle, catalog), there, found[0], drawn)


def _check_asked(found: list[LeverThere], *, one: bool, design: bool, write: bool) -> None:
    if write and not design:
        raise Stop(Exit.USAGE, "there is no layout to write", _ASK)
    if one and len(found) > 1:
        raise Stop(Exit.USAGE, "there is more than one lever", f"--part: {', '.join(x.link for x in found)}")


def _told(there: Standing, found: list[LeverThere], force_n: float, *, as_json: bool) -> None:
    """Tell the levers as they are."""
    from planner.cli.show_lever import lever_json, show_levers

    if as_json:
        typer.echo(json.dumps([lever_json(x, force_n) for x in found], indent=1, ensure_ascii=False))
    else:
        show_levers(there.name, found, there.parts, force_n)


def _designed(
    there: Standing, found: LeverThere, asked: tuple[list[Range], list[Band]], *, as_json: bool
) -> LeverThere:
    """Find sizes that give what is wanted, tell them, and give the lever with the ones that can be marked out."""
    from dataclasses import replace

    from planner.cli.show_lever import design_json, show_design
    from planner.sums.lever_design import asked_of, designed

    design = designed(asked_of(found.lever, *asked))
    if as_json:
        typer.echo(json.dumps(design_json(found, design), indent=1, ensure_ascii=False))
    else:
        show_design(there.name, found, design, there.parts)
    if design.best.room < 0.0:
        raise Stop(Exit.FAULTS)
    best = design.marked if design.marked.room >= 0.0 else design.best
    return replace(found, lever=best.lever)


def _slot(lever: LeverThere, there: Standing, sheet: str, *, quiet: bool) -> tuple[Slot, Sheet]:
    """The slot it asks for in a part, told unless ``quiet``."""
    from planner.sums.slots import CLEAR_MM, sheet_slot

    asked = sheet_slot(lever, there.parts[lever.part], there.links[lever.link], there.parts[sheet])
    if asked is None:
        hint = "the sheet must be a flat box square to the lever's plane"
        raise Stop(Exit.FAULTS, f"neither the arm nor the rod of `{lever.link}` passes through `{sheet}`", hint)
    passing, wall = asked
    low, wide = passing.slot, passing.right_mm - passing.left_mm
    if not quiet:
        typer.echo(
            f"slot asked in `{sheet}` by `{passing.what}`: {low.long_mm:.0f} mm along it, {wide:.0f} mm across, "
            f"{CLEAR_MM:g} mm kept clear all round (common practice)"
        )
        typer.echo(f"not covered: {'; '.join(low.basis.not_covered)}")
    return low, wall.sheet


def _write(where: tuple[Path, str | None, Vehicle, Catalog], there: Standing, old: LeverThere, new: LeverThere) -> None:
    from planner.cli.lever_write import write_lever
    from planner.sums.levers_there import levers_there

    levers = levers_there(there.parts, there.links)
    lines, left = write_lever(*where, levers=levers, chosen=(old, new.lever), parts=there.parts)
    for line in lines:
        typer.echo(f"written: {line}", err=True)
    if not lines:
        typer.echo("written: nothing, the layout is the one that is there", err=True)
    if left:
        typer.echo(f"not written: {left}; move it, and them, by hand", err=True)
    typer.echo("`knockon moves` says what the new sizes make necessary", err=True)


def _chosen(components: Mapping[str, Component], links: Mapping[str, Link], part: str) -> list[LeverThere]:
    from planner.cli.called import id_or_word
    from planner.sums.levers_there import levers_there

    part = id_or_word(part, {i: x.name for things in (components, links) for i, x in things.items()}) if part else ""
    found = list(levers_there(components, links))
    if not found:
        hint = "a lever is a part with `motion: {turns: {axis: y}}` and a rigid link to a part with a round body"
        raise Stop(Exit.FAULTS, "no lever that pushes a cylinder is described", hint)
    if part:
        found = [x for x in found if part in {x.part, x.link, x.cylinder}]
        if not found:
            known = ", ".join(x.link for x in levers_there(components, links))
            raise Stop(Exit.USAGE, f"no lever has a part or rod `{part}`", f"rods: {known}")
    return found


def _span(text: str, known: dict[str, str], what: str) -> tuple[str, float, float]:
    """Read NAME=LEAST..MOST; either end may be left out."""
    name, _, span = text.partition("=")
    low, dots, high = span.partition("..")
    hint = f"write it as {next(iter(known))}=10..20; names: {', '.join(known)}"
    if name not in known or not dots or not (low or high):
        raise Stop(Exit.USAGE, f"`{text}` is no {what}", hint)
    try:
        ends = float(low) if low else float("-inf"), float(high) if high else float("inf")
    except ValueError:
        raise Stop(Exit.USAGE, f"`{text}` is no {what}", hint) from None
    return known[name], *ends


def _bands(texts: list[str]) -> list[Band]:
    from planner.sums.lever_design import Band

    spans = [_span(text, FIGURES, "want") for text in texts]
    return [Band(figure=figure, low=low, high=high) for figure, low, high in spans]


def _ranges(texts: list[str]) -> list[Range]:
    from planner.sums.lever_design import Range

    steps = dict(SIZES.values())
    spans = [_span(text, {k: v for k, (v, _) in SIZES.items()}, "size") for text in texts]
    for text, (_, low, high) in zip(texts, spans, strict=True):
        if abs(low) == float("inf") or abs(high) == float("inf"):
            raise Stop(Exit.USAGE, f"`{text}` has an open end", "a size needs both: clevis-arm=60..90")
    return [Range(name=name, low=low, high=high, step=steps[name]) for name, low, high in spans]


def _draw(path: Path, title: str, drawn: Lever, force_n: float, cut: tuple[Slot, Sheet] | None) -> None:
    from planner.cli.show_lever import lever_lines
    from planner.draw import lever_svg
    from planner.files import write_whole

    write_whole(path, lever_svg(title, drawn, lever_lines(drawn, force_n), cut))
    typer.echo(f"drawn in {path}")
