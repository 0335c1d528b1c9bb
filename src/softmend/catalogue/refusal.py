"""Refused input in one sentence: the field, what came, what is allowed there, what to do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from softmend.errors import InputError

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

SEE_SCHEMA = "softmend compute --schema NAME shows what is expected"


def refused(wrong: ValidationError, model: type[BaseModel]) -> InputError:
    """Return the first fault of an input as an error in one sentence.

    A name that is not known comes before a name that is missing: it is most often that name, typed
    otherwise.
    """
    faults = wrong.errors()
    first: Any = next((one for one in faults if one["type"] == "extra_forbidden"), faults[0])
    place = ".".join(str(part) for part in first["loc"]) or "the input"
    if first["type"] == "extra_forbidden":
        names = fields_at(model.model_json_schema(), first["loc"][:-1])
        near = get_close_matches(str(first["loc"][-1]), names, n=1)
        return InputError(
            f"There is no field “{place}”",
            value=_short(first["input"]),
            allowed=", ".join(names),
            remedy=f"did you mean “{near[0]}”" if near else SEE_SCHEMA,
        )
    if first["type"] == "missing":
        return InputError(
            f"The field “{place}” is missing",
            value="nothing",
            allowed=_told(model.model_json_schema(), first["loc"]),
            remedy=SEE_SCHEMA,
        )
    return InputError(
        f"“{place}” is not as it should be",
        value=_short(first["input"]),
        allowed=first["msg"].removeprefix("Value error, "),
        remedy=SEE_SCHEMA,
    )


def fields_at(schema: dict[str, Any], place: tuple[int | str, ...]) -> list[str]:
    """Return the names of the fields that a JSON schema knows at a place of the input."""
    return sorted({name for node in _nodes(schema, place) for name in node.get("properties", {})})


def _told(schema: dict[str, Any], place: tuple[int | str, ...]) -> str:
    described = [node.get("description", "") for node in _nodes(schema, place)]
    return next((text.split("\n")[0] for text in described if text), "a value")


def _nodes(schema: dict[str, Any], place: tuple[int | str, ...]) -> list[dict[str, Any]]:
    """Return every branch of a schema that may stand at a place; pydantic also puts in tags."""
    nodes = _branches(schema, schema)
    for part in place:
        below = [child for node in nodes for child in _children(node, part)]
        # A tag of a union ("dict", a model's name) is part of the place, but no field of the input.
        nodes = [branch for child in below for branch in _branches(schema, child)] or nodes
    return nodes


def _children(node: dict[str, Any], part: int | str) -> list[dict[str, Any]]:
    if isinstance(part, int):
        return [node["items"]] if isinstance(node.get("items"), dict) else []
    if part in node.get("properties", {}):
        return [node["properties"][part]]
    extra = node.get("additionalProperties")
    return [extra] if isinstance(extra, dict) else []


def _branches(schema: dict[str, Any], node: dict[str, Any]) -> list[dict[str, Any]]:
    if "$ref" in node:
        described = {key: node[key] for key in ("description",) if key in node}
        return _branches(schema, schema["$defs"][node["$ref"].rpartition("/")[2]] | described)
    choices = [*node.get("anyOf", ()), *node.get("oneOf", ()), *node.get("allOf", ())]
    return [node, *(branch for one in choices for branch in _branches(schema, one))]


def _short(value: Any) -> str | int | float:
    return value if isinstance(value, str | int | float) else type(value).__name__
