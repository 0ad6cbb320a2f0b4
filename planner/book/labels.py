"""Labels for bags, hoses and wires, laid out on sheets that are told as data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import segno

from planner.book.bags import bags_of
from planner.book.facts import BookFacts, Paper
from planner.draw.picture import words_wide
from planner.model.vehicle import Link

QR_MM = 20.0
"""Width of a code with its quiet margin of four modules: no smaller one is sure to be read in a workshop."""
_INSIDE_MM = 5.0
"""Nothing is printed nearer to the edge of the paper: many printers leave out that much (common practice)."""
_LEAST_MM = 2.0
"""Between the edge of a label and what is on it."""
_SMALLEST_MM = (70.0, 37.0)
"""Width and height of the label that the style sheet's letters of 8 and 16 pt are set for."""
_QUIET = 4
_BESIDE_MM = 2.0
"""Between a code and what stands beside it."""
_HEAD_MM = 16.0 * 25.4 / 72.0
"""Letters of a head on the smallest label."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A sheet of labels: so many columns and rows of labels of one size [mm]; ``left_mm`` and ``top_mm`` to the first.

    ``cut``: plain paper, to be cut along the lines; else labels that meet edge to edge on the sheet.
    """

    words: str
    columns: int
    rows: int
    wide_mm: float
    high_mm: float
    left_mm: float = 0.0
    top_mm: float = 0.0
    cut: bool = False

    @property
    def aside_mm(self) -> float:
        """What is left free [mm] at the left and the right of a label."""
        return _LEAST_MM if self.cut else max(_LEAST_MM, _INSIDE_MM - self.left_mm)

    @property
    def above_mm(self) -> float:
        """What is left free [mm] above and below what is on a label."""
        return _LEAST_MM if self.cut else max(_LEAST_MM, _INSIDE_MM - self.top_mm)

    @property
    def letters(self) -> float:
        """How large its letters are, those of the smallest label being 1: room on a label is for letters."""
        return round(min(self.wide_mm / _SMALLEST_MM[0], self.high_mm / _SMALLEST_MM[1]), 2)

    def holds(self, head: str) -> bool:
        """Whether a head fits beside the code on one line at the size of a bag's number."""
        room_mm = self.wide_mm - 2 * self.aside_mm - QR_MM - _BESIDE_MM
        return words_wide(head, _HEAD_MM * self.letters, bold=True) <= room_mm

    @property
    def each(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows


SHEETS = {
    Paper.ANY: LabelSheet(words="plain paper, cut along the lines", columns=2, rows=6, wide_mm=88.0, high_mm=38.0,
                          cut=True),
    Paper.A4: LabelSheet(words="A4 label sheet, 3 x 8 of 70 x 37 mm", columns=3, rows=8, wide_mm=70.0, high_mm=37.0,
                         top_mm=0.5),
    Paper.LETTER: LabelSheet(words="Letter label sheet, 2 x 5 of 4 x 2 in", columns=2, rows=5, wide_mm=101.6,
                             high_mm=50.8, left_mm=6.35, top_mm=12.7),
}  # fmt: skip
"""Common sizes, no maker's: one row here is all another sheet takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One label. ``code`` is what its code says; ``path`` the code's dark modules; ``long``: its head takes lines."""

    code: str
    head: str
    lines: tuple[str, ...]
    path: str
    modules: int
    long: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelPages:
    """All labels, sheet by sheet."""

    sheet: LabelSheet
    pages: tuple[tuple[Label, ...], ...]


def sheet_of(facts: BookFacts) -> LabelSheet:
    """The sheet of labels that goes with the paper."""
    return SHEETS[facts.paper]


def labels_of(facts: BookFacts) -> LabelPages:
    """Bags first, then both ends of each hose, pipe, cable and wire that is undone or made."""
    sheet = sheet_of(facts)
    every = [*_bag_labels(facts), *_link_labels(facts)]
    pages = tuple(tuple(every[n : n + sheet.each]) for n in range(0, len(every), sheet.each))
    return LabelPages(sheet=sheet, pages=pages)


def _bag_labels(facts: BookFacts) -> Iterator[Label]:
    answer = facts.answer
    for bag in sorted(bags_of(facts).filled, key=lambda b: b.number):
        back = f"back at step {answer.number(bag.back)}" if bag.back is not None else "stays off: keep till the end"
        lines = (bag.name, f"off at step {bag.number}, {back}", "bag ___ of ___   day ______")
        yield _label(sheet_of(facts), str(bag.number), f"BAG {bag.number}", lines)


def _link_labels(facts: BookFacts) -> Iterator[Label]:
    answer = facts.answer
    steps = (placed.step for placed in answer.plan.slots)
    touched = {answer.work.features[s.ref].subject for s in steps if s.on is not None}
    links: dict[str, Link] = {**answer.vehicle.links, **answer.knockons.links_after}
    for i in sorted(touched & set(links)):
        link = links[i]
        for letter, end in zip("AB", link.ends, strict=True):
            port = f" ({end.port})" if end.port else ""
            told = (link.name, f"end {letter}: {facts.name_of(end.component)}{port}")
            yield _label(sheet_of(facts), i, f"{i} {letter}", told)


def _label(sheet: LabelSheet, code: str, head: str, lines: tuple[str, ...]) -> Label:
    path, modules = _code(code)
    return Label(code=code, head=head, lines=lines, path=path, modules=modules, long=not sheet.holds(head))


@lru_cache(maxsize=256)
def _code(text: str) -> tuple[str, int]:
    """The dark modules of a code as a path, row by row, with the quiet margin, and how many modules it is wide."""
    matrix = segno.make_qr(text, error="q", boost_error=False).matrix
    parts = []
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            run = 0
            while x + run < len(row) and row[x + run]:
                run += 1
            if run:
                parts.append(f"M{x + _QUIET} {y + _QUIET}h{run}v1h-{run}z")
            x += run or 1
    return "".join(parts), len(matrix) + 2 * _QUIET
