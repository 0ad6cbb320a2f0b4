"""SVG read back by itself: where its words stand, what its shapes say they are, and whether it may stand on a page."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree as ET

SVG = "{http://www.w3.org/2000/svg}"

# Widths of Helvetica in thousandths of the letter height, after Adobe's font metrics (values from memory); Liberation
# Sans and Arial were made to the same widths. Bold letters are up to a tenth wider.
_NARROW = (
    dict.fromkeys("il", 222) | dict.fromkeys("ftI.,:;/ !|[]", 278) | dict.fromkeys("r-()", 333) | {"j": 222, "'": 191}
)
_ROUND = dict.fromkeys("ckJsvxyz", 500) | dict.fromkeys("FTZ", 611) | dict.fromkeys("ABEKPSVXY", 667)
_WIDE = dict.fromkeys("CDHNRUw", 722) | dict.fromkeys("GOQ", 778) | {"m": 833, "M": 833, "W": 944, "%": 889, "+": 584}
_WIDTHS = _NARROW | _ROUND | _WIDE
_OTHER, _BOLD = 556, 1.1
_UP, _DOWN = 0.72, 0.21
"""How far letters reach above and below their base line, in letter heights (same source)."""


@dataclass(frozen=True)
class Label:
    text: str
    x: float
    y: float
    left: float
    right: float
    top: float
    bottom: float

    def meets(self, other: Label) -> bool:
        slack = 0.02
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


def root_of(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314  # our own text


def labels(svg: str) -> list[Label]:
    found = []
    for node in root_of(svg).iter(f"{SVG}text"):
        text = "".join(node.itertext())
        size = float(node.get("font-size", "nan"))
        wide = sum(_WIDTHS.get(c, _OTHER) for c in text) / 1000 * size * (_BOLD if node.get("font-weight") else 1.0)
        x, y = float(node.get("x", "nan")), float(node.get("y", "nan"))
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[node.get("text-anchor", "start")]
        found.append(Label(text, x, y, left, left + wide, y - _UP * size, y + _DOWN * size))
    return found


def shapes(svg: str, key: str) -> list[tuple[dict[str, str], str]]:
    """Data of every shape that has the key, with its path."""
    found = []
    for node in root_of(svg).iter(f"{SVG}path"):
        data = {k.removeprefix("data-"): v for k, v in node.attrib.items() if k.startswith("data-")}
        if key in data:
            found.append((data, node.attrib["d"]))
    return found


def paths(svg: str, look: str) -> list[str]:
    """Path data of everything drawn with a look."""
    return [n.attrib["d"] for n in root_of(svg).iter(f"{SVG}path") if n.get("class") == f"k-{look}"]


def box_of(d: str) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a path of M, L, h, v, l, C, a and Z; of arcs only the ends count."""
    x = y = 0.0
    xs: list[float] = []
    ys: list[float] = []
    for letter, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", d):
        n = [float(v) for v in re.findall(r"-?\d*\.?\d+", rest)]
        if letter in "ML":
            steps = [(n[0], n[1])]
        elif letter == "C":
            steps = list(zip(n[::2], n[1::2], strict=True))
        elif letter in "hvl":
            steps = [(x + (n[0] if letter != "v" else 0.0), y + (n[-1] if letter != "h" else 0.0))]
        elif letter == "a":
            steps = [(x + n[5], y + n[6])]
        else:
            steps = []
        for x, y in steps:
            xs.append(x)
            ys.append(y)
    return min(xs), min(ys), max(xs), max(ys)


def faults(svg: str) -> list[str]:
    """What is wrong with a drawing whatever it shows: words over words or off the paper, shapes off it, loose ids."""
    root = root_of(svg)
    _, _, wide, high = (float(v) for v in root.attrib["viewBox"].split())
    told = []
    words = sorted(labels(svg), key=lambda w: w.top)
    for n, word in enumerate(words):
        if min(word.left, word.top) < 0 or word.right > wide or word.bottom > high:
            told.append(f"`{word.text}` is off the paper")
        for other in words[n + 1 :]:
            if other.top > word.bottom:
                break
            if word.meets(other):
                told.append(f"`{word.text}` lies over `{other.text}`")
    for node in root.iter(f"{SVG}path"):
        d = node.attrib["d"]
        if "class" not in node.attrib or "Q" in d:
            continue  # strokes of a pattern
        left, top, right, bottom = box_of(d)
        if min(left, top) < -0.02 or right > wide + 0.02 or bottom > high + 0.02:
            told.append(f"{node.attrib['class']} at {left:.1f},{top:.1f} to {right:.1f},{bottom:.1f} is off the paper")
    name = root.attrib["id"]
    told += [f"id {i} is not the drawing's own" for i in re.findall(r' id="([^"]*)"', svg) if not i.startswith(name)]
    told += [
        f"rule {r} is for the whole page" for r in re.findall(r"(?:^|})([^{}]+){", style_of(root)) if name not in r
    ]
    told += [f"url({u}) is not there" for u in re.findall(r"url\(#([^)]*)\)", svg) if f'id="{u}"' not in svg]
    told += [f"{bad} in it" for bad in ("<script", "href", "@import", "http:", "https:") if bad in _own(svg)]
    return told


def style_of(root: ET.Element) -> str:
    style = root.find(f"{SVG}style")
    return "" if style is None else style.text or ""


def _own(svg: str) -> str:
    """The text without the name of the format, which is an address."""
    return svg.replace('xmlns="http://www.w3.org/2000/svg"', "")
