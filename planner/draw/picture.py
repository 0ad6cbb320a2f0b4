"""Pictures of plans as plain data, in millimetres on the paper, and as SVG text fit to stand beside others."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import wraps
from html import escape
from itertools import accumulate, takewhile
from typing import ParamSpec

from planner.draw.hatch import hatch_paths
from planner.draw.lettering import cut_to_fit, num, text_width_mm
from planner.draw.sheet import Point

Asked = ParamSpec("Asked")
SMALL_MM = 2.6
"""Height of the letters of small print: 7.4 pt."""
HEAD_MM = 4.2
LINE = 1.3
"""From line to line, in letter heights."""
BOLD = 1.08
"""How much wider bold letters are."""
MARGIN_MM = 6.0
_LONGEST = 400
_NOT_IN_XML = re.compile("[^\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_SHARED_LOOKS = {
    "box": "fill:#fff;stroke:#000;stroke-width:.3",
    "line": "fill:none;stroke:#000;stroke-width:.3",
    "thin": "fill:none;stroke:#000;stroke-width:.15",
    "pale": "fill:none;stroke:#BBB;stroke-width:.18",
    "halo": "fill:none;stroke:#fff;stroke-width:1",
    "heavy": "fill:none;stroke:#000;stroke-width:.9",
    "dash": "fill:none;stroke:#000;stroke-width:.45;stroke-dasharray:2 1",
    "dots": "fill:none;stroke:#000;stroke-width:.6;stroke-dasharray:0 1.2;stroke-linecap:round",
    "solid": "fill:#000;stroke:none",
    "none": "fill:#fff;fill-opacity:0;stroke:none",
    "wash": "fill:#F1EFE8;stroke:none",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; ``at`` is on its base line. ``halo`` keeps a white rim round letters that lie over lines."""

    at: Point
    text: str
    size_mm: float = SMALL_MM
    anchor: str = "start"
    bold: bool = False
    halo: bool = False

    @property
    def wide_mm(self) -> float:
        """Room it may take at most [mm]."""
        return words_wide(self.text, self.size_mm, bold=self.bold)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A shape or line: SVG path data, the name of its look, what it is in words, and what it stands for as data."""

    d: str
    look: str
    tip: str = ""
    data: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A whole picture. ``name`` begins every id in it: no two on a page may have the same.

    ``looks`` are the picture's own looks beside the shared ones, ``fills`` its patterns (path data and stroke in a
    field of 2 x 2 mm), by name. ``seams`` are heights at which it may be cut into pages without cutting anything that
    is written, ``head`` the strip of it (from, to) that each later page wants above its share [mm].
    """

    name: str
    title: str
    about: str
    size: Point
    items: tuple[Words | Form, ...]
    looks: dict[str, str]
    fills: dict[str, tuple[str, str]]
    seams: tuple[float, ...] = ()
    head: tuple[float, float] | None = None


def plain(text: str) -> str:
    r"""One line of text that can stand in a picture: no controls, no marks that turn the writing, of a sane length.

    Examples
    --------
    >>> plain("fit\x1b[31m the\n seat\u202e")
    'fit [31m the seat'
    """
    kept = (" " if unicodedata.category(c) == "Cc" or c in "\u2028\u2029" else c for c in text[: 4 * _LONGEST])
    line = " ".join("".join(c for c in kept if unicodedata.category(c) not in {"Cf", "Cs"}).split())
    line = _NOT_IN_XML.sub("\ufffd", line)
    return line if len(line) <= _LONGEST else line[: _LONGEST - 3].rstrip() + "..."


def words_wide(text: str, size_mm: float = SMALL_MM, *, bold: bool = False) -> float:
    """Room that a line of a picture may take at most [mm]."""
    return text_width_mm(text, size_mm) * (BOLD if bold else 1.0)


def wrapped(text: str, room_mm: float, size_mm: float = SMALL_MM, most: int = 100) -> tuple[str, ...]:
    """The text in lines no longer than the room, at most so many; what does not fit is cut with three dots.

    Examples
    --------
    >>> wrapped("front brake pipe comes off and goes back", 30.0, most=2)
    ('front brake pipe', 'comes off and...')
    """
    lines: list[str] = []
    rest = plain(text)
    while rest:
        if len(lines) + 1 >= most or text_width_mm(rest, size_mm) <= room_mm:
            lines.append(cut_to_fit(rest, room_mm, size_mm))
            break
        end = _that_fits(rest, room_mm, size_mm)
        lines.append(rest[:end].rstrip())
        rest = rest[end:].lstrip()
    return tuple(lines)


def _that_fits(text: str, room_mm: float, size_mm: float) -> int:
    """How many letters go on a line: whole words, or as much of a word as there is room for."""
    widths = accumulate(text_width_mm(letter, size_mm) for letter in text)
    end = max(1, sum(1 for _ in takewhile(lambda wide: wide <= room_mm, widths)))
    gap = text.rfind(" ", 0, end + 1)
    return gap if gap > 0 else end


def rect(x: float, y: float, wide: float, high: float) -> str:
    """Path data of a rectangle."""
    return f"M{num(x)} {num(y)}h{num(wide)}v{num(high)}h{num(-wide)}Z"


def lines(*points: Point) -> str:
    """Path data of a line from corner to corner."""
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def cut_corners(x: float, y: float, wide: float, high: float, by: float) -> str:
    """Path data of a rectangle with its four corners cut off."""
    return (
        f"M{num(x + by)} {num(y)}h{num(wide - 2 * by)}l{num(by)} {num(by)}v{num(high - 2 * by)}l{num(-by)} {num(by)}"
        f"h{num(2 * by - wide)}l{num(-by)} {num(-by)}v{num(2 * by - high)}Z"
    )


def block(at: Point, texts: Iterable[str], size_mm: float = SMALL_MM, *, bold: bool = False) -> tuple[Words, ...]:
    """Lines of text under one another; ``at`` is on the base line of the first."""
    return tuple(
        Words(at=(at[0], at[1] + n * size_mm * LINE), text=text, size_mm=size_mm, bold=bold)
        for n, text in enumerate(texts)
    )


def drawn(picture: Callable[Asked, Picture]) -> Callable[Asked, str]:
    """What makes a picture as what makes its SVG text."""

    @wraps(picture)
    def text(*args: Asked.args, **kwargs: Asked.kwargs) -> str:
        return picture_svg(picture(*args, **kwargs))

    return text


def picture_svg(picture: Picture) -> str:
    """The picture as one SVG document: no script, nothing fetched, as wide as its place but never larger than life."""
    wide, high = (num(v) for v in picture.size)
    name = plain_id(picture.name)
    looks = {**_SHARED_LOOKS, **picture.looks}
    used = {item.look for item in picture.items if isinstance(item, Form)}
    fills = {look: m[1] for look, rule in looks.items() if look in used and (m := _FILLED.search(rule))}
    rules = "".join(
        f"#{name} .k-{look}{{{_FILLED.sub('fill:#fff', rule)}}}" for look, rule in looks.items() if look in used
    )
    rules += "".join(
        f"#{name} .h-{fill}{{fill:none;{_declared(picture.fills[fill][1])}}}" for fill in dict.fromkeys(fills.values())
    )
    about = escape(plain(picture.about))
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" viewBox="0 0 {wide} {high}"',
            f'style="max-width:{wide}mm" lang="en" xml:lang="en" role="img"',
            f'aria-labelledby="{name}-title {name}-about">',
            f'<title id="{name}-title">{escape(plain(picture.title))}</title>',
            f'<desc id="{name}-about">{about}</desc>',
            f"<style>#{name} text{{font-family:sans-serif;fill:#000}}{rules}</style>",
            f'<rect width="{wide}" height="{high}" fill="#fff"/>',
            *(_words(i) if isinstance(i, Words) else _form(i) + _hatch(i, picture, fills) for i in picture.items),
            "</svg>\n",
        ]
    )


def plain_id(name: str) -> str:
    """An id of letters, digits and dashes; what a slug cannot hold becomes an underline."""
    return "p-" + re.sub("[^a-z0-9-]", "_", name.lower())


_FILLED = re.compile(r"fill:url\(@([^)]*)\)")
_RECT = re.compile(r"M(-?[\d.]+) (-?[\d.]+)h(-?[\d.]+)v(-?[\d.]+)h-?[\d.]+Z")


def _declared(stroke: str) -> str:
    """Attributes of a stroke as rules of a style sheet."""
    return re.sub('([a-z-]+)="([^"]*)" ?', r"\1:\2;", stroke).rstrip(";")


def _hatch(form: Form, picture: Picture, fills: Mapping[str, str]) -> str:
    """The strokes of a hatched rectangle, as plain lines."""
    if form.look not in fills:
        return ""
    found = _RECT.fullmatch(form.d)
    if found is None:
        raise ValueError(f"only rectangles are hatched, not {form.d}")
    x, y, wide, high = (float(v) for v in found.groups())
    fill = fills[form.look]
    return hatch_paths(picture.fills[fill][0], (x, y, x + wide, y + high), f'class="h-{fill}"')


def _words(words: Words) -> str:
    anchor = f' text-anchor="{words.anchor}"' if words.anchor != "start" else ""
    bold = ' font-weight="bold"' if words.bold else ""
    halo = ' paint-order="stroke" stroke="#fff" stroke-width="1.3" stroke-linejoin="round"' if words.halo else ""
    x, y = words.at
    return (
        f'<text x="{num(x)}" y="{num(y)}" font-size="{num(words.size_mm)}"{anchor}{bold}{halo}>'
        f"{escape(plain(words.text))}</text>"
    )


def _form(form: Form) -> str:
    data = "".join(f' data-{key}="{escape(plain(value))}"' for key, value in form.data)
    if not form.tip:
        return f'<path class="k-{form.look}"{data} d="{form.d}"/>'
    return f'<path class="k-{form.look}"{data} d="{form.d}"><title>{escape(plain(form.tip))}</title></path>'
