"""Scans of the object: brought in, given a unit, measured, held, compared."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.solid import answers, compare, front, said, scan, seen

PAGES = (front, compare, answers, said, seen, scan)
