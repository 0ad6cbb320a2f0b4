"""Frozen dataclasses as plain data that JSON can hold, and back, told by their type hints alone.

Plain data that does not fit the hints is refused with the way to it; nothing is guessed.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime, time
from enum import Enum
from functools import cache
from typing import Any, TypeVar

T = TypeVar("T")
Reader = Callable[[Any], Any]
LONGEST = 60
"""Of a value that does not fit, so many characters are told."""


class MisfitError(ValueError):
    """Plain data that is not what the type asks for."""


def to_plain(value: Any) -> Any:  # noqa: ANN401  # any model value
    """Plain data of a model value.

    Fields that have their default are left out, so that a file says only what there is to say.

    Raises
    ------
    TypeError
        A value of a kind that no model has.
    """
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, date | time):
        return value.isoformat()
    return _held(value)


def _held(value: Any) -> Any:  # noqa: ANN401
    if isinstance(value, tuple | list):
        return [to_plain(each) for each in value]
    if isinstance(value, frozenset):
        return sorted(to_plain(each) for each in value)
    if isinstance(value, Mapping):
        return {key: to_plain(each) for key, each in value.items()}
    if is_dataclass(value):
        told = ((f, getattr(value, f.name)) for f in fields(value))
        return {f.name: to_plain(each) for f, each in told if not _is_default(f, each)}
    raise TypeError(f"{type(value).__name__} has no plain form")


def from_plain(kind: type[T], data: Any) -> T:  # noqa: ANN401  # plain data
    """The model value of plain data.

    Parameters
    ----------
    kind : type
        A dataclass of the model.
    data
        What :func:`to_plain` gave.

    Raises
    ------
    MisfitError
        The data is not of that kind; the message says where.
    """
    hint: Any = kind
    value: T = _reader(hint)(data)
    return value


def _is_default(field: Any, value: Any) -> bool:  # noqa: ANN401
    if field.default is not MISSING:
        return bool(type(value) is type(field.default) and value == field.default)
    return field.default_factory is not MISSING and value == field.default_factory()


@cache
def _reader(hint: Any) -> Reader:  # noqa: ANN401  # any type hint
    if hint in {int, float, str, bool}:
        return _plain_reader(hint)
    if hint is datetime or hint is date or hint is time:
        return _moment_reader(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _guarded(hint, hint)
    if is_dataclass(hint):
        return _record_reader(hint)
    return _holder_reader(hint)


def _plain_reader(kind: type) -> Reader:
    def read(data: Any) -> Any:  # noqa: ANN401
        if kind is float and type(data) is int:
            return float(data)
        if type(data) is not kind:
            raise MisfitError(f"{_short(data)} is no {kind.__name__}")
        return data

    return read


def _moment_reader(kind: type[date | time]) -> Reader:
    return _guarded(kind.fromisoformat, kind)


def _guarded(make: Reader, kind: type) -> Reader:
    def read(data: Any) -> Any:  # noqa: ANN401
        try:
            return make(data)
        except (TypeError, ValueError) as error:
            raise MisfitError(f"{_short(data)} is no {kind.__name__.lower()}") from error

    return read


def _record_reader(kind: Any) -> Reader:  # noqa: ANN401
    hints = typing.get_type_hints(kind)
    readers = {f.name: _reader(hints[f.name]) for f in fields(kind)}
    needed = {f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING}

    def read(data: Any) -> Any:  # noqa: ANN401
        if not isinstance(data, dict):
            raise MisfitError(f"{_short(data)} is no record of a {kind.__name__}")
        unknown, missing = data.keys() - readers.keys(), needed - data.keys()
        if unknown or missing:
            told = [f"`{n}` is missing" for n in sorted(missing)] + [f"`{n}` is not known" for n in sorted(unknown)]
            raise MisfitError(", ".join(told))
        values = {}
        for name, each in data.items():
            try:
                values[name] = readers[name](each)
            except MisfitError as error:
                raise MisfitError(f"`{name}`: {error}") from error
        return kind(**values)

    return read


def _holder_reader(hint: Any) -> Reader:  # noqa: ANN401
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin in {types.UnionType, typing.Union} and type(None) in inner:
        (rest,) = (i for i in inner if i is not type(None))
        some = _reader(rest)
        return lambda data: None if data is None else some(data)
    if origin in {tuple, frozenset}:
        return _row_reader(origin, inner)
    if origin is dict and inner[0] is str:
        each = _reader(inner[1])
        return lambda data: {k: each(v) for k, v in _asked(dict, data).items()}
    raise TypeError(f"no reader for {hint}")


def _row_reader(origin: type, inner: tuple[Any, ...]) -> Reader:
    if origin is frozenset or inner[1:] == (...,):
        each = _reader(inner[0])
        return lambda data: origin(each(v) for v in _asked(list, data))
    readers = [_reader(i) for i in inner]

    def read(data: Any) -> Any:  # noqa: ANN401
        if len(_asked(list, data)) != len(readers):
            raise MisfitError(f"{len(data)} values where {len(readers)} belong")
        return tuple(r(v) for r, v in zip(readers, data, strict=True))

    return read


def _asked(kind: type, data: Any) -> Any:  # noqa: ANN401
    if not isinstance(data, kind):
        raise MisfitError(f"{_short(data)} is no {'list' if kind is list else 'record'}")
    return data


def _short(data: Any) -> str:  # noqa: ANN401
    text = repr(data)
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
