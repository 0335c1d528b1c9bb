"""Days at the bench: today, and the local date on which an entry was written."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from softmend.services.bench import Bench


def bench_day(bench: Bench) -> str:
    """Return today's date at the bench."""
    return bench.clock().astimezone(ZoneInfo(bench.zone)).date().isoformat()


def day_of(at: str) -> str:
    """Return the bench's date of an entry's time."""
    stamp, _, zone = at.rstrip("]").partition("[")
    utc = datetime.fromisoformat(stamp.removesuffix("Z")).replace(tzinfo=UTC)
    return utc.astimezone(ZoneInfo(zone)).date().isoformat()
