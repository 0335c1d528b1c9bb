"""How records read on a page: translated sentences, times, enums, lengths of files."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import gettext
from collections.abc import Callable
from datetime import UTC, datetime
from enum import Enum
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from softmend.pictures.drawing import STATE_SIGNS
from softmend.records.canonical import number_text
from softmend.records.dossier import NOT_KNOWN
from softmend.records.mark import State
from softmend.records.unbroken import unbroken
from softmend.services.places.clock import by_clock
from softmend.services.propose.spot_tests_words import agent_said, sentence_said
from softmend.services.workings import sources_named

# No translation is chosen yet; every sentence already passes through here.
_translations = gettext.NullTranslations()


def said(sentence: str, /, **values: Any) -> str:
    """Return a sentence in the reader's language with its values put in."""
    translated = _translations.gettext(sentence)
    return translated.format(**values) if values else translated


def counted(one: str, several: str, count: int, /) -> str:
    """Return the right form for a count; `{n}` stands for it in both."""
    return _translations.ngettext(one, several, count).format(n=count)


def moment(at: str) -> str:
    """Return an entry's time as a clock on this bench's wall showed it: 2026-03-02 10:15."""
    stamp, _, zone = at.rstrip("]").partition("[")
    utc = datetime.fromisoformat(stamp.removesuffix("Z")).replace(tzinfo=UTC)
    try:
        there = utc.astimezone(ZoneInfo(zone))
    except (ZoneInfoNotFoundError, ValueError):
        there = utc
    return f"{there:%Y-%m-%d %H:%M}"


def plain(value: Any) -> str:
    """Return an enum by its word, nothing as "not known", anything else as it reads."""
    if isinstance(value, Enum):
        return str(value.value)
    return NOT_KNOWN if value is None or value == "" else str(value)


def sign(state: State) -> str:
    """Return the sign that stands beside a mark's number."""
    return STATE_SIGNS[state]


def digits(value: float | None) -> str:
    """Return a stored number as it is typed in a field, empty for one that is not known."""
    return "" if value is None else number_text(value)


def file_size(count: int) -> str:
    """Return a length in bytes as people say it."""
    if count < 1_000_000:
        return f"{max(1, round(count / 1000))} kB"
    return f"{count / 1_000_000:.1f} MB"


def sentence(text: str) -> str:
    """Return a text with its first letter large and the others as they are."""
    return text[:1].upper() + text[1:]


def typed(value: str | None) -> str:
    """Return what a form field shows: empty for an answer that nobody gave yet."""
    return "" if value is None or value == NOT_KNOWN else value


def source(keys: str) -> str:
    """Return the source of a value by author, year and title; its section stands behind it."""
    key, comma, where = keys.partition(",")
    return sources_named(key.split(";")) + comma + where


def named(field: str) -> str:
    """Return a record's field name as words with its unit: "value_mm" is "value (mm)"."""
    words = field.split("_")
    unit = f" ({words.pop()})" if words[-1] in ("mm", "mm2", "mL", "g", "px") else ""
    return " ".join(words) + unit


FILTERS: dict[str, Callable[..., str]] = {
    "moment": moment,
    "plain": plain,
    "sign": sign,
    "digits": digits,
    "file_size": file_size,
    "by_clock": by_clock,
    "typed": typed,
    "sentence": sentence,
    "unbroken": unbroken,
    "agent": agent_said,
    "liquids": sentence_said,
    "source": source,
}
