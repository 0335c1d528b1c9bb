"""The first answer of Explain made quick: what it needs is fetched before anybody asks.

The numerical libraries and the charts of the usual round shaft take seconds the first time. They
are fetched in a thread of their own once the program serves, so that nothing waits for them.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import threading

AFTER_S = 2.0
"""By then the first page has been given."""


def warm() -> None:
    """Compute one small joint, drawn from nothing recorded; its answer is thrown away."""
    from softmend.catalogue import run

    run("joint.first_to_give", _ASKED)
    run("joint.load_sharing", _ASKED)


def warm_in_background(after_s: float = AFTER_S) -> threading.Timer:
    """Begin to warm a little later, in a daemon thread: the first page is not to wait for it."""
    thread = threading.Timer(after_s, warm)
    thread.name, thread.daemon = "explain-warming", True
    thread.start()
    return thread


# An invented shaft: every value is here only to be computed with.
_ASKED = {
    "crack": {"width_mm": 1.0, "depth_mm": 8.0, "radius_mm": 33.0, "section": "V",
              "body": "cylinder"},
    "matter": {"material": "any", "preservation": "any", "strength_mpa": 3.0, "poisson": 0.3,
               "modulus_gpa": {"value": {"low": 1, "typical": 3, "high": 6}},
               "toughness_mpa_m05": 0.8},
    "fill": {"name": "any", "modulus_gpa": 0.1, "poisson": 0.3, "strength_mpa": 1.0,
             "bond_strength_mpa": 1.0},
    "movement": {"mismatch_percent": 0.02},
    "climate": {"fall_percent": 20.0},
    "draws_log2": 10,
}  # fmt: skip
