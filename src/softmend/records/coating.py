"""What is said of one coated place so that it can be asked which layer lets go.

A value that is not said here is the bench's own, or the table's for that coating, or not known.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.told import check_told


class UnderFlakes(Enum):
    """What clings to the underside of a loose flake."""

    NOTHING = "nothing"
    LAYER = "a layer below"
    BODY = "the body"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class CoatingModel:
    """What is said of a coating, the layer under it if there is one, and the body.

    `stretch_percent` is how far the ground has outgrown the coating since it set, along the
    surface. `lasting_share` is what is left over years of an adhesion measured quickly.
    """

    coating: str = NOT_KNOWN
    coating_grounds: str = NOT_KNOWN
    coating_thickness_um: Told | None = None
    coating_stress_mpa: Told | None = None
    stretch_percent: Told | None = None
    adhesion_j_per_m2: Told | None = None
    coating_modulus_gpa: Told | None = None
    coating_poisson: Told | None = None
    coating_toughness_j_per_m2: Told | None = None
    layer: str = NOT_KNOWN
    layer_thickness_um: Told | None = None
    layer_modulus_gpa: Told | None = None
    layer_poisson: Told | None = None
    layer_adhesion_j_per_m2: Told | None = None
    body: str = NOT_KNOWN
    preservation: str = NOT_KNOWN
    body_modulus_gpa: Told | None = None
    body_poisson: Told | None = None
    body_toughness_j_per_m2: Told | None = None
    lasting_share: Told | None = None
    seen_under_flakes: UnderFlakes = UnderFlakes.NOT_KNOWN


# Field -> words, unit, least, most.
LIMITS: dict[str, tuple[str, str, float, float]] = {
    "coating_thickness_um": ("The thickness of the coating", "µm", 0.1, 5000),
    "coating_stress_mpa": ("The tension that drying left", "MPa", 0.001, 200),
    "stretch_percent": ("How far the ground outgrew it", "%", -5, 20),
    "adhesion_j_per_m2": ("What holds the coating", "J/m²", 0.01, 1e5),
    "coating_modulus_gpa": ("The stiffness of the coating", "GPa", 1e-4, 20),
    "coating_poisson": ("Poisson's ratio of the coating", "", 0, 0.49),
    "coating_toughness_j_per_m2": ("What a crack in the coating costs", "J/m²", 0.1, 1e5),
    "layer_thickness_um": ("The thickness of the layer", "µm", 0.1, 5000),
    "layer_modulus_gpa": ("The stiffness of the layer", "GPa", 1e-4, 100),
    "layer_poisson": ("Poisson's ratio of the layer", "", 0, 0.49),
    "layer_adhesion_j_per_m2": ("What holds the layer", "J/m²", 0.01, 1e5),
    "body_modulus_gpa": ("The stiffness of the body", "GPa", 1e-4, 100),
    "body_poisson": ("Poisson's ratio of the body", "", 0, 0.49),
    "body_toughness_j_per_m2": ("What a crack in the body costs", "J/m²", 0.1, 1e5),
    "lasting_share": ("The share of an adhesion that lasts", "", 0.001, 1),
}
OF_LAYER = (
    "layer_thickness_um", "layer_modulus_gpa", "layer_poisson", "layer_adhesion_j_per_m2",
)  # fmt: skip


def checked_coating(model: CoatingModel) -> CoatingModel:
    """Return what was said of a coating if every value is possible, and a layer is whole."""
    check_told(model, LIMITS)
    said = [name for name in OF_LAYER if getattr(model, name) is not None]
    if said and model.layer == NOT_KNOWN:
        raise InputError(
            "A layer has values and no name",
            value=", ".join(LIMITS[name][0] for name in said),
            remedy="Name it: patina, ground, old consolidant",
        )
    if model.layer in ("coating", "body"):
        raise InputError(
            "A layer needs a name of its own", value=model.layer, allowed="not “coating” or “body”"
        )
    return model
