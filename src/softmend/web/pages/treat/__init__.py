"""Treat: the day's log, batches, fragments, joins, and the record of treatment."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.treat import (
    batches,
    fragments,
    joins,
    log,
    look_up,
    record,
    seats,
    trays,
)

PAGES = (
    log,
    batches,
    trays,
    seats,
    fragments,
    joins,
    record,
    look_up,
)
