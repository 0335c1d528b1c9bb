"""The API that programs and our own scripts call: JSON in, JSON out, one error body."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from fastapi import APIRouter

router = APIRouter(prefix="/api/v1")
