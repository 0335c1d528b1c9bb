"""Records to plain data and back: one way for every kind, old versions upgraded on reading."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import types
import typing
from collections.abc import Callable, Hashable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
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
    hints = _hints(typing.cast("Hashable", kind))
    unknown = sorted(set(data) - set(hints))
    if unknown:
        raise InputError(
            f"A {kind.__name__} has no field of that name",
            value=", ".join(unknown),
            allowed=", ".join(hints),
        )
    try:
        return kind(**{name: _build(hints[name], data[name]) for name in data})
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
def _hints(kind: Hashable) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _build(hint: Any, value: Any) -> Any:
    origin = typing.get_origin(hint)
    if origin in (typing.Union, types.UnionType):
        return _build_union(typing.get_args(hint), value)
    if origin is tuple:
        return _build_tuple(typing.get_args(hint), value)
    if isinstance(hint, type) and is_dataclass(hint):
        return from_plain(hint, value)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _build_enum(hint, value)
    if hint is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if hint in (str, int, float, bool) and type(value) is not hint:
        raise InputError(f"This should be a {hint.__name__}", value=value)
    return value


def _build_union(hints: tuple[Any, ...], value: Any) -> Any:
    if value is None:
        if type(None) in hints:
            return None
        raise InputError("A value is missing")
    choices = [hint for hint in hints if hint is not type(None)]
    return _build(choices[0], value)


def _build_tuple(hints: tuple[Any, ...], value: Any) -> tuple[Any, ...]:
    if not isinstance(value, list | tuple):
        raise InputError("This should be a list", value=value)
    if len(hints) == 2 and hints[1] is Ellipsis:
        return tuple(_build(hints[0], item) for item in value)
    if len(hints) != len(value):
        raise InputError(f"This list should have {len(hints)} members", value=value)
    return tuple(_build(hint, item) for hint, item in zip(hints, value, strict=True))


def _build_enum(hint: type[Enum], value: Any) -> Enum:
    try:
        return hint(value)
    except ValueError as unknown:
        allowed = ", ".join(str(member.value) for member in hint)
        raise InputError(
            f"This is not one of the kinds of {hint.__name__}", value=value, allowed=allowed
        ) from unknown
