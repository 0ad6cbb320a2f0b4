"""The effects as a graph with the job at its root."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import networkx as nx

from planner.model.effects import Cause, CauseKind, Effect, EffectKind

ROOT = ""
ASKED_TEXT = "the job asks for it"


def effect_id(kind: EffectKind, subject: str) -> str:
    """Id of the effect of a kind on a subject."""
    return f"{kind.value}:{subject}"


class EffectBook:
    """Collects causes by effect while the engine finds them, then puts them in order from the job outward."""

    def __init__(self) -> None:
        self._texts: dict[str, tuple[EffectKind, str, str]] = {}
        self._causes: dict[str, dict[Cause, None]] = defaultdict(dict)

    def add(self, kind: EffectKind, subject: str, text: str, causes: Iterable[Cause]) -> str:
        """Note an effect and its causes; noting it again adds to its causes."""
        key = effect_id(kind, subject)
        self._texts.setdefault(key, (kind, subject, text))
        self._causes[key].update(dict.fromkeys(c for c in causes if c.source != key))
        return key

    def has(self, key: str) -> bool:
        """Whether the effect was noted."""
        return key in self._texts

    def ids(self) -> list[str]:
        """Ids of all effects noted so far, in the order they were found."""
        return list(self._texts)

    def of_kind(self, *kinds: EffectKind) -> list[str]:
        """Subjects of the effects of these kinds, in the order they were found."""
        return [subject for kind, subject, _ in self._texts.values() if kind in kinds]

    def effects(self) -> tuple[Effect, ...]:
        """Every effect, breadth first from the job; each effect's causes begin with the nearest."""
        graph = nx.DiGraph([(c.source, key) for key, causes in self._causes.items() for c in causes])
        graph.add_node(ROOT)
        far = nx.single_source_shortest_path_length(graph, ROOT)
        order = {key: n for n, key in enumerate(self._texts)}
        keys = sorted(self._texts, key=lambda k: (far.get(k, len(order)), order[k]))
        return tuple(
            Effect(
                id=key,
                kind=self._texts[key][0],
                subject=self._texts[key][1],
                text=self._texts[key][2],
                causes=tuple(
                    sorted(
                        self._causes[key],
                        key=lambda c: (far.get(c.source, len(order)), _WEIGHT[c.kind], c.text),
                    )
                ),
            )
            for key in keys
        )


_WEIGHT = {kind: n for n, kind in enumerate(CauseKind)}


def resting_only_on(effects: tuple[Effect, ...], dropped: Iterable[tuple[str, str]]) -> frozenset[str]:
    """Effects that no longer follow from the job when some (source, effect) arcs are taken away."""
    cut = set(dropped)
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node(ROOT)
    graph.add_edges_from((c.source, e.id) for e in effects for c in e.causes if (c.source, e.id) not in cut)
    reached = nx.descendants(graph, ROOT)
    return frozenset(e.id for e in effects if e.id not in reached)
