"""What every part of the suite shares: databases, a browser, and the rule that nothing is skipped.

The suite runs part after part (tests/parts.py) and ends with the minutes of each.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
import shutil
import uuid
from typing import TYPE_CHECKING

import pytest

from tests.parts import PARTS, Clock, part_of

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator
    from pathlib import Path

    from playwright.sync_api import Browser

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def pytest_configure(config: pytest.Config) -> None:
    """Start the clock of the parts."""
    config.pluginmanager.register(Clock(), "clock of the parts")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Run the parts one after the other, each in the order it was collected."""
    order = list(PARTS)
    items.sort(key=lambda item: order.index(part_of(item.path)))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn every skip and expected failure into a failure: what did not run proves nothing."""
    report = yield
    if report.skipped or hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped or expected to fail; mend it or delete it"
        if hasattr(report, "wasxfail"):
            del report.wasxfail
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Refuse a whole file that skips itself (pytest.importorskip at its top)."""
    report = yield
    if report.skipped:
        report.outcome = "failed"
        report.longrepr = f"{collector.nodeid} skips itself; mend it or delete it"
    return report


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """Give the address of a PostgreSQL server for this run; TEST_PG_URL names another one."""
    given = os.environ.get("TEST_PG_URL")
    if given:
        yield given
        return
    from tests.postgres_server import running_server

    with running_server() as server:
        yield server.url()


def _execute(url: str, statement: str) -> None:
    """Run one statement outside any transaction."""
    import sqlalchemy

    engine = sqlalchemy.create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sqlalchemy.text(statement))
    engine.dispose()


@pytest.fixture
def postgres_database_url(postgres_url: str) -> Iterator[str]:
    """Give the address of an empty PostgreSQL database of this test alone."""
    import sqlalchemy

    name = f"softmend_{uuid.uuid4().hex}"
    _execute(postgres_url, f"CREATE DATABASE {name}")
    yield (
        sqlalchemy.make_url(postgres_url).set(database=name).render_as_string(hide_password=False)
    )
    _execute(postgres_url, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Give the address of an empty database; a test that asks for it runs on both kinds."""
    if request.param == "sqlite":
        return f"sqlite:///{(tmp_path / 'softmend.sqlite').as_posix()}"
    url: str = request.getfixturevalue("postgres_database_url")
    return url


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Return the path of the browser that the machine has."""
    for name in CHROMIUM_NAMES:
        found = shutil.which(name)
        if found:
            return found
    pytest.fail("no chromium on PATH; ./run test says how to install it")


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    """Give one headless Chromium for the run; each test opens a context of its own in it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=chromium_path, args=list(CHROMIUM_FLAGS)
        )
        yield running
        running.close()
