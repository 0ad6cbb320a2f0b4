"""Triangles from the bytes of an STL file, binary or text; whatever is wrong with them is told, never raised.

Source of the layout: 3D Systems, "StereoLithography Interface Specification" (1989), from memory: 80 bytes of head, the
number of triangles (unsigned 32 bit, low byte first), then 50 bytes for each: normal, three corners (32 bit floats) and
two bytes of anything. Normals are not read: they follow from the order of the corners.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

MOST_BYTES = 16_000_000
MOST_TRIANGLES = 10_000

_HEAD = 84
_EACH = 50
_RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
_VERTEX = rb"vertex\s+([^\s]+)\s+([^\s]+)\s+([^\s]+)\s+"
_FACET = re.compile(
    rb"facet\s+normal\s+[^\s]+\s+[^\s]+\s+[^\s]+\s+outer\s+loop\s+" + _VERTEX * 3 + rb"endloop\s+endfacet\b",
    re.IGNORECASE,
)
_BETWEEN = re.compile(rb"\s*(?:(?:solid|endsolid)\b[^\r\n]*(?:[\r\n]\s*|\Z))*\Z", re.IGNORECASE)


class Unread(NamedTuple):
    """Why a file gave no triangles: code of the finding, what is wrong and what to do."""

    code: str
    message: str
    hint: str


def triangles_in(data: bytes) -> FloatArray | Unread:
    """Corners (t, 3, 3) of the triangles of a file, in its own unit."""
    said = int.from_bytes(data[80:_HEAD], "little") if len(data) >= _HEAD else 0
    is_binary = len(data) >= _HEAD and len(data) == _HEAD + _EACH * said
    is_text = data[:512].lstrip()[:5].lower() == b"solid" and b"facet" in data[:4096].lower()
    if is_binary:
        found = _binary(data, said)
    elif is_text:
        found = _text(data)
    elif data[:512].lstrip()[:5].lower() == b"solid" and b"endsolid" in data.lower():
        found = _empty()
    elif len(data) < _HEAD:
        found = Unread("bad-stl", f"this is no STL file: it has {len(data)} bytes", "export the part anew")
    else:
        there = (len(data) - _HEAD) // _EACH
        message = f"this is no whole STL file: it says {said} triangles and has room for {there}"
        found = Unread("bad-stl", message, "it was cut short or is something else; export the part anew")
    if isinstance(found, Unread):
        return found
    if not np.isfinite(found).all():
        first = int(np.flatnonzero(~np.isfinite(found).all(axis=(1, 2)))[0]) + 1
        return Unread("bad-stl", f"triangle {first} of the file has a corner that is no number", "export the part anew")
    return found


def _empty() -> Unread:
    return Unread("bad-stl", "the file has no triangle", "export the part anew")


def _many(count: int) -> Unread:
    message = f"the file has {count} triangles, {MOST_TRIANGLES} are read"
    return Unread("big-stl", message, "export it coarser: a fraction of a millimetre is fine enough here")


def _binary(data: bytes, count: int) -> FloatArray | Unread:
    if count == 0:
        return _empty()
    if count > MOST_TRIANGLES:
        return _many(count)
    corners: FloatArray = np.frombuffer(data, _RECORD, count, _HEAD)["corners"].astype(np.float64)
    return corners


def _text(data: bytes) -> FloatArray | Unread:
    count = len(re.findall(rb"\bendfacet\b", data, re.IGNORECASE))
    if count > MOST_TRIANGLES:
        return _many(count)
    at = 0
    numbers: list[tuple[bytes, ...]] = []
    hint = "it was cut short or is something else; export the part anew"
    for facet in _FACET.finditer(data):
        if _BETWEEN.match(data, at, facet.start()) is None:
            break
        numbers.append(facet.groups())
        at = facet.end()
    if _BETWEEN.match(data, at) is None or b"endsolid" not in data[at:].lower():
        line = data.count(b"\n", 0, at + len(data[at:]) - len(data[at:].lstrip())) + 1
        return Unread("bad-stl", f"line {line} of the file is no part of an STL text", hint)
    if not numbers:
        return _empty()
    try:
        return np.array([[float(n) for n in row] for row in numbers]).reshape(-1, 3, 3)
    except ValueError:
        bad = next(n for n, row in enumerate(numbers, start=1) if not all(_is_number(v) for v in row))
        return Unread("bad-stl", f"triangle {bad} of the file has a corner that is no number", hint)


def _is_number(text: bytes) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
