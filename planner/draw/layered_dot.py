"""The same graphs laid out by the dot program, through the graphviz package: only where the boxes go and arcs bend.

Everything is drawn by ourselves, so a picture looks the same whichever of the two laid it out. No text of the user's
ever reaches the program: boxes are numbers with a size.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.draw.layered import Arc, Box, Gaps, Laid
from planner.draw.sheet import Point
from planner.units import MM_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """The dot program to lay graphs out with."""

    program: Path


class DotError(RuntimeError):
    """The dot program, or the package that speaks to it, is not there or does not do its work."""


def laid_out_by_dot(boxes: Sequence[Box], arcs: Sequence[Arc], gaps: Gaps, dot: Dot) -> Laid:
    """Lay a graph out, each box in its given layer.

    Raises
    ------
    DotError
        The program failed, or its answer cannot be read.
    """
    if not boxes:
        return Laid(size=(0.0, 0.0), tops=(), curves=())
    told = _answer("\n".join(_text(boxes, arcs, gaps)), dot)
    try:
        return _read(told, boxes, arcs)
    except (ValueError, IndexError, KeyError) as error:
        raise DotError(f"the answer of {dot.program} cannot be read: {error!r}") from error


def _answer(text: str, dot: Dot) -> str:
    try:
        import graphviz  # noqa: PLC0415  # an extra that need not be there
        from graphviz.backend import dot_command  # noqa: PLC0415  # same
    except ImportError as error:
        raise DotError("the graphviz package is not installed") from error
    before = dot_command.DOT_BINARY
    dot_command.DOT_BINARY = dot.program
    try:
        with TemporaryDirectory() as folder:
            # By files: a program that ends without reading what is piped to it would end this one as well.
            asked, told = Path(folder) / "graph.gv", Path(folder) / "graph.plain"
            asked.write_text(text, encoding="utf-8")
            graphviz.render("dot", "plain", asked, outfile=told, quiet=True)
            answer = told.read_text(encoding="utf-8")
    except (graphviz.ExecutableNotFound, graphviz.CalledProcessError, OSError) as error:
        raise DotError(f"{dot.program} did not lay the graph out") from error
    finally:
        dot_command.DOT_BINARY = before
    return answer


def _text(boxes: Sequence[Box], arcs: Sequence[Arc], gaps: Gaps) -> Iterator[str]:
    yield "digraph {"
    beside, below = gaps.beside / MM_PER_INCH, gaps.below / MM_PER_INCH
    yield f"graph [rankdir=TB, nodesep={beside:.4f}, ranksep={below:.4f}, splines=true]"
    yield 'node [shape=box, fixedsize=true, label=""]'
    yield "edge [arrowhead=none, tailport=s, headport=n]"
    for n, box in enumerate(boxes):
        yield f"b{n} [width={box.wide / MM_PER_INCH:.4f}, height={box.high / MM_PER_INCH:.4f}]"
    count = max(box.layer for box in boxes) + 1
    for layer in range(count):
        members = "; ".join(f"b{n}" for n, box in enumerate(boxes) if box.layer == layer)
        yield f"{{rank=same; l{layer} [style=invis, width=0.01, height=0.01]; {members}}}"
    yield from (f"l{n} -> l{n + 1} [style=invis, weight=0]" for n in range(count - 1))
    yield from (f"b{arc.source} -> b{arc.target}" for arc in arcs)
    # A spine through all layers holds together what no arc joins, else such boxes would be set far aside.
    yield from (f"l{box.layer - 1} -> b{n} [style=invis, weight=2]" for n, box in enumerate(boxes) if box.layer)
    yield "}"


def _read(told: str, boxes: Sequence[Box], arcs: Sequence[Arc]) -> Laid:
    """Read the plain form: lengths in inches, y upwards; arcs between the same two boxes come in their own sequence."""
    middles: dict[str, Point] = {}
    lines: dict[tuple[str, str], list[list[Point]]] = {}
    for words in (shlex.split(line) for line in told.splitlines()):
        if words[:1] == ["node"]:
            middles[words[1]] = (float(words[2]) * MM_PER_INCH, -float(words[3]) * MM_PER_INCH)
        elif words[:1] == ["edge"]:
            flat = [float(w) * MM_PER_INCH for w in words[4 : 4 + 2 * int(words[3])]]
            points = [(x, -y) for x, y in zip(flat[::2], flat[1::2], strict=True)]
            lines.setdefault((words[1], words[2]), []).append(points)
    tops = [(middles[f"b{n}"][0], middles[f"b{n}"][1] - box.high / 2) for n, box in enumerate(boxes)]
    curves = [_ported(lines[f"b{a.source}", f"b{a.target}"].pop(0), tops, boxes, a) for a in arcs]
    xs = [t[0] + s * b.wide / 2 for t, b in zip(tops, boxes, strict=True) for s in (-1, 1)]
    xs += [x for curve in curves for x, _ in curve]
    ys = [y for _, y in tops] + [t[1] + b.high for t, b in zip(tops, boxes, strict=True)]
    ys += [y for curve in curves for _, y in curve]
    left, top = min(xs), min(ys)
    return Laid(
        size=(max(xs) - left, max(ys) - top),
        tops=tuple((x - left, y - top) for x, y in tops),
        curves=tuple(tuple((x - left, y - top) for x, y in curve) for curve in curves),
    )


def _ported(points: list[Point], tops: list[Point], boxes: Sequence[Box], arc: Arc) -> list[Point]:
    """An arc that begins at the very foot of its first box and ends at its own place on top of the other."""
    (x0, y0), (x1, y1) = tops[arc.source], tops[arc.target]
    end = (x1 + arc.port, y1)
    return [(x0, y0 + boxes[arc.source].high), *points[1:-2], (end[0], points[-2][1]), end]
