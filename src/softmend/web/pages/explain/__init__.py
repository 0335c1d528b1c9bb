"""Explain: what is failing and why, which gives first, and the materials it rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.web.pages.explain import (
    bench_tests,
    coating,
    compare,
    crack,
    front,
    joins,
    materials,
    measured_opening,
)

PAGES = (
    front,
    crack,
    compare,
    coating,
    joins,
    materials,
    bench_tests,
    measured_opening,
)
