"""The set-up itself: both databases answer, the browser opens, and a skipped test is a failure."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import sqlalchemy

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_a_database_of_either_kind_keeps_a_row(database_url: str) -> None:
    engine = sqlalchemy.create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(sqlalchemy.text("CREATE TABLE mark (number INTEGER)"))
        connection.execute(sqlalchemy.text("INSERT INTO mark VALUES (7)"))
    with engine.connect() as connection:
        assert connection.scalar(sqlalchemy.text("SELECT number FROM mark")) == 7
    engine.dispose()


def test_the_browser_shows_a_page(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content("<title>bench</title><p>softmend</p>")
    assert page.title() == "bench"
    page.close()
