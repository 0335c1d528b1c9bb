"""The browser itself opens, before any page of ours is blamed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_the_browser_shows_a_page(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content("<title>bench</title><p>softmend</p>")
    assert page.title() == "bench"
    page.close()
