"""The next-best answers and, when there is no answer, what would have to give: on the terminal and as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text

from planner.model.effects import Alternative, Knockons, Proof

if TYPE_CHECKING:
    from rich.console import Console


def show_others(console: Console, knockons: Knockons) -> None:
    """Print each next-best answer: what it costs more, who goes where, and its links made anew."""
    if not knockons.others:
        return
    console.print(Text("\nOther answers, the next best first:", style="bold"))
    for number, other in enumerate(knockons.others, start=1):
        proof = "proved" if other.proof is Proof.PROVED else f"best found, {other.bound} at least"
        console.print(
            Text(f"  {number}. {other.cost} hand-minutes, {_more(other)} ({proof}): {'; '.join(other.moves)}")
        )
        anew = ", ".join(other.links) if other.links else "no link"
        console.print(Text(f"     made anew: {anew}", style="dim"))


def _more(other: Alternative) -> str:
    return f"{other.more} more" if other.more > 0 else "no more"


def show_held(console: Console, knockons: Knockons) -> None:
    """Print the demands that cannot hold together, each with what would have to give."""
    if not knockons.held:
        return
    console.print(
        Text("\nTake any one of these away and the others can hold (over the homes looked at):", style="bold")
    )
    for held in knockons.held:
        console.print(Text(f"  - {held.text}"))
        console.print(Text(f"      {held.gives or 'no way was found in which this alone would do'}", style="dim"))


def held_json(knockons: Knockons) -> list[dict[str, Any]]:
    """The demands that cannot hold together as plain data."""
    return [
        {"sort": h.sort, "subjects": list(h.subjects), "text": h.text, "gives": h.gives or None} for h in knockons.held
    ]


def others_json(knockons: Knockons) -> list[dict[str, Any]]:
    """The next-best answers as plain data."""
    return [
        {
            "cost_hand_min": o.cost,
            "more_hand_min": o.more,
            "bound_hand_min": o.bound,
            "proof": o.proof.value,
            "fates": dict(sorted(o.fates.items())),
            "moves": list(o.moves),
            "links_made_anew": list(o.links),
            "homes": {i: {"at_mm": list(p.at_mm), "turn_deg": list(p.turn_deg)} for i, p in sorted(o.homes.items())},
        }
        for o in knockons.others
    ]
