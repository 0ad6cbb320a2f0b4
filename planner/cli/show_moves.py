"""The knock-on tree on the terminal."""

from __future__ import annotations

from collections import defaultdict

from rich.console import Console
from rich.text import Text
from rich.tree import Tree

from planner.model.effects import Cause, Effect, EffectKind, Knockons, Proof
from planner.model.job import Job
from planner.model.vehicle import Vehicle

_MARK = {
    EffectKind.NEW: "new",
    EffectKind.GONE: "goes",
    EffectKind.MOVES: "MOVES",
    EffectKind.GROWS: "grows",
    EffectKind.CUT: "cut",
    EffectKind.REMADE: "remake",
    EffectKind.ADJUSTED: "adjust",
    EffectKind.OFF_AND_BACK: "off+back",
    EffectKind.OPENED: "OPENED",
    EffectKind.RETESTED: "check",
    EffectKind.MEASURED: "measure",
}
_LOUD = {EffectKind.MOVES, EffectKind.OPENED}
_ASIDE = {EffectKind.RETESTED, EffectKind.MEASURED}


def show_moves(vehicle: Vehicle, job: Job, knockons: Knockons, *, every: bool) -> None:
    """Print the tree of effects, each under its nearest cause, and what the choice of homes is worth."""
    console = Console(highlight=False)
    console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
    if knockons.proof is Proof.NONE:
        console.print("No answer: these cannot hold together.")
        for line in knockons.trouble:
            console.print(Text(f"  - {line}"))
        return
    console.print(_headline(knockons))
    console.print(_tree(knockons, every=every))
    _show_measures(console, knockons)
    _show_checks(console, knockons, every=every)
    if not every:
        console.print(Text("--every shows every cause; `knockon plan` puts the work in order", style="dim"))


def _headline(knockons: Knockons) -> str:
    asked = sum(1 for e in knockons.effects if any(not c.source for c in e.causes) and e.kind not in _ASIDE)
    told = sum(1 for e in knockons.effects if e.kind not in _ASIDE)
    moved = sum(1 for e in knockons.effects if e.kind is EffectKind.MOVES and all(c.source for c in e.causes))
    if told == asked:
        return f"{_count(asked, 'thing')} asked for. Nothing else has to give way."
    proof = (
        "the cheapest homes, proved"
        if knockons.proof is Proof.PROVED
        else f"best homes found, {knockons.bound} hand-minutes at least"
    )
    homes = f" New homes and links cost {knockons.cost} hand-minutes ({proof})." if knockons.cost else ""
    return (
        f"{_count(asked, 'thing')} asked for, {told - asked} more follow: "
        f"{_count(moved, 'part')} must move that you did not ask to move.{homes}"
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _tree(knockons: Knockons, *, every: bool) -> Tree:
    children: dict[str, list[Effect]] = defaultdict(list)
    for effect in knockons.effects:
        if effect.kind not in _ASIDE:
            children[effect.causes[0].source if effect.causes else ""].append(effect)
    tree = Tree(Text("the job", style="dim"), guide_style="dim")
    _grow(tree, children, "", every=every)
    return tree


def _grow(branch: Tree, children: dict[str, list[Effect]], source: str, *, every: bool) -> None:
    for effect in children.get(source, []):
        label = Text(f"{_MARK[effect.kind]:8} ", style="bold" if effect.kind in _LOUD else "dim")
        label.append(effect.text)
        for line in _reasons(effect, every=every):
            label.append(f"\n{line}", style="dim")
        _grow(branch.add(label), children, effect.id, every=every)


def _reasons(effect: Effect, *, every: bool) -> list[str]:
    causes = [c for c in effect.causes if c.source]
    if not causes:
        return []
    first, rest = causes[0], causes[1:]
    lines = [f"because {first.text}"]
    if every:
        return lines + [f"and because {c.text}" for c in rest]
    return [*lines, f"and {_count(len(rest), 'more cause')}"] if rest else lines


def _show_measures(console: Console, knockons: Knockons) -> None:
    measures = [e for e in knockons.effects if e.kind is EffectKind.MEASURED]
    if measures:
        console.print(Text("\nTo be measured before metal is cut:", style="bold"))
    for effect in measures:
        console.print(Text(f"  - {effect.text}: {effect.causes[0].text}"))


def _show_checks(console: Console, knockons: Knockons, *, every: bool) -> None:
    checks = [e for e in knockons.effects if e.kind is EffectKind.RETESTED]
    if not checks:
        return
    console.print(Text(f"\n{_count(len(checks), 'check')} stand between this job and the road:", style="bold"))
    for effect in checks:
        console.print(Text(f"  - {effect.text}"))
        if every:
            for cause in effect.causes:
                console.print(Text(f"      {_because(cause)}", style="dim"))


def _because(cause: Cause) -> str:
    return f"because {cause.text}"
