"""Canonical JSON text (RFC 8785): the same data gives the same bytes on every machine."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
import math
import unicodedata
from collections.abc import Mapping
from typing import Any

from softmend.errors import InputError

_quoted = json.JSONEncoder(ensure_ascii=False).encode


def canonical_json(value: Any) -> str:
    """Return the canonical JSON text of plain data, with every string in Unicode NFC."""
    return "".join(_pieces(value))


def sha256_text(text: str) -> str:
    """Return the SHA-256 of a text's UTF-8 bytes, in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _pieces(value: Any) -> list[str]:
    if value is None:
        return ["null"]
    if value is True:
        return ["true"]
    if value is False:
        return ["false"]
    if isinstance(value, str):
        return [_string(value)]
    if isinstance(value, int | float):
        return [number_text(value)]
    if isinstance(value, Mapping):
        return _object(value)
    if isinstance(value, list | tuple):
        inside = ",".join(canonical_json(item) for item in value)
        return ["[", inside, "]"]
    raise InputError("This cannot be kept as JSON", value=type(value).__name__)


def _object(value: Mapping[Any, Any]) -> list[str]:
    names = {}
    for name, item in value.items():
        if not isinstance(name, str):
            raise InputError("A JSON name must be text", value=name)
        names[unicodedata.normalize("NFC", name)] = item
    if len(names) != len(value):
        raise InputError("Two names in one JSON object are the same text")
    # RFC 8785, 3.2.3: names are sorted by their UTF-16 code units, not by code points.
    ordered = sorted(names, key=lambda name: name.encode("utf-16-be", "surrogatepass"))
    inside = ",".join(f"{_string(name)}:{canonical_json(names[name])}" for name in ordered)
    return ["{", inside, "}"]


def _string(text: str) -> str:
    if text.isascii():
        return _quoted(text)
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        message = "This text holds half a character and cannot be kept"
        raise InputError(message, value=ascii(text)) from None
    return _quoted(unicodedata.normalize("NFC", text))


def number_text(value: float) -> str:
    """Return a number as ECMAScript writes it (RFC 8785, 3.2.2.3)."""
    if isinstance(value, int):
        # Beyond 2^53 a JSON number is no longer exact on every machine.
        if abs(value) > 2**53:
            raise InputError("This whole number is too large to be kept exactly", value=value)
        return str(value)
    if not math.isfinite(value):
        raise InputError("Only finite numbers can be kept", value=value)
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    digits, exponent = _shortest_digits(abs(value))
    return sign + _ecmascript(digits, exponent)


def _shortest_digits(value: float) -> tuple[str, int]:
    # repr gives the shortest digits that read back as the same number, as RFC 8785 asks.
    mantissa, _, power = f"{value!r}".partition("e")
    whole, _, fraction = mantissa.partition(".")
    point = len(whole) + int(power or "0")
    digits = (whole + fraction).lstrip("0")
    point -= len(whole + fraction) - len(digits)
    return digits.rstrip("0"), point


def _ecmascript(digits: str, point: int) -> str:
    count = len(digits)
    if count <= point <= 21:
        return digits + "0" * (point - count)
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return "0." + "0" * -point + digits
    power = point - 1
    mantissa = digits if count == 1 else f"{digits[0]}.{digits[1:]}"
    return f"{mantissa}e{'+' if power >= 0 else '-'}{abs(power)}"
