"""How the folder of an imported picture is laid out; the folder itself is handed over."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

CANONICAL_NAME = "canonical.tif"
TILE_FOLDER = "tiles"
# What is still being written bears this; after a crash it may be swept.
PARTIAL_PREFIX = ".partial-"
