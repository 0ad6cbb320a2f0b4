"""The knock-on tree on the terminal."""

from __future__ import annotations

from collections import defaultdict

from rich.console import Console
from rich.text import Text
from rich.tree import Tree

from planner.cli.asked_change import ASKED
from planner.cli.show_heads import show_failing, show_faults
from planner.cli.show_others import show_held, show_others
from planner.cli.terminal import page
from planner.knockon import ASKED_TEXT
from planner.model.effects import Effect, EffectKind, Knockons, Proof
from planner.model.guessed import size_is_guessed
from planner.model.job import Add, Job, Replace
from planner.model.vehicle import Vehicle

_ASIDE = {EffectKind.RETESTED, EffectKind.MEASURED, EffectKind.OPENED}
"""Told in lists of their own below the tree."""


def show_moves(vehicle: Vehicle, job: Job, knockons: Knockons, *, every: bool, faults: int) -> None:
    """Print the tree of effects, each under its nearest cause, and what the choice of homes is worth."""
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
        show_faults(console, faults)
        _show_guesses(console, job)
        if knockons.proof is not Proof.NONE:
            show_failing(console, vehicle, job, knockons, more_only=job.id == ASKED)
        _show(console, knockons, every=every)


def _show(console: Console, knockons: Knockons, *, every: bool) -> None:
    if knockons.proof is Proof.NONE:
        console.print("No answer: these cannot hold together.")
        for line in knockons.trouble:
            console.print(Text(f"  - {line}"))
        show_held(console, knockons)
        return
    console.print(_headline(knockons))
    tree = _tree(knockons, every=every)
    if tree.children:
        console.print(tree)
    _show_leaves(console, knockons, alone=not tree.children)
    _show_aside(console, knockons, EffectKind.OPENED, "{n} opened, to be filled, bled or set again:", every=every)
    show_others(console, knockons)
    _show_measures(console, knockons)
    _show_aside(console, knockons, EffectKind.RETESTED, "{n} between this job and the road:", every=every)
    if not every:
        console.print(Text("\n--every shows every cause; `knockon plan` puts the work in order", style="dim"))


def _show_guesses(console: Console, job: Job) -> None:
    """New parts that nobody has measured: whatever is told here rests on a guess."""
    added = (c.component for c in job.changes if isinstance(c, Add | Replace))
    for part in (p for p in added if size_is_guessed(p)):
        told = f"! the size of {part.name} was never measured, it is a guess, and all that is told here rests on it"
        console.print(Text(told, style="bold"))


def _headline(knockons: Knockons) -> str:
    asked = sum(1 for e in knockons.effects if any(not c.source for c in e.causes) and e.kind not in _ASIDE)
    told = sum(1 for e in knockons.effects if e.kind not in _ASIDE)
    moved = sum(1 for e in knockons.effects if e.kind is EffectKind.MOVES and all(c.source for c in e.causes))
    if told == asked:
        return f"{_count(asked, 'thing')} asked for. Nothing else has to give way."
    proof = (
        f"the cheapest homes{'' if knockons.in_contact else ' on the grid'}, proved"
        if knockons.proof is Proof.PROVED
        else f"best homes found, {knockons.bound} hand-minutes at least"
    )
    others = _count(moved, "part") if moved else "no part"
    homes = f" New homes and links cost {knockons.cost} hand-minutes ({proof})." if knockons.cost else ""
    return (
        f"{_count(asked, 'thing')} asked for, {told - asked} more {'follows' if told - asked == 1 else 'follow'}: "
        f"{others} must move that you did not ask to move.{homes}"
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _children(knockons: Knockons) -> dict[str, list[Effect]]:
    children: dict[str, list[Effect]] = defaultdict(list)
    for effect in knockons.effects:
        if effect.kind not in _ASIDE:
            children[effect.causes[0].source if effect.causes else ""].append(effect)
    return children


def _tree(knockons: Knockons, *, every: bool) -> Tree:
    """Effects under their nearest cause; what is asked for and has no consequences is left to the list below."""
    children = _children(knockons)
    tree = Tree(Text("the job", style="dim"), guide_style="dim")
    children[""] = [e for e in children[""] if e.id in children or e.kind is EffectKind.OFF_AND_BACK]
    _grow(tree, children, "", every=every)
    return tree


def _show_leaves(console: Console, knockons: Knockons, *, alone: bool) -> None:
    children = _children(knockons)
    quiet = [e for e in children[""] if e.id not in children and e.kind is not EffectKind.OFF_AND_BACK]
    if quiet:
        told = "; ".join(e.text for e in quiet)
        head = "Asked for" if alone else "\nAsked for as well, and nothing has to give way for it"
        console.print(Text(f"{head}: {told}."))


def _grow(branch: Tree, children: dict[str, list[Effect]], source: str, *, every: bool) -> None:
    for effect in children.get(source, []):
        label = Text(effect.text, style="bold" if effect.kind is EffectKind.MOVES else "")
        for line in _reasons(effect, every=every):
            label.append(f"\n{line}", style="not bold dim")
        _grow(branch.add(label), children, effect.id, every=every)


def _reasons(effect: Effect, *, every: bool) -> list[str]:
    causes = [c for c in effect.causes if c.text != ASKED_TEXT]
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


def _show_aside(console: Console, knockons: Knockons, kind: EffectKind, head: str, *, every: bool) -> None:
    noun = "circuit" if kind is EffectKind.OPENED else "check"
    found = [e for e in knockons.effects if e.kind is kind]
    if not found:
        return
    console.print(Text("\n" + head.format(n=_count(len(found), noun)), style="bold"))
    for effect in found:
        console.print(Text(f"  - {effect.text}"))
        if every:
            for cause in effect.causes:
                console.print(Text(f"      because {cause.text}", style="dim"))
