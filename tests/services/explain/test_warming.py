"""Explain warmed in the background: it computes, throws away, and holds nobody up."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess
import sys

from softmend.services.explain import warming

FIRST = """
import sys
from softmend.services.explain.warming import warm
assert "scipy.stats" not in sys.modules
warm()
from softmend.science.joint.chart import chart
assert chart.cache_info().currsize >= 1
assert "scipy.stats" in sys.modules
print("warm")
"""


def test_warming_fetches_what_the_first_answer_needs() -> None:
    told = subprocess.run(
        [sys.executable, "-c", FIRST], capture_output=True, text=True, check=True, timeout=120
    )
    assert told.stdout == "warm\n"


def test_it_is_a_thread_that_never_keeps_the_program_from_ending() -> None:
    thread = warming.warm_in_background(0.0)
    assert thread.daemon
    thread.join(60)
    assert not thread.is_alive()
