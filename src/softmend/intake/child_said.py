"""What a reading child says to the process that started it: lines of JSON, a refusal among them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import sys
from typing import Any

from softmend.errors import InputError, LimitError, NoSpaceError, SoftmendError


def refusal_said(refused: SoftmendError) -> dict[str, Any]:
    """Return a refusal as it goes to the parent: its kind, and the parts of its sentence."""
    kinds = (NoSpaceError, LimitError, InputError)
    name = next((kind.__name__ for kind in kinds if isinstance(refused, kind)), "InputError")
    parts = {
        "problem": refused.problem,
        "value": refused.value,
        "allowed": refused.allowed,
        "remedy": refused.remedy,
    }
    return {"refused": name, "parts": parts}


def say(message: dict[str, Any]) -> None:
    """Say one thing to the parent, at once."""
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()
