"""Refused input in one sentence: the field, what came, what is allowed there, what to do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from softmend.catalogue.refusal_allowed import allowed_at
from softmend.errors import InputError

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

# What is wrong, by the kind of fault that the models report; the first words are the field's name.
PROBLEMS = {
    "less_than": "is out of range",
    "less_than_equal": "is out of range",
    "greater_than": "is out of range",
    "greater_than_equal": "is out of range",
    "literal_error": "is not one of the words known here",
    "enum": "is not one of the words known here",
    "too_short": "has too few values",
    "too_long": "has too many values",
    "string_too_long": "is too long",
    "string_too_short": "is empty",
    "finite_number": "is not a number",
    "float_type": "is not a number",
    "float_parsing": "is not a number",
    "int_type": "is not a whole number",
    "int_parsing": "is not a whole number",
    "int_from_float": "is not a whole number",
    "string_type": "is not text",
    "bool_type": "is neither true nor false",
    "bool_parsing": "is neither true nor false",
    "list_type": "is not a list",
    "tuple_type": "is not a list",
    "dict_type": "is not a set of named values",
    "model_type": "is not a set of named values",
    "model_attributes_type": "is not a set of named values",
    "date_type": "is not a date",
    "date_parsing": "is not a date",
    "date_from_datetime_parsing": "is not a date",
    "union_tag_not_found": "does not say which kind it is",
    "union_tag_invalid": "is of a kind that is not known here",
}
# Faults of a value of the right sort: among the branches of a choice these tell most.
NEAR = {
    "less_than", "less_than_equal", "greater_than", "greater_than_equal", "literal_error", "enum",
    "too_short", "too_long", "string_too_long", "string_too_short", "finite_number", "value_error",
}  # fmt: skip
# How the models name the branches of a choice within a place; no field has such a name.
TAGS = ("constrained-", "function-", "literal[", "dict[", "list[", "tuple[", "nullable[")
PLAIN_TAGS = {"float", "int", "str", "bool"}
BARE = "Write the number alone, with a decimal point, without quotes and without its unit"


def refused(wrong: ValidationError, model: type[BaseModel], name: str) -> InputError:
    """Return the first fault of an input as an error in one sentence.

    A name that is not known comes before a name that is missing: it is most often that name, typed
    otherwise. A value that cannot stand also comes first: it is what somebody has just typed.
    """
    faults: list[Any] = list(wrong.errors())
    schema = model.model_json_schema()
    see = f"softmend compute --schema {name} shows what is expected"
    first = _telling(schema, faults)
    place = _field(schema, first["loc"])
    if first["type"] == "extra_forbidden":
        names = fields_at(schema, first["loc"][:-1])
        near = get_close_matches(str(first["loc"][-1]), names, n=1)
        return InputError(
            f"There is no field “{place}”",
            value=_short(first["input"]),
            allowed=", ".join(names),
            remedy=f"did you mean “{near[0]}”" if near else see,
        )
    nodes = nodes_at(schema, first["loc"])
    if first["type"] == "missing":
        return InputError(
            f"The field “{place}” is missing",
            value="nothing",
            allowed=_described(nodes) or allowed_at(nodes),
            remedy=see,
        )
    if first["type"] == "value_error":
        said = first["msg"].removeprefix("Value error, ")
        if not first["loc"]:
            # Single values may each be right: what was typed as a whole would tell nothing.
            return InputError("The values cannot stand as they are", allowed=said, remedy=see)
        return InputError(
            f"“{place}” cannot stand", value=_short(first["input"]), allowed=said, remedy=see
        )
    problem = _problem(first["type"], nodes)
    typed_number = problem == "is not a number" and isinstance(first["input"], str)
    return InputError(
        f"“{place}” {problem}",
        value=_counted(first),
        allowed=allowed_at(nodes),
        remedy=BARE if typed_number else see,
    )


def problem_of(kind: str) -> str:
    """Return in our words what is wrong with a field, by the kind of fault that was reported."""
    return "is missing" if kind == "missing" else PROBLEMS.get(kind, "is not as it should be")


def fields_at(schema: dict[str, Any], place: tuple[int | str, ...]) -> list[str]:
    """Return the names of the fields that a JSON schema knows at a place of the input."""
    return sorted({name for node in nodes_at(schema, place) for name in node.get("properties", {})})


def nodes_at(schema: dict[str, Any], place: tuple[int | str, ...]) -> list[dict[str, Any]]:
    """Return every branch of a schema that may stand at a place; pydantic also puts in tags."""
    nodes = _branches(schema, schema)
    for part in place:
        # A tag of a union ("dict", a model's name) is part of the place, but no field of the input.
        nodes = nodes if _is_tag(nodes, part) else _below(schema, nodes, part) or nodes
    return nodes


def _telling(schema: dict[str, Any], faults: list[Any]) -> Any:
    unknown = [one for one in faults if one["type"] == "extra_forbidden"]
    wrong = [one for one in faults if one["type"] != "missing"]
    first = (unknown or wrong or faults)[0]
    if first["type"] == "extra_forbidden":
        return first
    place = _field(schema, first["loc"])
    beside = [one for one in faults if _field(schema, one["loc"]) == place]
    return next((one for one in beside if one["type"] in NEAR), first)


def _field(schema: dict[str, Any], place: tuple[int | str, ...]) -> str:
    """Return a place of the input as a person reads it, without the tags of a choice."""
    nodes, parts = _branches(schema, schema), []
    for part in place:
        if not _is_tag(nodes, part):
            parts.append(str(part))
            nodes = _below(schema, nodes, part) or nodes
    return ".".join(parts) or "the input"


def _is_tag(nodes: list[dict[str, Any]], part: int | str) -> bool:
    if isinstance(part, int) or not any("anyOf" in node or "oneOf" in node for node in nodes):
        return False
    named = {str(node.get("title", "")) for node in nodes}
    kinds = {
        one for node in nodes for one in node.get("discriminator", {}).get("mapping", {})
    }  # the value of the field that tells the kind
    return part in named | kinds | PLAIN_TAGS or part.startswith(TAGS)


def _problem(kind: str, nodes: list[dict[str, Any]]) -> str:
    if any(node.get("title") == "Sourced" for node in nodes):
        return "is not a number"
    return problem_of(kind)


def _described(nodes: list[dict[str, Any]]) -> str:
    told = [node.get("description", "") for node in nodes]
    return next((text.split("\n")[0] for text in told if text), "")


def _below(
    schema: dict[str, Any], nodes: list[dict[str, Any]], part: int | str
) -> list[dict[str, Any]]:
    children = [child for node in nodes for child in _children(node, part)]
    return [branch for child in children for branch in _branches(schema, child)]


def _children(node: dict[str, Any], part: int | str) -> list[dict[str, Any]]:
    if isinstance(part, int):
        ordered = node.get("prefixItems", [])
        if part < len(ordered):
            return [ordered[part]]
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


def _counted(fault: Any) -> str | int | float:
    """Return what came; of what is too short or too long, how much of it."""
    given = fault["input"]
    if fault["type"] in ("too_short", "too_long"):
        return f"{fault['ctx']['actual_length']} values"
    if fault["type"] == "string_too_long":
        return f"{len(given)} characters"
    return _short(given)


def _short(value: Any) -> str | int | float:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str | int | float):
        return value
    return {"list": "a list", "tuple": "a list", "dict": "a set of named values"}.get(
        type(value).__name__, type(value).__name__
    )
