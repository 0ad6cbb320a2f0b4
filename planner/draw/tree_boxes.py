"""The knock-on graph as boxes and arcs: one box an effect, or one for several quiet ones of a kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx

from planner.draw.picture import plain, words_wide, wrapped
from planner.draw.sheet import Mark
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons
from planner.units import format_length

WIDE_MM, STRIP_MM = 58.0, 6.0
TAB_MM, TAB_TEXT_MM = 4.0, 2.2
ROOT = ""
_TABS, _STACK, _TEXT_LINES, _STACKED_LINES = 3, 8, 4, 4
_TAB_GAP_MM = 0.8

LETTERS = {
    EffectKind.NEW: Mark.NEW.value,
    EffectKind.GONE: Mark.GOES.value,
    EffectKind.MOVES: Mark.MOVES.value,
    EffectKind.GROWS: Mark.LARGER.value,
    EffectKind.CUT: Mark.CUT.value,
    EffectKind.REMADE: Mark.REMADE.value,
    EffectKind.ADJUSTED: Mark.SET.value,
    EffectKind.OFF_AND_BACK: Mark.BACK.value,
    EffectKind.OPENED: "V",
    EffectKind.RETESTED: "Q",
    EffectKind.MEASURED: "U",
}
"""As on the sheets of the vehicle, and for what these do not show: open (V), checkpoint (Q), unsure (U)."""
_SHORT = {
    CauseKind.ASKED: "asked for",
    CauseKind.CLASH: "clash",
    CauseKind.KEEP_CLEAR: "too close",
    CauseKind.ROOM_LOST: "room lost",
    CauseKind.MOUNTED_ON: "mounted on",
    CauseKind.HOST_CUT: "host cut",
    CauseKind.LINKED_TO: "joined",
    CauseKind.IN_THE_WAY: "in the way",
    CauseKind.RELATION: "relation",
    CauseKind.HOT_WORK: "hot work",
    CauseKind.PART_OF: "circuit",
    CauseKind.RULE: "check",
    CauseKind.DOUBT: "in doubt",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """The short reason on top of a box, at which the arc from ``source`` ends; None: no arc, only told."""

    text: str
    source: str | None
    left: float
    wide: float
    nearest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeBox:
    """Effects in one box, each with its lines of text, and the tabs of its causes."""

    effects: tuple[Effect, ...]
    texts: tuple[tuple[str, ...], ...]
    tabs: tuple[Tab, ...]


def tree_boxes(knockons: Knockons, units: str) -> tuple[TreeBox, ...]:
    """Boxes in the order of the effects.

    Effects of one kind that are nobody's nearest cause stand together, up to eight, under their own nearest cause;
    of their other causes only the numbers are told. Of any other effect the first three sources have tabs.
    """
    number = effect_numbers(knockons)
    nearest = {e.causes[0].source for e in knockons.effects if e.causes}
    shut = _backward(knockons)
    groups: dict[tuple[EffectKind, str], list[Effect]] = {}
    for effect in knockons.effects:
        if effect.id not in nearest and effect.causes:
            groups.setdefault((effect.kind, effect.causes[0].source), []).append(effect)
    stacked = {e.id: (key, n) for key, group in groups.items() if len(group) > 1 for n, e in enumerate(group)}
    boxes = []
    for effect in knockons.effects:
        if effect.id not in stacked:
            boxes.append(_single(effect, shut, units, number))
            continue
        key, n = stacked[effect.id]
        if n % _STACK == 0:
            boxes.append(_stack(groups[key][n : n + _STACK], units, number))
    return tuple(boxes)


def effect_numbers(knockons: Knockons) -> dict[str, int]:
    """Number of each effect, from 1 in their order."""
    return {e.id: n for n, e in enumerate(knockons.effects, 1)}


def _backward(knockons: Knockons) -> set[tuple[str, str]]:
    """Pairs of cause and effect that would close a circle with those told before: they have no arc."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(e.id for e in knockons.effects)
    shut = set()
    firsts = [(c.source, e.id) for e in knockons.effects for c in e.causes[:1]]
    rest = [(c.source, e.id) for e in knockons.effects for c in e.causes[1:]]
    for source, target in dict.fromkeys(firsts + rest):
        if source not in graph or nx.has_path(graph, target, source):
            shut.add((source, target))
        else:
            graph.add_edge(source, target)
    return {pair for pair in shut if pair[0] != ROOT}


def short_words(cause: Cause, units: str) -> str:
    """A cause in a word or two, with its length where it has one; of a link how much it has too little or too much."""
    if cause.mm is None:
        return _SHORT[cause.kind]
    if cause.kind is CauseKind.LINKED_TO:
        return f"{format_length(abs(cause.mm), units)} too {'short' if cause.mm > 0 else 'long'}"
    return f"{_SHORT[cause.kind]} {format_length(cause.mm, units)}"


def _from_words(cause: Cause, units: str, number: dict[str, int]) -> str:
    """The same with the number of the effect it comes from."""
    told = short_words(cause, units)
    return f"{number[cause.source]}: {told}" if cause.source in number else told


def _single(effect: Effect, shut: set[tuple[str, str]], units: str, number: dict[str, int]) -> TreeBox:
    first: dict[str, Cause] = {}
    for cause in effect.causes:
        first.setdefault(cause.source, cause)
    told = [(_from_words(c, units, number), None if (s, effect.id) in shut else s) for s, c in first.items()]
    texts = wrapped(f"{number[effect.id]}  {effect.text}", _room(), most=_TEXT_LINES)
    return TreeBox(effects=(effect,), texts=(texts,), tabs=_tabs(told, len(effect.causes)))


def _stack(group: Sequence[Effect], units: str, number: dict[str, int]) -> TreeBox:
    words = {_from_words(e.causes[0], units, number) for e in group}
    kinds = {_SHORT[e.causes[0].kind] for e in group}
    text = words.pop() if len(words) == 1 else kinds.pop() if len(kinds) == 1 else "several reasons"
    texts = tuple(wrapped(_with_more(e, number), _room(), most=_STACKED_LINES) for e in group)
    source = group[0].causes[0].source
    return TreeBox(
        effects=tuple(group), texts=texts, tabs=_tabs([(text, source if source in {ROOT, *number} else None)], 1)
    )


def _with_more(effect: Effect, number: dict[str, int]) -> str:
    """An effect with its number, cut so that what is told of its other causes still has room."""
    text = plain(f"{number[effect.id]}  {effect.text}")
    others = sorted({number.get(c.source, 0) for c in effect.causes[1:]} - {number.get(effect.causes[0].source, 0), 0})
    tail = ""
    if 0 < len(others) <= _NAMED:
        tail = f" (also {', '.join(map(str, others))})"
    elif others:
        tail = f" (also {', '.join(map(str, others[: _NAMED - 1]))} and {len(others) - _NAMED + 1} more)"
    room = _STACKED_LINES * (_room() - 8.0)
    while words_wide(text + tail) > room:
        text = text.removesuffix("...")[:-1].rstrip() + "..."
    return text + tail


_NAMED = 4


def _room() -> float:
    return WIDE_MM - STRIP_MM - 3.0


def _tabs(told: Sequence[tuple[str, str | None]], causes: int) -> tuple[Tab, ...]:
    tabs: list[Tab] = []
    x = STRIP_MM
    for n, (text, source) in enumerate(told[:_TABS]):
        wide = words_wide(text, TAB_TEXT_MM) + 2.0
        # Room for the number of those left out is kept.
        if x + wide > WIDE_MM - (12.0 if causes > n + 1 else 0.0) and tabs:
            break
        tabs.append(Tab(text=text, source=source, left=x, wide=min(wide, WIDE_MM - x), nearest=n == 0))
        x += wide + _TAB_GAP_MM
    if causes > len(tabs):
        text = f"+{causes - len(tabs)}"
        wide = words_wide(text, TAB_TEXT_MM) + 2.0
        tabs.append(Tab(text=text, source=None, left=x, wide=wide, nearest=False))
    return tuple(tabs)
