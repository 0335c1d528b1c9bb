"""The bench: the store, the clock and the ids that every use case works with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
import secrets
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from softmend.records.house_forms import HouseForms
from softmend.services.store import Store


def new_id() -> str:
    """Return a fresh UUID version 7 (RFC 9562): ordered by time, never shown to people."""
    milliseconds = time.time_ns() // 1_000_000
    value = (milliseconds << 80) | (0x7 << 76) | (secrets.randbits(12) << 64)
    value |= (0b10 << 62) | secrets.randbits(62)
    return str(uuid.UUID(int=value))


def local_zone() -> str:
    """Return the IANA name of this machine's time zone, or UTC when it cannot be told."""
    named = os.environ.get("TZ", "").lstrip(":")
    if "/" in named:
        return named
    link = Path("/etc/localtime")
    if link.is_symlink():
        _, found, zone = str(link.resolve()).partition("zoneinfo/")
        if found:
            return zone
    return "UTC"


def _utc_now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class Bench:
    """What a use case may reach: a store, the time, fresh ids, the house's own headings."""

    store: Store
    clock: Callable[[], datetime] = _utc_now
    fresh_id: Callable[[], str] = new_id
    zone: str = field(default_factory=local_zone)
    forms: HouseForms = field(default_factory=HouseForms)

    def at(self) -> str:
        """Return the time now as entries write it: UTC with milliseconds, and the bench's zone."""
        now = self.clock().astimezone(UTC)
        return f"{now:%Y-%m-%dT%H:%M:%S}.{now.microsecond // 1000:03d}Z[{self.zone}]"


@dataclass(frozen=True)
class Author:
    """Who records, and to what purpose; nothing is recorded without both."""

    person_id: str
    purpose: str
