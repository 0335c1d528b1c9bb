"""What is said of one join so that it can be asked whether it holds its piece and gives first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.told import check_told


class JoinOutline(Enum):
    """The outline of a joint."""

    RECTANGLE = "rectangle"
    ELLIPSE = "ellipse"


class Softens(Enum):
    """Whether the adhesive softens with warmth."""

    YES = "softens with warmth"
    NO = "does not soften"


@dataclass(frozen=True)
class JoinModel:
    """What is said of one join, which has the name that the order of assembly gives it.

    `hang_degrees` is the angle of the piece below the horizontal: 0 sticks out sideways, 90 hangs
    straight down, -90 stands on its joint. `handling` multiplies the weight; 1 is at rest.
    """

    name: str
    outline: JoinOutline = JoinOutline.ELLIPSE
    breadth_mm: Told | None = None
    height_mm: Told | None = None
    bonded_share: Told | None = None
    mass_g: Told | None = None
    arm_mm: Told | None = None
    hang_degrees: Told | None = None
    handling: Told | None = None
    adhesive: str = NOT_KNOWN
    softens: Softens = Softens.YES
    bond_strength_mpa: Told | None = None
    glass_transition_degc: Told | None = None
    glue_line_mm: Told | None = None
    bond_energy_j_per_m2: Told | None = None
    lasting_share: Told | None = None
    warmest_degc: Told | None = None
    material: str = NOT_KNOWN
    preservation: str = NOT_KNOWN
    object_strength_mpa: Told | None = None
    object_toughness_j_per_m2: Told | None = None


# Field -> words, unit, least, most.
LIMITS: dict[str, tuple[str, str, float, float]] = {
    "breadth_mm": ("The level width of the joint", "mm", 0.1, 5000),
    "height_mm": ("The upright height of the joint", "mm", 0.1, 5000),
    "bonded_share": ("The share that is bonded", "", 0.01, 1),
    "mass_g": ("The mass of the piece", "g", 0.01, 1e6),
    "arm_mm": ("From the joint to its centre of mass", "mm", 0, 5000),
    "hang_degrees": ("Its angle below the horizontal", "°", -90, 90),
    "handling": ("Handling, times its weight", "", 1, 20),
    "warmest_degc": ("The warmest that it gets", "°C", -20, 60),
    "bond_strength_mpa": ("The strength of the bond", "MPa", 0.001, 200),
    "glass_transition_degc": ("The glass transition", "°C", -60, 250),
    "glue_line_mm": ("The glue line", "mm", 0.001, 20),
    "bond_energy_j_per_m2": ("What parting the bond costs", "J/m²", 0.01, 1e5),
    "lasting_share": ("The share of a strength that lasts", "", 0.001, 1),
    "object_strength_mpa": ("The strength of the object there", "MPa", 0.01, 1000),
    "object_toughness_j_per_m2": ("What a crack in the object costs", "J/m²", 0.1, 1e5),
}


def checked_join(model: JoinModel) -> JoinModel:
    """Return what was said of a join if it has its name and every value is possible."""
    if not model.name.strip():
        raise InputError("A join needs its name", remedy="The order of assembly names them")
    check_told(model, LIMITS)
    return model
