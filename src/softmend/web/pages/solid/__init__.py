"""Scans of the object: brought in, given a unit, measured, held, compared."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.solid import answers, front, said, scan

PAGES = (front, answers, said, scan)
