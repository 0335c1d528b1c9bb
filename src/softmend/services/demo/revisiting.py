"""The demo's second look: the front of the beam after a dry winter, ready to be compared."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.services.bench import Author, Bench
from softmend.services.revisit.comparing import record_comparison


def ask_to_compare(
    bench: Bench, author: Author, dossier_id: str, told: Mapping[str, Any], views: Mapping[str, str]
) -> None:
    """Record which two views are to be compared and the invented air of both days."""
    record_comparison(
        bench,
        author,
        dossier_id,
        ComparisonOfViews(
            earlier_view_id=views[told["earlier"]],
            later_view_id=views[told["later"]],
            earlier_percent=told["earlier_percent"],
            later_percent=told["later_percent"],
            air_expanded_percent=told["air_expanded_percent"],
            earlier_degc=told["earlier_degc"],
            later_degc=told["later_degc"],
            air_from=told["air_from"],
        ),
    )
