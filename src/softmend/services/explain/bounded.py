"""Values that cannot pass a limit: a share, a Poisson's ratio, an angle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping

from softmend.catalogue.computation import Sourced

NINETY_PERCENT = 2 * 1.645
"""How many standard deviations lie between the 5 and the 95 % point."""

LIMITS: Mapping[str, tuple[float, float]] = {
    "poisson": (0.0, 0.495),
    "coating_poisson": (0.0, 0.495),
    "lasting_share": (0.001, 1.0),
    "bonded_share": (0.01, 1.0),
    "hang_degrees": (-90.0, 90.0),
    "handling": (1.0, 20.0),
}
"""Field of a computation to what it can be at all."""


def bounded(name: str, value: Sourced) -> Sourced:
    """Return a value told by three points so that no draw passes what its field can be."""
    given = value.value
    if (
        name not in LIMITS
        or not isinstance(given, dict)
        or set(given) != {"low", "typical", "high"}
    ):
        return value
    least, most = LIMITS[name]
    band = value.uncertain().band
    cut = {
        "family": "truncated_normal",
        "mean": band.typical,
        "sd": (band.high - band.low) / NINETY_PERCENT,
        "least": least,
        "most": most,
    }
    return Sourced.model_validate({"value": cut, "kind": value.kind, "origin": value.origin})
