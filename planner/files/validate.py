"""Holding plain data against a schema: every fault at once, each told once and in our own words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from planner.files.faults import Faults
from planner.files.place import Document, KeyPath, Plain
from planner.files.raw import CUT_SHORT
from planner.files.sentences import context_key, sentence
from planner.files.trail import Spot, follow, keys_of
from planner.finding import Finding
from planner.finding.words import did_you_mean, nearest, quoted

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What of a file can be left out so that the rest is read on past a fault.

    ``sections`` gives for each top-level key how long the way to one entry is; ``stand_ins`` are values put in
    for other keys, so that a missing name does not hide what is wrong further down.
    """

    sections: Mapping[str, int]
    stand_ins: Mapping[str, Any]


def validate_parts(
    document: Document, model: type[M], context: Mapping[str, Any] | None, parts: Parts
) -> tuple[M | None, tuple[Finding, ...], frozenset[KeyPath]]:
    """Read a document as ``model``, past its faults: the value holds all that is sound.

    Parameters
    ----------
    document : Document
    model : type of BaseModel
    context : mapping, optional
        Passed to the schema, such as ``{"bare": "inch"}``: the unit of a bare number.
    parts : Parts

    Returns
    -------
    value : M or None
        None when what is wrong cannot be left out.
    findings : tuple of Finding
        Sorted by place; without those that reading the document already told.
    left_out : frozenset of KeyPath
        Ways to the entries left out.
    """
    value, findings, bad = _checked(document, model, context)
    if not bad:
        return value, findings, frozenset()
    left_out = _entries(bad, parts, model)
    if left_out is None:
        return None, findings, frozenset()
    data = _without(document.data, _blank_keys(document) | left_out)
    put_in = {key: value for key, value in parts.stand_ins.items() if (key,) in left_out}
    value, _ = _attempt({**data, **put_in} if isinstance(data, dict) else data, model, context)
    return value, findings, left_out


def _checked(
    document: Document, model: type[M], context: Mapping[str, Any] | None
) -> tuple[M | None, tuple[Finding, ...], set[KeyPath]]:
    """Give the value if there is one, the findings, and the places at fault (told now or before)."""
    faults = Faults(document)
    if not isinstance(document.data, dict):
        found = _kind(document.data)
        faults.error("wrong-type", (), f"the file holds {found}, not `key: value` lines", "see `knockon schema`")
        return None, faults.findings(), {()}
    blanks = _blanks(document, model)
    for path in blanks:
        hint = "write a value after it, or delete the line"
        faults.error("empty-value", path, f"{_name(path)} has no value", hint, key=True)
    value, errors = _attempt(_without(document.data, _blank_keys(document)), model, context)
    bad = {*blanks, *document.told, *_translate(errors, model, faults, blanks)}
    return value, faults.findings(), bad


def _attempt(data: object, model: type[M], context: Mapping[str, Any] | None) -> tuple[M | None, list[ErrorDetails]]:
    try:
        return model.model_validate(data, context=dict(context or {})), []
    except ValidationError as error:
        return None, error.errors(include_url=False)


def _entries(bad: set[KeyPath], parts: Parts, model: type[BaseModel]) -> frozenset[KeyPath] | None:
    """Ways to what must be left out because of the ``bad`` places, or None when it cannot be."""
    needed = {info.alias or name for name, info in model.model_fields.items() if info.is_required()}
    entries = set()
    for path in bad:
        if not path:
            return None
        depth = parts.sections.get(str(path[0]))
        if depth is not None and len(path) < depth:
            return None
        if depth is None and path[0] in needed and path[0] not in parts.stand_ins:
            return None
        entries.add(path[: depth or 1])
    return frozenset(entries)


def _without(data: Plain, left_out: frozenset[KeyPath], path: KeyPath = ()) -> Plain:
    """Copy ``data`` without the values at ``left_out``."""
    if isinstance(data, dict):
        kept = {k: v for k, v in data.items() if (*path, k) not in left_out}
        return {k: _without(v, left_out, (*path, k)) for k, v in kept.items()}
    if isinstance(data, list):
        return [_without(v, left_out, (*path, i)) for i, v in enumerate(data) if (*path, i) not in left_out]
    return data


def _blank_keys(document: Document) -> frozenset[KeyPath]:
    """Ways to blank keys; a blank item stays in its list, so that places go on counting from the file."""
    return frozenset(path for path in document.blank if isinstance(path[-1], str))


def _blanks(document: Document, model: type[BaseModel]) -> frozenset[KeyPath]:
    """Keys with nothing after them where something is wanted; an empty section is no fault."""
    sections = {
        info.alias or name
        for name, info in model.model_fields.items()
        if info.default in ([], {}) or info.default_factory
    }
    return frozenset(p for p in document.blank if not (len(p) == 1 and p[0] in sections))


def _translate(
    errors: list[ErrorDetails], model: type[BaseModel], faults: Faults, blanks: frozenset[KeyPath]
) -> set[KeyPath]:
    """Turn the schema's errors into findings; the places they are about."""
    spots = [(error, follow(model, tuple(error["loc"]))) for error in errors]
    missing = _grouped("missing", spots)
    unknown = _grouped("extra_forbidden", spots)
    bad: set[KeyPath] = set()
    for block in sorted({*missing, *unknown}, key=str):
        bad |= _tell_keys(block, missing.get(block, []), unknown.get(block, []), faults, blanks)
    for error, spot in spots:
        if error["type"] in ("missing", "extra_forbidden"):
            continue
        bad.add(spot.path)
        if any(spot.path[: len(b)] == b for b in blanks):
            continue
        code, message, hint = sentence(error, _name(spot.path))
        # A wrong tag is told where the tag is written, not at the block it chooses.
        tag = (context_key(error),) if error["type"] == "union_tag_invalid" else ()
        faults.error(code, (*spot.path, *tag), message, hint, key=spot.is_key)
    return bad


def _grouped(kind: str, spots: list[tuple[ErrorDetails, Spot]]) -> dict[KeyPath, list[tuple[str, Spot]]]:
    """Missing (or unknown) keys by the block they are missing from."""
    found: dict[KeyPath, list[tuple[str, Spot]]] = {}
    for error, spot in spots:
        if error["type"] == kind:
            found.setdefault(spot.path[:-1], []).append((str(spot.path[-1]), spot))
    return found


def _tell_keys(
    block: KeyPath,
    missing: list[tuple[str, Spot]],
    unknown: list[tuple[str, Spot]],
    faults: Faults,
    blanks: frozenset[KeyPath],
) -> set[KeyPath]:
    """Unknown and missing keys of one block; a missing key and its misspelling are one fault."""
    wanted = [name for name, spot in missing if spot.path not in blanks]
    written = faults.document.keys
    for name, spot in unknown:
        model = spot.model
        free = [k for k in keys_of(model) if (*block, k) not in written] if model else []
        meant = nearest(name, wanted)
        if meant is not None:
            wanted.remove(meant)
        there = nearest(name, keys_of(model)) if model else None
        if meant is None and there is not None and (*block, there) in written:
            hint = f"{quoted(there)} is written already: keep one of the two"
        else:
            hint = did_you_mean(name, [meant] if meant else free) or "delete it"
        faults.error("unknown-key", spot.path, f"unknown key {quoted(name)}", hint, key=True)
    if wanted:
        what = f"in {_name(block)}" if block else "in the file"
        names = " and ".join(quoted(n) for n in wanted) if len(wanted) < 3 else ", ".join(map(quoted, wanted))  # noqa: PLR2004
        word = "key" if len(wanted) == 1 else "keys"
        faults.error(
            "missing-key",
            block,
            f"{word} {names} missing {what}",
            ("add it" if len(wanted) == 1 else "add them")
            + (CUT_SHORT if faults.document.breaks_off_in(block) else ""),
            key=True,
        )
    return {spot.path if spot in [s for _, s in unknown] else block or spot.path for _, spot in (*missing, *unknown)}


def _name(path: KeyPath) -> str:
    """Name the thing at ``path``: its key, or which item of a list it is."""
    if not path:
        return "the file"
    last = path[-1]
    if isinstance(last, str):
        return quoted(last)
    keys = [p for p in path if isinstance(p, str)]
    return f"item {last + 1} of {quoted(keys[-1])}" if keys else f"item {last + 1}"


def _kind(data: object) -> str:
    return "a list" if isinstance(data, list) else f"only {quoted(data)}"
