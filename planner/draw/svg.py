"""The sheet as SVG text: no script, nothing fetched, the same bytes for the same sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape

from planner.draw.lettering import cut_to_fit
from planner.draw.sheet import TEXT_MM, Bar, Entry, Label, Line, Mark, Note, Point, Shape, Sheet, View
from planner.space import Polygon

_COLOURS = {
    Mark.NEW: "#009E73",
    Mark.MOVES: "#0072B2",
    Mark.GOES: "#D55E00",
    Mark.LARGER: "#56B4E9",
    Mark.CUT: "#000000",
    Mark.REMADE: "#E69F00",
    Mark.BACK: "#CC79A7",
    Mark.SET: "#777777",
}
"""Okabe and Ito's colours, made for all kinds of colour vision (values from memory); pale ones have a black rim."""

_HATCHES = {
    Mark.NEW: "M0 2L2 0M-.5 .5L.5 -.5M1.5 2.5L2.5 1.5",
    Mark.MOVES: "M0 .5H2M0 1.5H2",
    Mark.GOES: "M0 2L2 0M0 0L2 2",
    Mark.LARGER: "M.5 0V2M1.5 0V2",
    Mark.CUT: "M0 1H2M1 0V2",
    Mark.REMADE: "M0 0L2 2M-.5 1.5L.5 2.5M1.5 -.5L2.5 .5",
    Mark.BACK: "M.6 1H1.4M1 .6V1.4",
    Mark.SET: "M0 1H1",
}
"""Strokes in a field of 2 x 2 mm on the paper."""
_HATCH_WIDE = {Mark.CUT: 0.9, Mark.GOES: 0.3, Mark.BACK: 0.6}

_DASHES = {
    Mark.GOES: "1.2 1.2",
    Mark.REMADE: "4 1",
    Mark.BACK: "3 .8 .8 .8",
    Mark.SET: ".6 .6",
}
"""Dashes of the coloured core of a changed link; those of new ones are whole."""

_STYLE = (
    "text{{font:{size}px sans-serif;fill:#000}}"
    ".h{{paint-order:stroke;stroke:#fff;stroke-width:.8;stroke-linejoin:round}}"
    ".g{{stroke:#DDD;stroke-width:.18}}.z{{stroke:#888;stroke-width:.2;stroke-dasharray:5 1 1 1}}"
    ".s{{fill:#EEEAE0;fill-opacity:.5;stroke:#777;stroke-width:.18}}"
    ".k{{fill:none;stroke:#BBB}}.o{{fill:none;stroke:#000;stroke-width:.3;stroke-dasharray:1.5 1}}"
    ".c{{stroke:#000;stroke-width:.3}}.e{{fill:none;stroke-linejoin:round}}"
    ".w{{stroke:#fff;stroke-width:.7}}.l{{stroke:#000;stroke-width:.2}}"
    ".a{{font-size:5px}}.b{{fill:#fff;stroke:#000;stroke-width:.3}}.n{{font-weight:bold}}"
)

_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg_text(sheet: Sheet) -> str:
    """The whole sheet as one SVG document."""
    wide, high = sheet.size
    name = _plain_id(sheet.name)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm"',
            f'viewBox="0 0 {wide:g} {high:g}" lang="en" xml:lang="en" role="img"',
            f'aria-labelledby="{name}-title {name}-about">',
            f'<title id="{name}-title">{_words(sheet.title)}</title>',
            f'<desc id="{name}-about">{_words(sheet.about)}</desc>',
            f"<style>{_STYLE.format(size=TEXT_MM)}</style>",
            f"<defs>{''.join(_pattern(name, mark) for mark in Mark)}</defs>",
            f'<rect width="{wide:g}" height="{high:g}" fill="#fff"/>',
            *(piece for view in sheet.views for piece in _view(view, name)),
            *_bar(sheet.bar),
            *(piece for mark, at in sheet.legend for piece in _legend(mark, at, name)),
            *(piece for entry in sheet.entries for piece in _entry(entry, sheet.entry_wide_mm)),
            *(_note(note) for note in sheet.notes),
            "</svg>\n",
        ]
    )


def _words(text: str) -> str:
    return escape(_NOT_IN_XML.sub("\ufffd", text), quote=True)


def _plain_id(name: str) -> str:
    return "d-" + re.sub("[^a-z0-9-]", "-", name.lower())


def _n(value: float) -> str:
    """A length to a hundredth of a millimetre on the paper, without needless noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _pattern(name: str, mark: Mark) -> str:
    return (
        f'<pattern id="{name}-{mark.value}" width="2" height="2" patternUnits="userSpaceOnUse">'
        f'<rect width="2" height="2" fill="#fff" fill-opacity=".55"/>'
        f'<path d="{_HATCHES[mark]}" fill="none" stroke="{_COLOURS[mark]}" '
        f'stroke-width="{_HATCH_WIDE.get(mark, 0.45):g}"/></pattern>'
    )


def _view(view: View, name: str) -> Iterator[str]:
    yield f'<g aria-label="{_words(view.title)}">'
    yield from (_grid_line(line) for line in view.grid)
    yield from (_shape(shape, name) for shape in view.shapes)
    yield from (_leader(label) for label in view.labels)
    yield from (_text(line.text_at, line.text, ' class="h"') for line in view.grid if line.text)
    yield from (_label(label) for label in view.labels)
    x, y = view.title_at
    yield (
        f'<text x="{_n(x)}" y="{_n(y)}"><tspan class="n">{_words(view.title)}</tspan>'
        f'<tspan dx="3">{_words(view.arrow_text)}</tspan><tspan dx="1" class="a">\u2192</tspan></text>'
    )
    yield "</g>"


_BOLD = 1.08


def _grid_line(line: Line) -> str:
    (x0, y0), (x1, y1) = line.start, line.finish
    return f'<path class="{"z" if line.zero else "g"}" fill="none" d="M{_n(x0)} {_n(y0)}L{_n(x1)} {_n(y1)}"/>'


def _path(outline: tuple[Polygon, ...], *, closed: bool) -> str:
    return "".join(
        "M" + "L".join(_thinned([f"{_n(x)} {_n(y)}" for x, y in rim])) + ("Z" if closed else "") for rim in outline
    )


def _thinned(corners: list[str]) -> list[str]:
    """Corners that fall together on the paper once only; two are kept so that there is a line."""
    kept = [c for n, c in enumerate(corners) if n == 0 or c != corners[n - 1]]
    return kept if len(kept) > 1 else corners[:1] * 2


def _shape(shape: Shape, name: str) -> str:
    d = _path(shape.outline, closed=shape.across_mm is None)
    told = f"<title>{_words(shape.label)}</title>"
    if shape.old_place:
        return f'<path class="o" d="{d}">{told}</path>'
    if shape.across_mm is None:
        if shape.mark is None:
            return f'<path class="s" d="{d}">{told}</path>'
        mark = shape.mark.value
        return f'<path class="c" fill="url(#{name}-{mark})" data-mark="{mark}" d="{d}">{told}</path>'
    if shape.mark is None:
        return f'<path class="k e" stroke-width="{_n(shape.across_mm)}" d="{d}">{told}</path>'
    dashes = _DASHES.get(shape.mark)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    core = max(shape.across_mm, 0.5)
    return (
        f'<g data-mark="{shape.mark.value}">{told}'
        f'<path class="e" stroke="#000" stroke-width="{_n(core + 0.4)}" d="{d}"/>'
        f'<path class="e" stroke="#fff" stroke-width="{_n(core)}" d="{d}"/>'
        f'<path class="e" stroke="{_COLOURS[shape.mark]}" stroke-width="{_n(core)}"{dashed} d="{d}"/></g>'
    )


def _leader(label: Label) -> str:
    (x0, y0), (x1, y1) = label.leader
    d = f"M{_n(x0)} {_n(y0)}L{_n(x1)} {_n(y1)}"
    return (
        f'<path class="w" d="{d}"/><path class="l" d="{d}"/>'
        f'<circle cx="{_n(x1)}" cy="{_n(y1)}" r=".6" stroke="#fff" stroke-width=".2"/>'
    )


def _label(label: Label) -> str:
    x, y = label.middle
    wide, high = label.wide_mm, label.high_mm
    letter = f'<tspan class="n">{label.mark.value}</tspan>' if label.mark else ""
    return (
        f'<g data-label="{label.number}"><rect class="b" x="{_n(x - wide / 2)}" y="{_n(y - high / 2)}" '
        f'width="{_n(wide)}" height="{_n(high)}" rx="{_n(high / 2)}"/>'
        f'<text x="{_n(x)}" y="{_n(y + TEXT_MM * 0.36)}" text-anchor="middle">{label.number}{letter}</text></g>'
    )


def _text(at: Point, text: str, more: str = "") -> str:
    return f'<text x="{_n(at[0])}" y="{_n(at[1])}"{more}>{_words(text)}</text>'


def _bar(bar: Bar) -> Iterator[str]:
    x, y = bar.at
    for k, text in enumerate(bar.texts):
        if k + 1 < len(bar.texts):
            fill = "#000" if k % 2 == 0 else "#fff"
            yield (
                f'<rect data-bar="{k}" x="{_n(x + k * bar.step_mm)}" y="{_n(y)}" width="{_n(bar.step_mm)}" height="2" '
                f'fill="{fill}" stroke="#000" stroke-width=".2"/>'
            )
        yield _text((x + k * bar.step_mm, y + 5.6), text, ' text-anchor="middle"')


def _legend(mark: Mark, at: Point, name: str) -> Iterator[str]:
    x, y = at
    yield f'<rect class="c" x="{_n(x)}" y="{_n(y - 3.5)}" width="8" height="4.4" fill="url(#{name}-{mark.value})"/>'
    yield _text((x + 9.2, y), mark.value, ' class="n"')
    yield _text((x + 13.2, y), mark.words)


def _entry(entry: Entry, wide_mm: float) -> Iterator[str]:
    if entry.at is None:
        return
    x, y = entry.at
    if entry.number:
        yield _text((x + 5.2, y), str(entry.number), ' text-anchor="end"')
    left = 6.6
    if entry.mark is not None:
        yield _text((x + left, y), entry.mark.value, ' class="n"')
        left += 4.3
    yield _text((x + left, y), cut_to_fit(entry.name, wide_mm - left - 2.0))


def _note(note: Note) -> str:
    text = cut_to_fit(note.text, note.room_mm, note.size_mm * (_BOLD if note.bold else 1.0))
    bold = ' class="n"' if note.bold else ""
    return _text(note.at, text, f'{bold} style="font-size:{note.size_mm:g}px"')
