"""Answers: “not known” is one, a blank is none (rule 14)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from softmend.errors import RuleError
from softmend.records.dossier import NOT_KNOWN


def refuse_blank_answers(record: Any) -> None:
    """Refuse a record in which a blank stands where “not known” would be an answer (rule 14)."""
    for field in fields(record):
        value = getattr(record, field.name)
        if field.default == NOT_KNOWN and isinstance(value, str) and not value.strip():
            raise RuleError(
                f"The answer to “{field.name.replace('_', ' ')}” is blank",
                rule=14,
                remedy=f"Say it, or leave it as “{NOT_KNOWN}”",
            )
        for part in value if isinstance(value, tuple) else (value,):
            if is_dataclass(part):
                refuse_blank_answers(part)
