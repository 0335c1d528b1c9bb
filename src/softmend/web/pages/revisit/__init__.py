"""Revisit: the later look, compared with the earlier one."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.revisit import compare, front

PAGES = (
    front,
    compare,
)
