"""The order of work as a network: session by session, what must come after what, checkpoints with cut corners."""

from __future__ import annotations

from collections.abc import Sequence

from planner.draw.layered import Arc, Box, Gaps, laid_out
from planner.draw.lettering import num
from planner.draw.order_net import Node, Strip, must_follow, order_net
from planner.draw.picture import (
    HEAD_MM,
    LINE,
    MARGIN_MM,
    SMALL_MM,
    Form,
    Picture,
    Words,
    block,
    cut_corners,
    lines,
    picture_svg,
    rect,
    words_wide,
    wrapped,
)
from planner.draw.plan_steps import (
    FILLS,
    LOOK_OF,
    LOOKS,
    StepKind,
    in_order,
    kind_legend,
    kind_of,
    letters_of,
    number_of,
    title_of,
)
from planner.draw.sheet import Point
from planner.model.plan import Chain, Plan
from planner.model.work import WorkList
from planner.units import format_minutes
from planner.units.spoken import day_words

Items = list[Words | Form]

WIDE_MM = 277.0
_BOX_MM, _CELL_MM = 56.0, 12.0
_COLUMN_MM = 96.0
_LEAST_MM = 120.0
_TEXT_MM, _TAG_MM = 2.4, 3.4
_TEXT_LINES = 3
_RIBBON_MM = 1.7
_GAPS = Gaps(beside=3.0, below=13.0)
_LOOKS = {
    **LOOKS,
    "node": "fill:#fff;stroke:#000;stroke-width:.3",
    "check": "fill:#fff;stroke:#000;stroke-width:.7",
    "arc": "fill:none;stroke:#000;stroke-width:.35",
    "wait": "fill:none;stroke:#000;stroke-width:.35;stroke-dasharray:1.4 .9",
    "bound": "fill:none;stroke:#D55E00;stroke-width:1.1",
}
_TITLE = "What must come after what"


def draw_order(
    work: WorkList,
    plan: Plan,
    chain: Chain | None = None,
    *,
    numbers: tuple[int, ...] = (),
    name: str = "order",
    wide_mm: float = WIDE_MM,
) -> str:
    """Draw the network of steps.

    Parameters
    ----------
    work : WorkList
    plan : Plan
    chain : Chain, optional
        What binds the finish: its steps have a hatched foot, its arcs are thick.
    numbers : tuple of int, optional
        What each slot's step is called by; else its place in the plan.
    name : str
        Begins every id in the drawing.
    wide_mm : float
        How wide the drawing may be [mm]; there is room for one column at least.

    Returns
    -------
    str
        SVG text. Steps stand in columns from left to right, those of one column are free among themselves. Left out:
        arcs that follow from others (transitive reduction); arcs from an earlier session, or from further back than
        the columns of a strip, are told by number over the box instead, cut when there are many; all hands, dates
        and parcels; alternatives that were not taken. Titles are cut at three lines; tips and the twin tell all.

    Raises
    ------
    ValueError
        The slots are no valid sequence of steps.
    """
    columns = max(1, int((wide_mm - 2 * MARGIN_MM + _GAPS.below) // (_BOX_MM + _GAPS.below)))
    before = must_follow(work, plan)
    sheet = _Sheet(work, plan, numbers, before, columns)
    for strip in order_net(plan, before, chain, sheet.heights, (columns, _COLUMN_MM)):
        sheet.strip(strip)
    if not plan.slots:
        sheet.y += 6.0
        sheet.items.append(Words(at=(MARGIN_MM, sheet.y), text="Nothing is planned."))
    sheet.legend(binds=chain is not None)
    return picture_svg(
        Picture(
            name=name,
            title=_TITLE,
            about="A box for each step, session by session; an arc leads from each step to those that must come after.",
            size=(sheet.wide, sheet.y + MARGIN_MM),
            items=tuple(sheet.items),
            looks=_LOOKS,
            fills=FILLS,
        )
    )


def draw_order_words(
    work: WorkList, plan: Plan, chain: Chain | None = None, *, numbers: tuple[int, ...] = ()
) -> tuple[str, ...]:
    """The same in lines: every step, what it must directly come after, and whether it binds the finish."""
    before = must_follow(work, plan)
    bound = {t.slot for t in chain.ties} if chain is not None else set()
    told = [_TITLE]
    session = None
    for i in in_order(plan):
        slot = plan.slots[i]
        if slot.session != session:
            session = slot.session
            told.append(_session_words(plan, session))
        binds = "; binds the finish" if i in bound else ""
        number = number_of(numbers, i)
        told.append(f"  {number} {letters_of(work, slot.step)} {title_of(work, slot)}{binds}")
        if before[i]:
            told.append(f"      after {', '.join(_number_words(n, lag) for n, lag in _numbered(before[i], numbers))}")
    if not plan.slots:
        told.append("nothing is planned")
    return tuple(told)


def _numbered(before: dict[int, int], numbers: tuple[int, ...]) -> list[tuple[int, int]]:
    return sorted((number_of(numbers, o), lag) for o, lag in before.items())


def _number_words(number: int, lag: int) -> str:
    return f"{number} and {format_minutes(lag)}" if lag else str(number)


def _session_words(plan: Plan, session: int) -> str:
    found = plan.sessions[session]
    return f"{day_words(found.day)}, {found.start:%H:%M}-{found.end:%H:%M}"


class _Sheet:
    """The drawing as it grows downwards."""

    def __init__(
        self, work: WorkList, plan: Plan, numbers: tuple[int, ...], before: dict[int, dict[int, int]], columns: int
    ) -> None:
        self.work, self.plan, self.numbers = work, plan, numbers
        self.texts = {
            i: wrapped(title_of(work, s), _BOX_MM - _CELL_MM - 2.5, _TEXT_MM, most=_TEXT_LINES)
            for i, s in enumerate(plan.slots)
        }
        # Whether a step has a tag shows only when it has its column: the room for one is always kept when it may.
        self.heights = {i: self._body(i) + (_TAG_MM if before[i] else 0.0) + _GAPS.beside for i in self.texts}
        self.wide = max(2 * MARGIN_MM + columns * (_BOX_MM + _GAPS.below) - _GAPS.below, _LEAST_MM)
        self.y = MARGIN_MM + HEAD_MM
        self.items: Items = [Words(at=(MARGIN_MM, self.y), text=_TITLE, size_mm=HEAD_MM, bold=True)]

    def _body(self, slot: int) -> float:
        return max(len(self.texts[slot]), 2) * _TEXT_MM * LINE + 2.2 + _RIBBON_MM

    def strip(self, strip: Strip) -> None:
        if strip.first:
            self.y += 5.0
            self.items.append(Form(d=lines((MARGIN_MM, self.y), (self.wide - MARGIN_MM, self.y)), look="pale"))
            self.y += 4.6
            self.items.append(Words(at=(MARGIN_MM, self.y), text=_session_words(self.plan, strip.session), bold=True))
        self.y += 3.5
        nodes = strip.nodes
        place = {node.slot: n for n, node in enumerate(nodes)}
        # Laid out from the top down and turned on its side: what is wide there is high here.
        boxes = [Box(wide=self._high(n), high=_BOX_MM, layer=n.column) for n in nodes]
        arcs, kinds = self._arcs(nodes, place)
        laid = laid_out(boxes, arcs, _GAPS)
        for (look, data), curve in sorted(zip(kinds, laid.curves, strict=True), key=lambda k: k[0][0] == "arc"):
            points = [(MARGIN_MM + y, self.y + x) for x, y in curve]
            self._arc(points, look, data)
        for node, (x, y) in zip(nodes, laid.tops, strict=True):
            self._node(node, (MARGIN_MM + y, self.y + x - self._high(node) / 2))
        self.y += laid.size[0]

    def _high(self, node: Node) -> float:
        return self._body(node.slot) + (_TAG_MM if node.told else 0.0)

    def _arcs(
        self, nodes: Sequence[Node], place: dict[int, int]
    ) -> tuple[list[Arc], list[tuple[str, tuple[tuple[str, str], ...]]]]:
        arcs, kinds = [], []
        for node in nodes:
            port = _TAG_MM / 2 if node.told else 0.0
            for other, lag in node.drawn.items():
                arcs.append(Arc(source=place[other], target=place[node.slot], port=port))
                look = "bound" if node.held_by == other else "wait" if lag else "arc"
                ends = (str(number_of(self.numbers, n)) for n in (other, node.slot))
                kinds.append((look, tuple(zip(("from", "to"), ends, strict=True))))
        return arcs, kinds

    def _arc(self, points: list[Point], look: str, data: tuple[tuple[str, str], ...]) -> None:
        d = f"M{num(points[0][0])} {num(points[0][1])}C" + " ".join(f"{num(x)} {num(y)}" for x, y in points[1:])
        self.items.append(Form(d=d, look=look, data=data))
        x, y = points[-1]
        self.items.append(Form(d=f"M{num(x)} {num(y)}l-2.4 -1v2Z", look="solid"))

    def _node(self, node: Node, at: Point) -> None:
        slot = self.plan.slots[node.slot]
        number = number_of(self.numbers, node.slot)
        kind = kind_of(self.work, slot.step)
        x, y = at
        if node.told:
            self._tag(node, (x, y + _TAG_MM - 1.0))
            y += _TAG_MM
        high = self._body(node.slot)
        outline = cut_corners(x, y, _BOX_MM, high, 2.0) if kind is StepKind.PROOF else rect(x, y, _BOX_MM, high)
        data = (("step", str(number)), *((("binds", "1"),) if node.binds else ()))
        look = "check" if kind is StepKind.PROOF else "node"
        self.items.append(Form(d=outline, look=look, tip=f"{number} {title_of(self.work, slot)}", data=data))
        inset = 2.0 if kind is StepKind.PROOF else 0.0
        self.items.append(Form(d=rect(x, y + inset, _CELL_MM, high - 2 * inset), look=LOOK_OF[kind]))
        if node.binds:
            d = rect(x + inset, y + high - _RIBBON_MM, _BOX_MM - 2 * inset, _RIBBON_MM)
            self.items.append(Form(d=d, look="binds"))
        middle = x + _CELL_MM / 2
        letters = letters_of(self.work, slot.step)
        self.items.append(Words(at=(middle, y + 4.2), text=f"{number}{letters}", anchor="middle", bold=True, halo=True))
        self.items += [
            Words(
                at=(x + _CELL_MM + 1.2, y + 1.2 + _TEXT_MM * (0.9 + k * LINE)),
                text=text,
                size_mm=_TEXT_MM,
            )
            for k, text in enumerate(self.texts[node.slot])
        ]

    def _tag(self, node: Node, at: Point) -> None:
        told = [_number_words(n, lag) for n, lag in _numbered(dict(node.told), self.numbers)]
        kept = len(told)
        text = f"after {', '.join(told)}"
        while kept > 1 and words_wide(text, _TEXT_MM) > _BOX_MM:
            kept -= 1
            text = f"after {', '.join(told[:kept])} and {len(told) - kept} more"
        self.items.append(Words(at=at, text=text, size_mm=_TEXT_MM))

    def legend(self, *, binds: bool) -> None:
        self.y += 9.0
        items, self.y = kind_legend((MARGIN_MM, self.y), self.wide - 2 * MARGIN_MM, binds=binds)
        self.items += items
        told = [("arc", "must come after"), ("wait", "must come after, with a wait between")]
        told += [("bound", "binds the finish")] if binds else []
        self.y += 2.0
        x = MARGIN_MM
        for look, words in told:
            if x > MARGIN_MM and x + 10.0 + words_wide(words) > self.wide - MARGIN_MM:
                x, self.y = MARGIN_MM, self.y + 4.0
            self.items.append(Form(d=lines((x, self.y - 1.0), (x + 7.0, self.y - 1.0)), look=look))
            self.items.append(Words(at=(x + 8.5, self.y), text=words))
            x += 14.0 + words_wide(words)
        self.y += SMALL_MM * LINE
        note = "after 12: step 12 must come first, but stands further back; a cut corner is a checkpoint"
        self.items += block((MARGIN_MM, self.y), wrapped(note, self.wide - 2 * MARGIN_MM))
        self.y += SMALL_MM * LINE
