"""What to measure, on the terminal and as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich.console import Console
from rich.text import Text

from planner.cli.as_json import SCHEMA
from planner.cli.terminal import indented, page
from planner.knockon import End, Measured, Weighed
from planner.knockon.size_words import size_words
from planner.model.effects import EffectKind, Knockons, Proof
from planner.model.job import Job
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component, Vehicle
from planner.shelf.draft import ALTERED, Draft
from planner.units import format_length

_TAPE_MM = 0.5
"""Finer than this no tape reads."""
_ASIDE = {EffectKind.RETESTED, EffectKind.MEASURED}


def show_measured(vehicle: Vehicle, job: Job, answer: Measured) -> None:
    """Print the sizes that decide something, the most minutes first, each with what follows at its ends."""
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
        console.print(_head(answer))
        for number, weighed in enumerate(answer.weighed, start=1):
            _show(console, vehicle.units, number, weighed)
        _show_rest(console, answer)


def _head(answer: Measured) -> str:
    cost = f"By the sizes as they stand new homes and links cost {answer.cost_min} hand-minutes."
    count = len(answer.weighed)
    if not count:
        return f"{cost} No single size in doubt changes that, nor what has to move."
    sizes = "1 size in doubt decides" if count == 1 else f"{count} sizes in doubt decide"
    return f"{cost} {sizes} that: measure before metal is cut, the first most."


def _show(console: Console, units: str, number: int, weighed: Weighed) -> None:
    size = weighed.size
    known = known_words(size, units)
    console.print(Text(f"\n{number}. {weighed.words}", style="bold"))
    console.print(Text(f"   {size.name}: {known} in the file; {_exactness(weighed.to_mm, units)}"))
    for text in weighed.decides:
        console.print(Text(f"   decides {text}"))
    for end in (weighed.low, weighed.high):
        if not end.same:
            console.print(Text(f"   at {format_length(end.mm, units)}: {_follows(end)}"))


def known_words(size: TapeSize, units: str) -> str:
    """A size and its doubt, as the owner writes them."""
    doubt = f" +/- {format_length(size.doubt_mm, units)}" if size.doubt_mm > 0.0 else ""
    return f"{format_length(size.mm, units)}{doubt}"


def _exactness(to_mm: float, units: str) -> str:
    if to_mm < _TAPE_MM:
        told = format_length(to_mm, units) if units == "inch" else f"{int(to_mm * 10) / 10:g} mm"
        return f"no tape settles it (to {told}): leave more room, or settle it at a trial fit"
    steps = int(to_mm / _TAPE_MM) * _TAPE_MM
    return f"measure it to {format_length(steps, units)}"


def _follows(end: End) -> str:
    if end.more_min is None:
        return f"the job has no answer: {end.trouble[0]}" if end.trouble else "the job has no answer"
    told = [f"{abs(end.more_min)} hand-minutes {'more' if end.more_min > 0 else 'less'}"] if end.more_min else []
    told += end.gained
    told += [f"no longer: {text}" for text in end.lost]
    return "; ".join(told)


def _show_rest(console: Console, answer: Measured) -> None:
    console.print()
    if answer.left:
        console.print(f"{answer.left} more decide something by themselves and were not worked through (--most).")
    if answer.together:
        console.print(Text("Turned over only by several sizes out the same way:"))
        for text in answer.together:
            console.print(Text(f"  - {text}"))
    console.print(f"{answer.idle} sizes in doubt change nothing at either end.")
    names = "what the sizes of a part are called: knockon measure PROJECT JOB PART"
    console.print(Text(names, style="dim"))
    if answer.weighed:
        first = answer.weighed[0]
        value = f"{(first.high if first.low.same else first.low).mm:g}"
        console.print(Text(f'--try "{first.size.name}={value} mm" shows all that another size does', style="dim"))


def show_names(draft: Draft, part: Component, sizes: Mapping[str, TapeSize], units: str) -> None:
    """Print what the sizes of one part are called, and what each is."""
    with page() as console:
        console.print(Text(part.name, style="bold"))
        wide = max(map(len, sizes), default=0)
        for name, size in sizes.items():
            console.print(indented(f"{name:<{wide}}  {known_words(size, units)}, {_named(draft, part, name)}"))
        console.print(Text('knockon record size NAME "VALUE" writes down what was measured', style="dim"))


def names_json(draft: Draft, part: Component, sizes: Mapping[str, TapeSize]) -> dict[str, Any]:
    """The same as plain data."""
    told = [
        {"size": n, "words": _named(draft, part, n), "mm": round(s.mm, 3), "doubt_mm": round(s.doubt_mm, 3)}
        for n, s in sizes.items()
    ]
    return {"schema": SCHEMA, "part": part.id, "sizes": told}


def _named(draft: Draft, part: Component, name: str) -> str:
    words = size_words(draft.size(draft.before(name)), part)
    return words if draft.altered(name) is None else f"{words}, once it is back from being altered"


def measured_json(answer: Measured) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "schema": SCHEMA,
        "cost_hand_min": answer.cost_min,
        "sizes": [_weighed_json(w) for w in answer.weighed],
        "idle": answer.idle,
        "left": answer.left,
        "together": list(answer.together),
    }


def _weighed_json(weighed: Weighed) -> dict[str, Any]:
    size = weighed.size
    return {
        "size": size.name,
        "words": weighed.words,
        "mm": round(size.mm, 3),
        "doubt_mm": round(size.doubt_mm, 3),
        "needed_to_mm": round(weighed.to_mm, 2),
        "stake_hand_min": weighed.stake_min,
        "no_answer_at_an_end": weighed.stake_min is None,
        "decides": list(weighed.decides),
        "low": _end_json(weighed.low),
        "high": _end_json(weighed.high),
    }


def _end_json(end: End) -> dict[str, Any]:
    return {
        "mm": round(end.mm, 3),
        "more_hand_min": end.more_min,
        "gained": list(end.gained),
        "lost": list(end.lost),
        "trouble": list(end.trouble),
    }


Tried = dict[str, tuple[TapeSize, str]]


def show_tried(vehicle: Vehicle, job: Job, tried: Tried, before: Knockons, after: Knockons) -> None:
    """Print how the answer differs with other sizes; nothing is written."""
    gained, lost, other = _differences(before, after)
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}", style="bold"))
        for name, (size, value) in tried.items():
            known = known_words(size, vehicle.units)
            said = "as the job makes it" if name.startswith(f"{size.part}.{ALTERED}") else "the file has"
            console.print(Text(f"tried, and not written: {name} = {value} ({said} {known})"))
        console.print(Text(_cost_line(before, after)))
        for line in dict.fromkeys(after.trouble):
            console.print(Text(f"  - {line}"))
        if after.proof is not Proof.NONE and before.proof is not Proof.NONE:
            for head, told in (("New:", gained), ("No longer:", lost), ("Otherwise than before:", other)):
                if told:
                    console.print(Text(head, style="bold"))
                for text in told:
                    console.print(Text(f"  - {text}"))
            if not (gained or lost or other):
                console.print("What moves, what is made anew, what comes off and what is tested stay the same.")


def _cost_line(before: Knockons, after: Knockons) -> str:
    if after.proof is Proof.NONE:
        return "No answer then: these cannot hold together."
    if before.proof is Proof.NONE:
        return f"The job has an answer then: new homes and links cost {after.cost} hand-minutes."
    more = after.cost - before.cost
    change = "as before" if not more else f"{abs(more)} {'more' if more > 0 else 'less'} than by the file"
    return f"New homes and links cost {after.cost} hand-minutes, {change}."


def _differences(before: Knockons, after: Knockons) -> tuple[list[str], list[str], list[str]]:
    """Texts of the effects that are new, gone, or told otherwise."""
    old, new = (
        {e.id: _told(e.kind, e.text, e.causes[0].text if e.causes else "") for e in k.effects} for k in (before, after)
    )
    gained = [text for i, text in new.items() if i not in old]
    lost = [text for i, text in old.items() if i not in new]
    other = [text for i, text in new.items() if i in old and old[i] != text]
    return gained, lost, other


def _told(kind: EffectKind, text: str, cause: str) -> str:
    return f"{text}: {cause}" if kind is EffectKind.MEASURED else text


def tried_json(tried: Tried, before: Knockons, after: Knockons) -> dict[str, Any]:
    """The same as plain data."""
    gained, lost, other = _differences(before, after)
    return {
        "schema": SCHEMA,
        "tried": {name: value for name, (_, value) in tried.items()},
        "proof": after.proof.value,
        "cost_hand_min": after.cost,
        "cost_hand_min_by_the_file": before.cost,
        "gained": gained,
        "lost": lost,
        "otherwise": other,
        "trouble": list(dict.fromkeys(after.trouble)),
    }
