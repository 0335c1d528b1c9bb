"""The folder in which a camera or a phone drops its photographs: a setting of the house."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class WatchedFolder:
    """Where the house looks for photographs, from the beginning of the disk; empty for nowhere."""

    folder: str = ""
