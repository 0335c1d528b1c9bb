"""The solution calculator's form: a percentage with its basis, as mixture.convert takes it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.mixing import BASES
from softmend.web.numbers import maybe_number, typed_number

Line = Annotated[str, Field(max_length=200)]
WANTED = {
    "solution_volume_ml": ("mL of solution", "mL"),
    "solution_mass_g": ("g of solution", "g"),
    "solute_mass_g": ("g of solute to use up", "g"),
    "solvent_volume_ml": ("mL of solvent to use up", "mL"),
}
_DENSITIES = (0.3, 25.0)


class MixtureForm(BaseModel):
    """What the calculator is asked; the basis has no default, since none can be guessed."""

    written_percent: Line = ""
    basis: Line = ""
    solute: Line = ""
    solvent: Line = ""
    solute_density_g_per_ml: Line = ""
    solvent_density_g_per_ml: Line = ""
    wanted: Line = "solution_volume_ml"
    amount: Line = ""
    balance_step_g: Line = ""

    @property
    def is_empty(self) -> bool:
        """Say whether nothing was asked yet."""
        return not (self.written_percent.strip() or self.solute.strip())

    def inputs(self) -> dict[str, Any]:
        """Return the inputs of mixture.convert; a percentage without basis is refused (rule 9)."""
        if self.basis not in BASES:
            raise InputError(
                "A bare percentage is refused",
                value=f"{self.written_percent.strip() or 'nothing'} %",
                allowed=", ".join(BASES),
                remedy="Choose of what it is a percentage",
            )
        if self.wanted not in WANTED:
            raise InputError("This amount is not known", value=self.wanted)
        unit = WANTED[self.wanted][1]
        inputs: dict[str, Any] = {
            "written_percent": typed_number(self.written_percent, "The percentage", "%", 0.01, 99),
            "basis": self.basis,
            "solute": self.solute.strip() or "solute",
            "solvent": self.solvent.strip() or "solvent",
            "balance_step_g": maybe_number(
                self.balance_step_g, "The balance's step", "g", 0.00001, 100
            )
            or 0.1,
        }
        for name in ("solute", "solvent"):
            typed = getattr(self, f"{name}_density_g_per_ml")
            inputs[f"{name}_density_g_per_ml"] = typed_number(
                typed, f"The density of the {name}", "g/mL", *_DENSITIES
            )
        much = maybe_number(self.amount, "The amount", unit, 0.001, 1_000_000)
        if much is not None:
            inputs["amount"] = {self.wanted: much}
        return inputs
