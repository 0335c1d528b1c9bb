"""Where a store may lie: a file on this machine's own disk, or PostgreSQL on this machine."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ipaddress
import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath

from sqlalchemy.engine import URL

from softmend.errors import NotAllowedError, StorageError

MOUNTS = Path("/proc/mounts")
# fmt: off
NETWORK_FILE_SYSTEMS = frozenset({
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "afs", "ceph", "glusterfs", "lustre", "gpfs",
    "beegfs", "9p", "davfs", "virtiofs", "fuse.sshfs", "fuse.glusterfs", "fuse.ceph", "fuse.rclone",
    "fuse.davfs2", "fuse.s3fs", "fuse.curlftpfs",
})
# fmt: on


def refuse_network_share(path: Path, mounts: str | None = None) -> None:
    """Raise StorageError when a database file would lie on a network share."""
    system = file_system(path, _mounts() if mounts is None else mounts)
    if PureWindowsPath(path).drive.startswith("\\\\"):
        system = "a Windows share"
    if system in NETWORK_FILE_SYSTEMS or system == "a Windows share":
        raise StorageError(
            "A SQLite file cannot lie on a network share: two machines would damage it",
            value=f"{path} ({system})",
            allowed="a disk of this machine",
            remedy="Move the folder, or use PostgreSQL for several benches",
        )


def file_system(path: Path, mounts: str) -> str:
    """Return the kind of file system a path lies on, by a table of mounts; "" when unknown."""
    place = PurePosixPath(path.resolve().as_posix())
    best, kind = PurePosixPath(), ""
    for line in mounts.splitlines():
        _, point, name, *_ = line.split(" ")
        point = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), point)
        # The mount nearest to the path holds it; of two on one point, the later.
        if place.is_relative_to(point) and len(PurePosixPath(point).parts) >= len(best.parts):
            best, kind = PurePosixPath(point), name
    return kind


def refuse_far_postgres(url: URL, environment: Mapping[str, str] = os.environ) -> None:
    """Raise NotAllowedError unless the server is reached through this machine alone."""
    for host in postgres_hosts(url, environment):
        if not is_loopback(host):
            raise NotAllowedError(
                "A PostgreSQL server on another machine is not opened: there are no accounts yet",
                value=host,
                allowed="a local socket, localhost, 127.0.0.1 or ::1",
                remedy="Run Softmend on the server's own machine",
            )


def postgres_hosts(url: URL, environment: Mapping[str, str]) -> list[str]:
    """Return every host that a PostgreSQL address can lead to, the environment's included."""
    named = [url.host or ""]
    for key in ("host", "hostaddr", "service"):
        named += _each(url.query.get(key))
    named += [environment.get(name, "") for name in ("PGHOSTADDR", "PGSERVICE")]
    if not any(named):
        named.append(environment.get("PGHOST", ""))
    return [host for name in named for host in name.split(",") if host]


def is_loopback(host: str) -> bool:
    """Say whether a host is this machine: a socket's folder, localhost or a loopback address."""
    if host.startswith(("/", "@")) or host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.partition(":")[0] if "." in host else host).is_loopback
    except ValueError:
        return False


def _each(value: str | Iterable[str] | None) -> list[str]:
    return [value] if isinstance(value, str) else list(value or ())


def _mounts() -> str:
    return MOUNTS.read_text(encoding="utf-8") if MOUNTS.exists() else ""
