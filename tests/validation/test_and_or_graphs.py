"""Sizes of AND/OR graphs of assemblies (Homem de Mello & Sanderson), free of geometry.

Source of the notion: L. S. Homem de Mello and A. C. Sanderson, AND/OR graph representation of assembly plans, IEEE
Transactions on Robotics and Automation 6 (1990) 188-199; formulas for the chain and the complete graph: values from
memory; the rest counted apart by plain enumeration over subsets.

What it shows: a graph of parts becomes a work list in which each set of parts is a feature ("is one piece"), which
two smaller pieces that touch may make, in as many ways as there are. The model is told nothing about which sets
hold together. All orders its step rules allow must then reach exactly the subassemblies (nodes), in exactly the
ways (cuts) of the AND/OR graph; and orders with the same thread (what stays in order, the rest may float) must be
as many as there are assembly trees.
"""

from __future__ import annotations

from itertools import combinations
from math import comb, factorial, prod

import pytest
from all_orders import all_orders, shape
from worklists import feature, toggle, work_list

from planner.model.effects import Proof
from planner.model.work import WorkList
from planner.order import least_strip
from planner.order.thread import thread_of

GRAPHS = {
    "chain": lambda n: [(i, i + 1) for i in range(n - 1)],
    "star": lambda n: [(0, i) for i in range(1, n)],
    "cycle": lambda n: [(i, (i + 1) % n) for i in range(n)],
    "complete": lambda n: list(combinations(range(n), 2)),
}
# Graph: nodes, cuts, assembly trees for 3, 4, 5 and 6 parts.
TABLE = {
    "chain": [(6, 4, 2), (10, 10, 5), (15, 20, 14), (21, 35, 42)],
    "star": [(6, 4, 2), (11, 12, 6), (20, 32, 24), (37, 80, 120)],
    "cycle": [(7, 6, 3), (13, 18, 10), (21, 40, 35), (31, 75, 126)],
    "complete": [(7, 6, 3), (15, 25, 15), (31, 90, 105), (63, 301, 945)],
}
CASES = [(graph, n) for graph in GRAPHS for n in (3, 4, 5, 6)]


def name(parts: tuple[int, ...]) -> str:
    return "piece-" + "".join(map(str, parts))


def halves(parts: tuple[int, ...]) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    rest = parts[1:]
    lefts = [(parts[0], *more) for r in range(len(rest)) for more in combinations(rest, r)]
    return [(left, tuple(p for p in parts if p not in left)) for left in lefts]


def assembly(graph: str, size: int) -> WorkList:
    edges = GRAPHS[graph](size)
    sets = [s for r in range(2, size + 1) for s in combinations(range(size), r)]

    def way(left: tuple[int, ...], right: tuple[int, ...]) -> list[str]:
        """Both halves are there, and neither is part of anything larger yet."""
        there = [name(half) for half in (left, right) if len(half) > 1]
        larger = [s for s in sets if any(set(half) < set(s) for half in (left, right)) and set(s) != {*left, *right}]
        return there + [f"not {name(s)}" for s in larger]

    made = []
    for parts in sets:
        touching = [
            (left, right)
            for left, right in halves(parts)
            if any((a in left) != (b in left) and {a, b} <= set(parts) for a, b in edges)
        ]
        ways = [way(left, right) for left, right in touching]
        missing = "off" if touching else "both"
        goal = True if len(parts) == size else None
        on = toggle(name(parts), True, 1, ways=ways)
        made.append(feature(name(parts), start=False, goal=goal, on=on, missing=missing))
    return work_list(made, [])


@pytest.mark.parametrize(("graph", "size"), CASES)
def test_nodes_cuts_and_trees(graph: str, size: int) -> None:
    work = assembly(graph, size)
    nodes: set[str] = set()
    cuts: set[tuple[str, frozenset[str]]] = set()
    trees = set()
    for steps in all_orders(work):
        there: set[str] = set()
        for step in steps:
            # Of the pieces there are, those that go into this one and into nothing else yet.
            inside = {p for p in there if set(p[6:]) < set(step.ref[6:])}
            inside = {p for p in inside if not any(set(p[6:]) < set(q[6:]) for q in inside)}
            cuts.add((step.ref, frozenset(inside)))
            there.add(step.ref)
        nodes |= there
        trees.add(shape(thread_of(work, steps)))
    # Single parts are nodes as well.
    assert (len(nodes) + size, len(cuts), len(trees)) == TABLE[graph][size - 3]


@pytest.mark.parametrize("size", [3, 4, 5, 6])
def test_formulas_give_the_table(size: int) -> None:
    n = size
    chain = (n * (n + 1) // 2, (n**3 - n) // 6, comb(2 * n - 2, n - 1) // n)
    assert chain == TABLE["chain"][n - 3]
    assert TABLE["star"][n - 3][2] == factorial(n - 1)
    complete = (2**n - 1, (3**n - 2 ** (n + 1) + 1) // 2, prod(range(1, 2 * n - 2, 2)))
    assert complete == TABLE["complete"][n - 3]


@pytest.mark.parametrize("graph", GRAPHS)
def test_least_assembly_is_one_step_fewer_than_parts(graph: str) -> None:
    strip = least_strip(assembly(graph, 5))
    assert (strip.proof, strip.cost, len(strip.steps)) == (Proof.PROVED, 4, 4)
