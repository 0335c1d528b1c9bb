"""Canonical JSON against the reference implementation of RFC 8785 in the package rfc8785."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import struct
import unicodedata

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.records.canonical import canonical_json, number_text

texts = st.text(st.characters(exclude_categories=["Cs"])).map(
    lambda text: unicodedata.normalize("NFC", text)
)
plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=20,
)


@given(plain)
def test_canonical_text_is_that_of_rfc_8785(value: object) -> None:
    assert canonical_json(value).encode("utf-8") == rfc8785.dumps(value)


@pytest.mark.parametrize(
    ("bits", "text"),
    [
        # RFC 8785, appendix B: IEEE 754 bits and the text that ECMAScript writes.
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("0000000000000001", "5e-324"),
        ("7fefffffffffffff", "1.7976931348623157e+308"),
        ("4340000000000000", "9007199254740992"),
        ("44b52d02c7e14af6", "1e+23"),
        ("444b1ae4d6e2ef4f", "999999999999999900000"),
        ("444b1ae4d6e2ef50", "1e+21"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555553", "333333333.3333332"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
    ],
)
def test_numbers_are_written_as_the_appendix_of_rfc_8785_prints_them(bits: str, text: str) -> None:
    value = struct.unpack(">d", bytes.fromhex(bits))[0]
    assert number_text(value) == text


def test_names_and_text_are_kept_in_one_unicode_form() -> None:
    composed, decomposed = "\u00e9", "e\u0301"
    assert canonical_json({decomposed: decomposed}) == json.dumps(
        {composed: composed}, ensure_ascii=False, separators=(",", ":")
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**53 + 1, {1: 2}, {"a"}, "\ud800"])
def test_what_cannot_be_kept_exactly_is_refused(value: object) -> None:
    with pytest.raises(InputError):
        canonical_json(value)


def test_two_names_that_are_one_text_are_refused() -> None:
    with pytest.raises(InputError, match="same text"):
        canonical_json({"\u00e9": 1, "e\u0301": 2})
