"""From a place in a schema to the same place in the file."""

from __future__ import annotations

import types
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeGuard, Union, get_args, get_origin

from pydantic import BaseModel, Tag

from planner.files.place import KeyPath


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an error is: ``path`` in the file, the model whose keys are asked for, whether it is a key."""

    path: KeyPath
    model: type[BaseModel] | None
    is_key: bool = False


def follow(model: type[BaseModel], loc: tuple[str | int, ...]) -> Spot:
    """Walk ``loc``, leaving out what is not written in the file (the tags of unions, the mark of keys).

    Parameters
    ----------
    model : type of BaseModel
        Model of the whole file.
    loc : tuple of str or int
        As the schema tells it.
    """
    path: list[str | int] = []
    here: object = model
    parent: type[BaseModel] | None = model
    for segment in loc:
        if segment == "[key]":
            return Spot(tuple(path), None, is_key=True)
        here = _plain(here)
        members = _members(here)
        if len(members) > 1:
            tagged = [m for m in members if segment in _tags(m)]
            if tagged:
                here = tagged[0]
                continue
        path.append(segment)
        parent = here if _is_model(here) else None
        here = _step(here, segment)
    end = _plain(here)
    return Spot(tuple(path), end if _is_model(end) else parent)


def keys_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Keys a block may have, as they are written."""
    return tuple(f.alias or name for name, f in model.model_fields.items())


def _is_model(kind: object) -> TypeGuard[type[BaseModel]]:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _plain(kind: object) -> object:
    """``kind`` without its notes and without "or nothing"."""
    while True:
        if get_origin(kind) is Annotated:
            kind = get_args(kind)[0]
            continue
        members = _members(kind)
        if len(members) == 1 and members[0] is not kind:
            kind = members[0]
            continue
        return kind


def _members(kind: object) -> tuple[Any, ...]:
    if get_origin(kind) in (Union, types.UnionType):
        return tuple(a for a in get_args(kind) if a is not type(None))
    return (kind,)


def _tags(kind: object) -> set[object]:
    named: set[object] = {note.tag for note in getattr(kind, "__metadata__", ()) if isinstance(note, Tag)}
    if named:
        return named
    kind = _plain(kind)
    if not _is_model(kind):
        return set()
    return {
        tag for f in kind.model_fields.values() if get_origin(f.annotation) is Literal for tag in get_args(f.annotation)
    }


def _step(kind: object, segment: str | int) -> object:
    if _is_model(kind):
        for name, info in kind.model_fields.items():
            if segment in (info.alias or name, name):
                return info.annotation
        return None
    arguments = get_args(kind)
    if get_origin(kind) is dict:
        return arguments[1]
    return arguments[0] if arguments else None
