"""Views of the object: photographs, the scale set on them, papers, and what was not examined."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from softmend.records.dossier import NOT_KNOWN


class Light(Enum):
    """The light a photograph was taken in."""

    NORMAL = "normal"
    RAKING = "raking"
    ULTRAVIOLET = "ultraviolet"
    INFRARED = "infrared"
    TRANSMITTED = "transmitted"
    XRAY = "X-ray"


class ScaleMethod(Enum):
    """How a scale was set on a photograph."""

    TWO_CLICKS = "two_clicks"
    MARKERS = "markers"
    RECTANGLE = "rectangle"
    CYLINDER = "cylinder"


@dataclass(frozen=True)
class View:
    """One photograph; positions on it are pixels of the upright canonical copy.

    `plan_x` and `plan_y` (0 to 1) say where it was taken on the plan of the object.
    """

    number: int
    original_name: str
    original_sha256: str
    original_bytes: int
    canonical_sha256: str
    width_px: int
    height_px: int
    bits: int
    colour_profile: str
    shows: str = NOT_KNOWN
    side: str = NOT_KNOWN
    light: Light = Light.NORMAL
    light_from: str = NOT_KNOWN
    taken_on: str = NOT_KNOWN
    made_by: str = NOT_KNOWN
    stage: str = "before treatment"
    intake_notes: tuple[str, ...] = ()
    carries_location: bool = False
    plan_x: float | None = None
    plan_y: float | None = None


@dataclass(frozen=True)
class Scale:
    """The scale set on a view; `inputs` are those of the computation photo.scale.

    Millimetres are always derived from these inputs, never stored beside a mark.
    """

    view_id: str
    method: ScaleMethod
    inputs: dict[str, Any]


@dataclass(frozen=True)
class Paper:
    """An attached file that Softmend keeps and hashes but never opens."""

    number: int
    original_name: str
    original_sha256: str
    original_bytes: int
    what: str
    said_by: str = NOT_KNOWN
    dated_on: str = NOT_KNOWN
    quoted_reported: str = NOT_KNOWN


@dataclass(frozen=True)
class NotExamined:
    """A place that was not examined, and why; as good an answer as a photograph."""

    place: str
    because: str
    plan_x: float | None = None
    plan_y: float | None = None
