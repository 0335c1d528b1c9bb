"""A page for the viewer alone, under the strict policy, on a desk and on a tablet."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.viewer.hand import DESK, TABLET, Hand
from tests.browser.viewer.server import Bench, serving

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser


@pytest.fixture
def bench() -> Bench:
    """Give a server's memory of this test alone."""
    return Bench()


@pytest.fixture
def url(bench: Bench) -> Iterator[str]:
    """Give the address of a running page."""
    with serving(bench) as address:
        yield address


@pytest.fixture
def hand(browser: Browser, url: str) -> Iterator[Hand]:
    """Give the page on a desk; afterwards nothing may have been complained of but what was told."""
    context = browser.new_context(viewport=DESK)
    hand = Hand(context.new_page(), url)
    yield hand
    hand.has_no_complaint()
    context.close()


@pytest.fixture
def tablet(browser: Browser, url: str) -> Iterator[Hand]:
    """Give the page on a tablet, driven by touch."""
    context = browser.new_context(viewport=TABLET, has_touch=True)
    hand = Hand(context.new_page(), url)
    yield hand
    hand.has_no_complaint()
    context.close()
