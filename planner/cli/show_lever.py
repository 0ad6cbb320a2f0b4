"""Levers and lever designs on the terminal and as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.lever import FIGURES, SIZES
from planner.cli.terminal import page
from planner.sums.basis import JUDGEMENT
from planner.sums.brake_limits import PEDAL_PROOF_N, RATIO_PRACTICE
from planner.sums.lever import LEVER_BASIS, Lever, forces_at, states, summary
from planner.sums.lever_lines import FREE_MM

if TYPE_CHECKING:
    from planner.model.vehicle import Component
    from planner.sums.lever_design import Binding, Design, Found
    from planner.sums.levers_there import LeverThere

_ROWS = 9
_SIZE_WORDS = {size: name for name, (size, _) in SIZES.items()}
_FIGURE_WORDS = {figure: name for name, figure in FIGURES.items()}


def lever_lines(lever: Lever, force_n: float) -> list[str]:
    """What matters of a lever, a line each."""
    whole = summary(lever)
    full = forces_at(lever, lever.travel_deg, force_n)
    play = [gap * whole.ratio_rest for gap in FREE_MM]
    ratios = f"{whole.ratio_rest:.2f} at rest, {whole.ratio_full:.2f} at the end, {whole.ratio_mean:.2f} over all"
    gaps = f"{FREE_MM[0]:g} to {FREE_MM[1]:g} mm between rod and piston (common practice)"
    sides = f"{full.side_n:.0f} N sideways on its bore, {full.pivot_n:.0f} N on the pivot"
    borne = f"{full.piston_n:.0f} N on the piston, {sides}"
    proof = f"{PEDAL_PROOF_N * whole.ratio_full:.0f} N on the piston"
    return [
        f"stroke {whole.stroke_mm:.1f} mm in {abs(lever.travel_deg):.1f} deg of travel; ratio {ratios}",
        f"the rod leans {whole.rod_most_deg:.1f} deg at most; the pad goes {whole.pad_arc_mm:.0f} mm along its arc",
        f"free play at the pad {play[0]:.1f} to {play[1]:.1f} mm, for {gaps}",
        f"{force_n:.0f} N at the pad: {borne}",
        f"{PEDAL_PROOF_N:.0f} N, the load a pedal must take by Formula Student rules: {proof}",
    ]


def show_levers(name: str, levers: Sequence[LeverThere], parts: Mapping[str, Component], force_n: float) -> None:
    """Print every lever through its travel."""
    with page() as console:
        console.print(Text(name, style="bold"))
        for each in levers:
            _show_one(console, each, parts, force_n, shared=sum(x.part == each.part for x in levers) > 1)
        _show_limits(console)


def _show_one(
    console: Console, each: LeverThere, parts: Mapping[str, Component], force_n: float, *, shared: bool
) -> None:
    console.print()
    head = f"{parts[each.part].name}, rod `{each.link}`, {parts[each.cylinder].name}"
    console.rule(Text(head, style="bold"), align="left")
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="dim")
    for title in ("turned", "stroke", "ratio", "rod leans", "pad at x, z"):
        table.add_column(title, justify="right", no_wrap=True)
    for state in states(each.lever, _ROWS):
        table.add_row(
            f"{abs(state.angle_deg):.1f} deg",
            f"{state.stroke_mm:.1f} mm",
            f"{state.ratio:.2f}",
            f"{state.rod_deg:.1f} deg",
            f"{state.pad_mm[0]:.0f}, {state.pad_mm[1]:.0f} mm",
        )
    console.print(table)
    for line in lever_lines(each.lever, force_n):
        console.print(Text(line))
    for warning in summary(each.lever).warnings:
        console.print(Text(f"! {warning}", style="bold"))
    if shared:
        told = f"the {parts[each.part].name} has another rod: what is said of forces is that of both together"
        console.print(Text(told, style="bold"))
    for note in each.notes:
        console.print(Text(f"taken for granted: {note}", style="dim"))


def _show_limits(console: Console) -> None:
    low, high = RATIO_PRACTICE["without servo"]
    console.print()
    console.print(
        Text(f"Brake pedals without a servo are built from {low:g} to {high:g} to 1 (common practice).", style="dim")
    )
    console.print(Text(f"Taken for granted: {'; '.join(LEVER_BASIS.assumed)}.", style="dim"))
    console.print(Text(f"Not covered: {'; '.join(LEVER_BASIS.not_covered)}.", style="dim"))
    console.print(Text(f"This is {JUDGEMENT}.", style="bold"))


def show_design(name: str, each: LeverThere, design: Design, parts: Mapping[str, Component]) -> None:
    """Print the best layout, the one that can be marked out, what binds, the region, others, holes."""
    with page() as console:
        console.print(Text(f"{name}: {parts[each.part].name}, rod `{each.link}`", style="bold"))
        if design.best.room < 0.0:
            console.print(Text("No layout in these ranges gives all that is wanted. The nearest:", style="bold"))
            _show_found(console, design.best)
            for binding in design.best.binding:
                console.print(Text(f"in the way: {_binding_words(binding)}"))
            return
        looked = f"{design.looked_at:,} layouts looked at, {design.share:.1%} of the ranges gives all that is wanted."
        console.print(looked)
        console.print(Text("The one to mark out (most room for error, rounded):", style="bold"))
        _show_found(console, design.marked if design.marked.room >= 0.0 else design.best)
        console.print(Text("It is bound by " + "; ".join(_binding_words(b) for b in design.best.binding), style="dim"))
        _show_region(console, design)
        if design.others:
            console.print(Text("Others that do, elsewhere:", style="bold"))
            for other in design.others:
                _show_found(console, other)
        if design.holes:
            console.print(Text("Two holes worth drilling in one arm (a rod made for each):", style="bold"))
            for hole in design.holes:
                _show_found(console, hole)
        _show_limits(console)


def _show_found(console: Console, found: Found) -> None:
    sizes = ", ".join(f"{_SIZE_WORDS[k]} {v:.1f}" for k, v in found.sizes.items())
    gives = ", ".join(f"{_FIGURE_WORDS[k]} {found.figures[k]:.2f}" for k in _TOLD)
    console.print(Text(f"  {sizes}: {gives}"))


_TOLD = ("ratio_mean", "stroke_mm", "rod_mm", "rod_most_deg")


def _show_region(console: Console, design: Design) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="dim")
    for title in ("size", "gives all from", "to", "one step off costs"):
        table.add_column(title, justify="left" if title == "size" else "right", no_wrap=True)
    for size, (low, high) in design.region.items():
        lost = design.drilling[size]
        share = f"{lost / design.best.room:.0%} of the room" if design.best.room > 0.0 else ""
        table.add_row(_SIZE_WORDS[size], f"{low:.1f}", f"{high:.1f}", share)
    console.print(table)


def _binding_words(binding: Binding) -> str:
    """One band's side, with what is left to it."""
    return f"{_FIGURE_WORDS[binding.figure]} {binding.side} {binding.limit:g} (it is {binding.value:.2f})"


def lever_json(each: LeverThere, force_n: float) -> dict[str, Any]:
    """A lever as plain data."""
    whole = asdict(summary(each.lever))
    whole.pop("basis")
    return {
        "part": each.part,
        "rod": each.link,
        "cylinder": each.cylinder,
        "lever": asdict(each.lever),
        "summary": whole,
        "states": [asdict(s) for s in states(each.lever, _ROWS)],
        "force_n": force_n,
        "forces_at_end": asdict(forces_at(each.lever, each.lever.travel_deg, force_n)),
        "notes": list(each.notes),
        "assumed": list(LEVER_BASIS.assumed),
        "not_covered": list(LEVER_BASIS.not_covered),
    }


def design_json(each: LeverThere, design: Design) -> dict[str, Any]:
    """A design as plain data."""

    def told(found: Found) -> dict[str, Any]:
        return {
            "sizes": {_SIZE_WORDS[k]: v for k, v in found.sizes.items()},
            "figures": {_FIGURE_WORDS.get(k, k): v for k, v in found.figures.items()},
            "room": found.room,
            "binding": [asdict(b) for b in found.binding],
        }

    return {
        "part": each.part,
        "rod": each.link,
        "best": told(design.best),
        "marked": told(design.marked),
        "others": [told(o) for o in design.others],
        "holes": [told(h) for h in design.holes],
        "share": design.share,
        "region": {_SIZE_WORDS[k]: list(v) for k, v in design.region.items()},
        "drilling": {_SIZE_WORDS[k]: v for k, v in design.drilling.items()},
        "looked_at": design.looked_at,
    }
