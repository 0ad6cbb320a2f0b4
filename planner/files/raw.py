"""From a path to text: everything that can be wrong with a file before its first character is understood."""

from __future__ import annotations

import re
import stat
import unicodedata
from pathlib import Path

from planner.finding import Finding, Place, error_at

LARGEST_BYTES = 2_000_000
"""A hand-written file is far smaller; anything larger was chosen by mistake."""

_LINE_BREAKS = "\u2028\u2029\u0085"
_TURNERS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Marks that turn the reading direction, so that text shows otherwise than it is read."""
_SUSPECT = re.compile(f"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f{_LINE_BREAKS}{_TURNERS}\ud800-\udfff\ufffe\uffff]")
_BINARY = b"\x00"
_CONFLICT = re.compile(r"^(?:<{7}|>{7})(?: .*)?$", re.MULTILINE)


CUT_SHORT = "; the file ends here in the middle of a line: it may not have been saved whole"
"""Said of what is wrong at the end of a text that its writer did not end."""


def read_text(path: Path) -> tuple[str | None, tuple[Finding, ...]]:
    """Text of a file, or None and why there is none.

    Parameters
    ----------
    path : Path
        Shown in findings as it is given.

    Returns
    -------
    text : str or None
    findings : tuple of Finding
    """
    file = path.as_posix()
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return None, _whole(file, "not-a-file", "is a folder or no plain file", "name a text file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        return None, _whole(file, "no-file", "there is no such file", "check the name; `ls` shows what is there")
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or "the name cannot be used").lower()
        return None, _whole(file, "unreadable-file", f"cannot be read: {reason}", "check who may read it")
    return _decoded(file, data)


def _decoded(file: str, data: bytes) -> tuple[str | None, tuple[Finding, ...]]:
    if len(data) > LARGEST_BYTES:
        limit = f"{LARGEST_BYTES // 1_000_000} MB"
        return None, _whole(file, "too-large", f"is larger than {limit}", "a hand-written file is far smaller")
    if _BINARY in data:
        return None, _whole(file, "not-text", "is not a text file", "it holds null bytes; save it as UTF-8 text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8-sig", "replace")
        place = _place(file, before, len(before))
        return None, (error_at(place, "not-text", "is not UTF-8 text from here on", "save the file as UTF-8"),)
    if not text.strip():
        return None, _whole(
            file, "empty-file", "is empty", "copy projects/trials-car, or begin with `knockon new FOLDER`"
        )
    return text, ()


def text_faults(file: str, text: str) -> tuple[Finding, ...]:
    """Characters that have no business in a text file, and marks left over from a merge.

    One finding a line is enough: such characters come in swarms.
    """
    found: dict[int, Finding] = {}
    for match in _SUSPECT.finditer(text):
        place = _place(file, text, match.start())
        name = unicodedata.name(match[0], "control character").lower()
        message = f"hidden character U+{ord(match[0]):04X} ({name}) in the text"
        hint = "delete it; it may have come in with a paste"
        found.setdefault(place.line, error_at(place, "control-character", message, hint))
    for match in _CONFLICT.finditer(text):
        place = _place(file, text, match.start())
        hint = "two versions of the file were merged and disagree: choose one"
        found.setdefault(place.line, error_at(place, "merge-conflict", "a conflict mark of version control", hint))
    return tuple(found.values())


def has_hidden(value: str) -> bool:
    """Whether a value holds characters that must not reach a terminal or a page."""
    return _SUSPECT.search(value) is not None


def _place(file: str, text: str, index: int) -> Place:
    """Line and column of a character; lines end at CR LF, LF or CR as in YAML."""
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    return Place(file, before.count("\n") + 1, len(before) - before.rfind("\n"))


def _whole(file: str, code: str, message: str, hint: str) -> tuple[Finding, ...]:
    return (error_at(Place(file), code, message, hint),)
