"""Records to plain data and back: one way for every kind, old versions upgraded on reading."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import types
import typing
from collections.abc import Callable, Hashable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, partial
from typing import Any, TypeVar

from softmend.errors import InputError, StorageError
from softmend.records.canonical import canonical_json

R = TypeVar("R")
Upgrade = Callable[[dict[str, Any]], dict[str, Any]]


def as_plain(value: Any) -> Any:
    """Return a record as plain JSON data: enums by value, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, list | tuple):
        return [as_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(name): as_plain(item) for name, item in value.items()}
    return value


def payload_text(record: Any) -> str:
    """Return a record's payload: canonical JSON text."""
    return canonical_json(as_plain(record))


def from_plain(kind: type[R], data: Any) -> R:
    """Return a record of type `kind` from plain data, refusing names it does not know."""
    if not isinstance(data, Mapping):
        raise InputError(f"A {kind.__name__} is a set of named values", value=type(data).__name__)
    readers = _readers(typing.cast("Hashable", kind))
    unknown = sorted(data.keys() - readers.keys())
    if unknown:
        raise InputError(
            f"A {kind.__name__} has no field of that name",
            value=", ".join(unknown),
            allowed=", ".join(readers),
        )
    try:
        return kind(**{name: readers[name](value) for name, value in data.items()})
    except TypeError as missing:
        raise InputError(f"A {kind.__name__} is incomplete", value=str(missing)) from missing


def from_payload(kind: type[R], payload: str, version: int, upgrades: Mapping[int, Upgrade]) -> R:
    """Return a record from a stored payload; `upgrades[v]` turns version v into v + 1."""
    data = json.loads(payload)
    while version in upgrades:
        data = upgrades[version](data)
        version += 1
    try:
        return from_plain(kind, data)
    except InputError as unread:
        raise StorageError(f"A stored {kind.__name__} cannot be read: {unread}") from unread


@cache
def is_unchanging(hint: Any) -> bool:
    """Say whether nothing inside a record can be changed, so that its readers may share it."""
    inside = typing.get_args(hint)
    if inside:
        is_fixed = typing.get_origin(hint) in (tuple, typing.Union, types.UnionType)
        return is_fixed and all(is_unchanging(one) for one in inside if one is not Ellipsis)
    if isinstance(hint, type) and is_dataclass(hint):
        return all(map(is_unchanging, typing.get_type_hints(hint).values()))
    plain = (str, int, float, bool, type(None))
    return hint in plain or (isinstance(hint, type) and issubclass(hint, Enum))


@cache
def _readers(kind: Hashable) -> dict[str, Callable[[Any], Any]]:
    """Return for each field of a record what reads it; a journal is read far more than typed."""
    return {name: _reader(hint) for name, hint in typing.get_type_hints(kind).items()}


@cache
def _reader(hint: Any) -> Callable[[Any], Any]:
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        choices = [_reader(one) for one in inside if one is not type(None)]
        return partial(_read_union, choices[0], type(None) in inside)
    if origin is tuple and len(inside) == 2 and inside[1] is Ellipsis:
        return partial(_read_list, _reader(inside[0]))
    if origin is tuple:
        return partial(_read_members, tuple(map(_reader, inside)))
    if isinstance(hint, type) and is_dataclass(hint):
        return partial(from_plain, hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return partial(_read_enum, hint)
    if hint in (str, int, float, bool):
        return partial(_read_plain, hint)
    return _as_it_is


def _as_it_is(value: Any) -> Any:
    return value


def _read_plain(hint: type, value: Any) -> Any:
    if type(value) is hint:
        return value
    if hint is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    raise InputError(f"This should be a {hint.__name__}", value=value)


def _read_union(read: Callable[[Any], Any], may_lack: bool, value: Any) -> Any:
    if value is not None:
        return read(value)
    if may_lack:
        return None
    raise InputError("A value is missing")


def _read_list(read: Callable[[Any], Any], value: Any) -> tuple[Any, ...]:
    _refuse_no_list(value)
    return tuple(map(read, value))


def _read_members(reads: tuple[Callable[[Any], Any], ...], value: Any) -> tuple[Any, ...]:
    _refuse_no_list(value)
    if len(reads) != len(value):
        raise InputError(f"This list should have {len(reads)} members", value=value)
    return tuple(read(item) for read, item in zip(reads, value, strict=True))


def _refuse_no_list(value: Any) -> None:
    if not isinstance(value, list | tuple):
        raise InputError("This should be a list", value=value)


def _read_enum(hint: type[Enum], value: Any) -> Enum:
    try:
        return hint(value)
    except ValueError as unknown:
        allowed = ", ".join(str(member.value) for member in hint)
        raise InputError(
            f"This is not one of the kinds of {hint.__name__}", value=value, allowed=allowed
        ) from unknown
