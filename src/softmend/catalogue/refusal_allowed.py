"""What a field may hold, told in words from the schema of an input, never from a library's text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

SOURCED = "a number, or named values: kind, origin, value (with its uncertainty)"
MOST_NAMES = 12


def allowed_at(nodes: Sequence[Mapping[str, Any]]) -> str:
    """Return what the branches of a schema allow, in words, one after the other."""
    told = [words for node in nodes if (words := _told(node))]
    return " or ".join(dict.fromkeys(told)) or "a value"


def allowed_by(told: Mapping[str, Any]) -> str:
    """Return what one limit of a form's field allows, from what its fault tells about itself."""
    names = {"ge": "minimum", "gt": "exclusiveMinimum", "le": "maximum", "lt": "exclusiveMaximum"}
    ends = {node: told[name] for name, node in names.items() if name in told}
    if ends:
        return _number({"type": "number"} | ends)
    if "expected" in told:
        return str(told["expected"]).replace("'", "")
    thing = "values" if "field_type" in told else "characters"
    if "max_length" in told:
        return f"at most {told['max_length']} {thing}"
    return f"at least {told['min_length']} {thing}" if "min_length" in told else ""


def _told(node: Mapping[str, Any]) -> str:
    if node.get("title") == "Sourced":
        return SOURCED
    if "const" in node:
        return str(node["const"])
    if "enum" in node:
        return ", ".join(str(one) for one in node["enum"])
    tell = _KINDS.get(str(node.get("type", "")))
    return "" if tell is None else tell(node)


def _number(node: Mapping[str, Any]) -> str:
    word = "a whole number" if node["type"] == "integer" else "a number"
    least, most = node.get("minimum"), node.get("maximum")
    above, below = node.get("exclusiveMinimum"), node.get("exclusiveMaximum")
    low = f"from {_plain(least)}" if least is not None else ""
    low = f"above {_plain(above)}" if above is not None else low
    high = f"to {_plain(most)}" if most is not None else ""
    high = f"below {_plain(below)}" if below is not None else high
    if low and high:
        joint = " and " if below is not None else " "
        return f"{word} {low}{joint}{'up ' if above is not None and below is None else ''}{high}"
    if low:
        return f"{word} {low}{' upward' if least is not None else ''}"
    if high:
        return f"{word} {'up ' if below is None else ''}{high}"
    return word


def _text(node: Mapping[str, Any]) -> str:
    if node.get("format") == "date":
        return "a date such as 2026-11-29"
    if node.get("format") == "date-time":
        return "a date and time such as 2026-11-29T14:30:00Z"
    return f"text{_count(node, 'Length', 'character')}"


def _list(node: Mapping[str, Any]) -> str:
    return f"a list{_count(node, 'Items', 'value')}"


def _named(node: Mapping[str, Any]) -> str:
    names = sorted(node.get("properties", {}))
    if not names:
        return "a set of named values"
    more = ", …" if len(names) > MOST_NAMES else ""
    return f"named values: {', '.join(names[:MOST_NAMES])}{more}"


def _yes_or_no(_node: Mapping[str, Any]) -> str:
    return "true or false"


def _count(node: Mapping[str, Any], of: str, thing: str) -> str:
    least, most = node.get(f"min{of}", 0), node.get(f"max{of}")
    if most is None:
        return f" of at least {least} {thing}{'' if least == 1 else 's'}" if least else ""
    plural = "" if most == 1 else "s"
    if least == most:
        return f" of {most} {thing}{plural}"
    return (
        f" of {least} to {most} {thing}{plural}" if least else f" of up to {most} {thing}{plural}"
    )


def _plain(value: float) -> str:
    return f"{value:.12g}"


_KINDS: Mapping[str, Callable[[Mapping[str, Any]], str]] = {
    "number": _number,
    "integer": _number,
    "string": _text,
    "array": _list,
    "object": _named,
    "boolean": _yes_or_no,
}
