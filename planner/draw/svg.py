"""The sheet as SVG text: no script, nothing fetched, the same bytes for the same sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from itertools import pairwise

from planner.draw.hatch import Box, hatch_paths
from planner.draw.lettering import cut_to_fit, num
from planner.draw.sheet import (
    TEXT_MM,
    Bar,
    Clash,
    Entry,
    Label,
    Line,
    Mark,
    Note,
    Point,
    Shape,
    Sheet,
    Spot,
    SpotEntry,
    Trace,
    View,
)
from planner.draw.thin import thinned
from planner.space import Polygon

COLOURS = {
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

HATCHES = {
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
HATCH_WIDE = {Mark.CUT: 0.9, Mark.GOES: 0.3, Mark.BACK: 0.6}

_DASHES = {
    Mark.GOES: "1.2 1.2",
    Mark.REMADE: "4 1",
    Mark.BACK: "3 .8 .8 .8",
    Mark.SET: ".6 .6",
}
"""Dashes of the coloured core of a changed link; those of new ones are whole."""

_SIGNS = {
    Clash.OVERLAP: "M0 -2.6C1.6 -1.3 1.6 1.3 0 2.6C-1.6 1.3 -1.6 -1.3 0 -2.6Z",
    Clash.CLOSE: "M-1.7 -2.2H1.7C.4 -.8 .4 .8 1.7 2.2H-1.7C-.4 .8 -.4 -.8 -1.7 -2.2Z",
    Clash.ROOM: "M-1.8 -1.8H.3V-.2H1.8V1.8H-1.8Z",
}
"""About the place itself [mm on the paper]: what two rings share; a waist; a room with a corner taken."""

_STYLE = (
    "text{font:@px sans-serif;fill:#000}"
    ".h{paint-order:stroke;stroke:#fff;stroke-width:.8;stroke-linejoin:round}"
    ".g{stroke:#DDD;stroke-width:.18}.z{stroke:#888;stroke-width:.2;stroke-dasharray:5 1 1 1}"
    ".s{fill:#EEEAE0;fill-opacity:.5;stroke:#777;stroke-width:.18}"
    ".k{fill:none;stroke:#BBB}.o{fill:none;stroke:#000;stroke-width:.3;stroke-dasharray:1.5 1}"
    ".d{fill:none;stroke:#000;stroke-width:.6;stroke-dasharray:0 1.1;stroke-linecap:round}"
    ".v{fill:none;stroke:#fff;stroke-width:.9;stroke-opacity:.8}"
    ".q{fill:none;stroke:#555;stroke-width:.25;stroke-dasharray:.25 .75}"
    ".c{stroke:#000;stroke-width:.3}.e{fill:none;stroke-linejoin:round}"
    ".w{stroke:#fff;stroke-width:.7}.l{stroke:#000;stroke-width:.2}"
    ".a{font-size:5px}.b{fill:#fff;stroke:#000;stroke-width:.3}.n{font-weight:bold}"
    ".y{fill:#F0E442;stroke:#000;stroke-width:.45;stroke-linejoin:round}.u{fill:none;stroke:#fff;stroke-width:1.3}"
    ".p{stroke:#000;stroke-width:.5}.r{stroke:#555}"
    ".f{fill:none;stroke:#000;stroke-width:.25}"
    + "".join(
        f".x{m.value}{{fill:none;stroke:{c};stroke-width:{HATCH_WIDE.get(m, 0.45):g}}}" for m, c in COLOURS.items()
    )
)
_SELECTOR = re.compile("(?:^|(?<=}))(?=[.a-z])")

_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg_text(sheet: Sheet) -> str:
    """The whole sheet as one SVG document, fit to stand beside others in one page: its ids and rules are its own."""
    wide, high = sheet.size
    name = _plain_id(sheet.name)
    style = own_rules(_STYLE.replace("@", f"{TEXT_MM:g}"), name)
    windows = "".join(_window(view, f"{name}-{n}") for n, view in enumerate(sheet.views))
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" width="{wide:g}mm" height="{high:g}mm"',
            f'viewBox="0 0 {wide:g} {high:g}" lang="en" xml:lang="en" role="img"',
            f'aria-labelledby="{name}-title {name}-about">',
            f'<title id="{name}-title">{_words(sheet.title)}</title>',
            f'<desc id="{name}-about">{_words(sheet.about)}</desc>',
            f"<style>{style}</style>",
            f"<defs>{windows}</defs>",
            f'<rect width="{wide:g}" height="{high:g}" fill="#fff"/>',
            *(piece for n, view in enumerate(sheet.views) for piece in _view(view, name, n)),
            *_bar(sheet.bar),
            *(piece for mark, at in sheet.legend for piece in _legend(mark, at)),
            *(piece for sign, at in sheet.spot_legend for piece in _spot_legend(sign, at)),
            *(piece for entry in sheet.entries for piece in _entry(entry, sheet.entry_wide_mm)),
            *(piece for entry in sheet.spots for piece in _spot_entry(entry, sheet.spot_wide_mm)),
            *(_note(note) for note in sheet.notes),
            "</svg>\n",
        ]
    )


def own_rules(style: str, name: str) -> str:
    """Style rules that hold inside the drawing of that id alone, so that several stand in one page."""
    return _SELECTOR.sub(f"#{name} ", style)


def _words(text: str) -> str:
    return escape(_NOT_IN_XML.sub("\ufffd", text), quote=True)


def _plain_id(name: str) -> str:
    """An id of letters, digits and dashes; what a slug cannot hold becomes an underline."""
    return "d-" + re.sub("[^a-z0-9-]", "_", name.lower())


def _hatch(mark: Mark, box: Box, clip: str = "") -> str:
    """The strokes of a mark over a box, within a clip when there is one."""
    within = f' clip-path="url(#{clip})"' if clip else ""
    return hatch_paths(HATCHES[mark], box, f'class="x{mark.value}"{within}')


def _box_of(shape: Shape, window: tuple[Point, Point] | None) -> Box:
    """The box round an outline, as far as it lies in the window."""
    points = [p for rim in shape.outline for p in rim]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    left, top, right, bottom = min(xs), min(ys), max(xs), max(ys)
    if window is None:
        return left, top, right, bottom
    (x0, y0), (x1, y1) = window
    return max(left, x0), max(top, y0), min(right, x1), min(bottom, y1)


def _window(view: View, name: str) -> str:
    if view.cut_at is None:
        return ""
    return f'<clipPath id="{name}"><rect {_rect(view.cut_at)}/></clipPath>'


def _rect(corners: tuple[Point, Point]) -> str:
    (x0, y0), (x1, y1) = corners
    return f'x="{num(x0)}" y="{num(y0)}" width="{num(x1 - x0)}" height="{num(y1 - y0)}"'


def _view(view: View, name: str, number: int) -> Iterator[str]:
    yield f'<g aria-label="{_words(view.title)}">'
    if view.cut_at is not None:
        yield f'<g clip-path="url(#{name}-{number})">'
    yield from (_grid_line(line) for line in view.grid)
    yield from (_shape(shape, f"{name}-{number}-{n}", view.cut_at) for n, shape in enumerate(view.shapes))
    if view.cut_at is not None:
        yield f'</g><rect class="f" {_rect(view.cut_at)}/>'
    yield from (_leader(label) for label in view.labels)
    yield from (_text(line.text_at, line.text, ' class="h"') for line in view.grid if line.text)
    yield from (_spot(spot) for spot in view.spots)
    yield from (_label(label) for label in view.labels)
    x, y = view.title_at
    yield (
        f'<text x="{num(x)}" y="{num(y)}"><tspan class="n">{_words(view.title)}</tspan>'
        f'<tspan dx="3">{_words(view.arrow_text)}</tspan><tspan dx="1" class="a">\u2192</tspan></text>'
    )
    yield "</g>"


_BOLD = 1.08


def _grid_line(line: Line) -> str:
    (x0, y0), (x1, y1) = line.start, line.finish
    return f'<path class="{"z" if line.zero else "g"}" fill="none" d="M{num(x0)} {num(y0)}L{num(x1)} {num(y1)}"/>'


def _path(outline: tuple[Polygon, ...], *, closed: bool) -> str:
    return "".join(_rim(thinned(rim, closed=closed)) + ("Z" if closed else "") for rim in outline)


def _rim(rim: Polygon) -> str:
    """A line from corner to corner, each told from the one before; the corners are rounded first, so none drifts."""
    corners = [(round(100 * x), round(100 * y)) for x, y in rim]
    steps = [(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise(corners)]
    # Corners that fall together on the paper are told once, but a line needs two.
    told = [step for step in steps if step != (0, 0)] or [(0, 0)]
    return "M" + _pair(*corners[0]) + "l" + " ".join(_pair(*step) for step in told)


def _pair(x: int, y: int) -> str:
    return f"{_hundredths(x)} {_hundredths(y)}"


def _hundredths(value: int) -> str:
    """A number of hundredths as short as can be: there are tens of thousands of them on a sheet.

    Examples
    --------
    >>> [_hundredths(v) for v in (0, -7, 50, -120, 300)]
    ['0', '-.07', '.5', '-1.2', '3']
    """
    whole, part = divmod(abs(value), 100)
    told = str(whole or "") + (f".{part:02}".rstrip("0") if part else "")
    return f"-{told}" if value < 0 else told or "0"


def _shape(shape: Shape, name: str, window: tuple[Point, Point] | None) -> str:
    d = _path(shape.outline, closed=shape.across_mm is None)
    told = f"<title>{_words(shape.label)}</title>"
    if shape.trace is not None:
        return _trace(shape, shape.trace, d)
    if shape.across_mm is None:
        if shape.mark is None:
            return f'<path class="s{" p" * shape.sought}" d="{d}">{told}</path>'
        mark = shape.mark.value
        strokes = _hatch(shape.mark, _box_of(shape, window), name)
        clip = f'<clipPath id="{name}"><path d="{d}"/></clipPath>'
        base = '<path fill="#fff" fill-opacity=".55" d="' + d + '"/>'
        return f'{clip}{base}{strokes}<path class="c" fill="none" data-mark="{mark}" d="{d}">{told}</path>'
    if shape.mark is None:
        return f'<path class="k e{" r" * shape.sought}" stroke-width="{num(shape.across_mm)}" d="{d}">{told}</path>'
    dashes = _DASHES.get(shape.mark)
    core = max(shape.across_mm, 0.5)
    dashed, under = "", ""
    if dashes:
        dashed = f' stroke-dasharray="{dashes}"'
        under = f'<path class="e" stroke="#fff" stroke-width="{num(core)}" d="{d}"/>'
    return (
        f'<g data-mark="{shape.mark.value}">{told}'
        f'<path class="e" stroke="#000" stroke-width="{num(core + 0.4)}" d="{d}"/>{under}'
        f'<path class="e" stroke="{COLOURS[shape.mark]}" stroke-width="{num(core)}"{dashed} d="{d}"/></g>'
    )


def _trace(shape: Shape, trace: Trace, d: str) -> str:
    told = f"<title>{_words(shape.label)}: {trace.value}</title>"
    if trace is Trace.NEWCOMER:
        return f'<g data-comer="{_words(shape.subject)}">{told}<path class="v" d="{d}"/><path class="d" d="{d}"/></g>'
    return f'<path class="{"o" if trace is Trace.OLD else "q"}" d="{d}">{told}</path>'


def _leader(label: Label) -> str:
    (x0, y0), (x1, y1) = label.leader
    d = f"M{num(x0)} {num(y0)}L{num(x1)} {num(y1)}"
    return (
        f'<path class="w" d="{d}"/><path class="l" d="{d}"/>'
        f'<circle cx="{num(x1)}" cy="{num(y1)}" r=".6" stroke="#fff" stroke-width=".2"/>'
    )


def _spot(spot: Spot) -> str:
    x, y = spot.at
    d = _SIGNS[spot.clash]
    return (
        f'<g data-spot="{spot.number}" transform="translate({num(x)} {num(y)})"><title>{_words(spot.text)}</title>'
        f'<path class="u" d="{d}"/><path class="y" d="{d}"/><circle r=".4"/></g>'
    )


def _label(label: Label) -> str:
    x, y = label.middle
    wide, high = label.wide_mm, label.high_mm
    left, top = x - wide / 2, y - high / 2
    letter = f'<tspan class="n">{label.mark.value}</tspan>' if label.mark else ""
    if isinstance(label.mark, Clash):
        point = high * 0.3
        rim = (
            f'<path class="y" d="M{num(left)} {num(y)}L{num(left + point)} {num(top)}H{num(left + wide - point)}'
            f'L{num(left + wide)} {num(y)}L{num(left + wide - point)} {num(top + high)}H{num(left + point)}Z"/>'
        )
    else:
        size = f'width="{num(wide)}" height="{num(high)}" rx="{num(high / 2)}"'
        rim = f'<rect class="b" x="{num(left)}" y="{num(top)}" {size}/>'
    return (
        f'<g data-label="{label.number}">{rim}'
        f'<text x="{num(x)}" y="{num(y + TEXT_MM * 0.36)}" text-anchor="middle">{label.number}{letter}</text></g>'
    )


def _text(at: Point, text: str, more: str = "") -> str:
    return f'<text x="{num(at[0])}" y="{num(at[1])}"{more}>{_words(text)}</text>'


def _bar(bar: Bar) -> Iterator[str]:
    x, y = bar.at
    for k, text in enumerate(bar.texts):
        if k + 1 < len(bar.texts):
            fill = "#000" if k % 2 == 0 else "#fff"
            yield (
                f'<rect data-bar="{k}" x="{num(x + k * bar.step_mm)}" y="{num(y)}" width="{num(bar.step_mm)}" '
                f'height="2" fill="{fill}" stroke="#000" stroke-width=".2"/>'
            )
        yield _text((x + k * bar.step_mm, y + 5.6), text, ' text-anchor="middle"')


def _legend(mark: Mark, at: Point) -> Iterator[str]:
    x, y = at
    yield _hatch(mark, (x, y - 3.5, x + 8.0, y + 0.9))
    yield f'<rect class="c" x="{num(x)}" y="{num(y - 3.5)}" width="8" height="4.4" fill="none"/>'
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


def _spot_legend(sign: Clash | Trace, at: Point) -> Iterator[str]:
    x, y = at
    if isinstance(sign, Trace):
        yield f'<path class="d" d="M{num(x)} {num(y - 1.2)}h8"/>'
        yield _text((x + 9.2, y), sign.value)
        return
    yield f'<path class="y" transform="translate({num(x + 4)} {num(y - 1.2)})" d="{_SIGNS[sign]}"/>'
    yield _text((x + 9.2, y), sign.value, ' class="n"')
    yield _text((x + 13.2, y), sign.words)


def _spot_entry(entry: SpotEntry, wide_mm: float) -> Iterator[str]:
    if entry.at is None:
        return
    x, y = entry.at
    yield _text((x + 5.2, y), str(entry.number), ' text-anchor="end"')
    yield _text((x + 6.6, y), entry.clash.value, ' class="n"')
    yield _text((x + 10.9, y), cut_to_fit(entry.text, wide_mm - 12.9))


def _note(note: Note) -> str:
    text = cut_to_fit(note.text, note.room_mm, note.size_mm * (_BOLD if note.bold else 1.0))
    bold = ' class="n"' if note.bold else ""
    return _text(note.at, text, f'{bold} style="font-size:{note.size_mm:g}px"')
