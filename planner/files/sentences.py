"""One sentence for each way in which a value can fail its schema."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from typing import Any

from pydantic_core import ErrorDetails

from planner.finding.words import did_you_mean, listed, quoted

Context = Mapping[str, Any]
Told = tuple[str, str, str]
"""Code, message, hint."""


def sentence(error: ErrorDetails, name: str) -> Told:
    """Say what is wrong, for one error of a schema.

    Parameters
    ----------
    error : ErrorDetails
        As pydantic gives it: ``type``, ``input``, ``ctx``; its own message is never used.
    name : str
        The key it is about, in backticks.
    """
    kind, context, found = error["type"], error.get("ctx") or {}, error.get("input")
    if kind == "knockon_fault":
        return context["code"], context["message"].replace("{key}", name), context["hint"]
    for tell in (_type, _choice, _count, _range):
        told = tell(kind, context, found, name)
        if told is not None:
            return told
    return "wrong-value", f"{name} cannot be {quoted(found)}", "see `knockon schema`"


_TYPES: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (
        ("model_type", "model_attributes_type", "dict_type", "dataclass_type"),
        "a block of keys",
        "write `key: value` lines under it",
    ),
    (
        ("list_type", "tuple_type", "set_type", "frozen_set_type"),
        "a list",
        "write `[..., ...]`, or a line with a dash for each",
    ),
    (("string_type", "string_sub_type"), "text", "put it in quotes"),
    (
        ("int_type", "int_parsing", "int_from_float", "int_parsing_size"),
        "a whole number",
        "write it in digits",
    ),
    (("float_type", "float_parsing", "finite_number"), "a number", "write it in digits, without a unit"),
    (("bool_type", "bool_parsing"), "true or false", "write `true` or `false`"),
)


def _type(kind: str, context: Context, found: object, name: str) -> Told | None:  # noqa: ARG001
    for kinds, wanted, hint in _TYPES:
        if kind in kinds:
            return "wrong-type", f"{name} must be {wanted}, found {quoted(found)}", hint
    return None


def _choice(kind: str, context: Context, found: object, name: str) -> Told | None:
    if kind == "union_tag_not_found":
        key = _unquoted(context["discriminator"])
        choices = "" if not isinstance(found, dict) else did_you_mean_key(found, key)
        if not isinstance(found, dict):
            return (
                "wrong-type",
                f"{name} must be a block of keys, found {quoted(found)}",
                "write `key: value` lines under it",
            )
        return "missing-key", f"key {quoted(key)} missing in {name}", choices or "add it"
    if kind == "union_tag_invalid":
        names = _names(context["expected_tags"])
        key = _unquoted(context["discriminator"])
        hint = did_you_mean(context["tag"], names, otherwise="choose one of them")
        return (
            "unknown-choice",
            f"{quoted(key)}: {quoted(context['tag'])} is not one of {listed(names, ' or ')}",
            hint,
        )
    if kind in ("literal_error", "enum"):
        names = _names(context["expected"])
        hint = did_you_mean(found, names, otherwise="choose one of them")
        return "unknown-choice", f"{name}: {quoted(found)} is not one of {listed(names, ' or ')}", hint
    return None


def did_you_mean_key(found: dict[str, Any], key: str) -> str:
    """Hint when one of the keys found may stand for ``key``."""
    for written in found:
        hint = did_you_mean(written, [key], otherwise="-")
        if hint != "-":
            return f"is {quoted(written)} meant to be {quoted(key)}?"
    return ""


def context_key(error: ErrorDetails) -> str:
    """Name the key by whose value one of several forms is chosen."""
    return _unquoted(error["ctx"]["discriminator"])


def _unquoted(text: str) -> str:
    return str(text).strip("'\"")


def _names(expected: str) -> list[str]:
    """List the choices in a text such as ``'a', 'b' or 'c'``."""
    parts = str(expected).replace(" or ", ", ").split(", ")
    return [str(ast.literal_eval(p)) if p[:1] in "'\"" else p for p in parts]


_POINTS = {2: "two numbers", 3: "three numbers (x, y, z)"}


def _count(kind: str, context: Context, found: object, name: str) -> Told | None:
    if kind not in ("too_short", "too_long"):
        return None
    items = found if isinstance(found, list) else []
    many = len(items)
    limit = context["min_length"] if kind == "too_short" else context["max_length"]
    bound = "at least" if kind == "too_short" else "at most"
    if limit in _POINTS and not any(isinstance(item, (list, dict)) for item in items):
        return "wrong-count", f"{name} needs {_POINTS[limit]}, found {many}", "separate them by commas"
    return "wrong-count", f"{name} needs {bound} {limit}, found {many}", ""


def _range(kind: str, context: Context, found: object, name: str) -> Told | None:
    if kind == "string_too_short":
        return "empty-value", f"{name} is empty", "write some text"
    if kind == "string_too_long":
        limit = context["max_length"]
        return "too-long", f"{name} has {len(str(found))} characters, {limit} are allowed", "shorten it"
    if kind == "string_pattern_mismatch":
        return (
            "wrong-value",
            f"{name}: {quoted(found)} has not the right form",
            f"it must match {quoted(context['pattern'])}",
        )
    for bound, words in (("ge", "at least"), ("gt", "more than"), ("le", "at most"), ("lt", "less than")):
        if bound in context:
            return "out-of-range", f"{name} must be {words} {context[bound]}, found {quoted(found)}", ""
    return None
