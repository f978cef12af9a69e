"""The coolant as a file states it: water, or water and a glycol, by volume or by mass."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from headrace.fluids.coolant import Coolant, glycol_mass, glycol_volume, water
from headrace.parts.fields import Glycol, Record, Temperature, fault_error
from headrace.units import Kind, read_figure


class Mixture(Record):
    """Base fluid and share of glycol."""

    base: Literal["water", "propylene glycol", "ethylene glycol"] = "water"
    fraction: Glycol | None = None

    @model_validator(mode="after")
    def _fraction_fits_base(self) -> Self:
        if self.base == "water" and self.fraction is not None and self.fraction > 0:
            raise fault_error(
                "water has a glycol fraction", "", 'Write base = "propylene glycol" or drop the fraction.'
            )
        if self.base != "water" and self.fraction is None:
            raise fault_error(
                f"{self.base} without a fraction", "", 'Write fraction = "25 vol%" (the label says which %).'
            )
        return self

    def fluid(self) -> Coolant:
        """The coolant whose properties can be asked for."""
        if self.base == "water" or self.fraction is None:
            return water()
        mix = glycol_volume if self.fraction.kind is Kind.VOLUME_FRACTION else glycol_mass
        return mix(self.base, float(self.fraction))


class TestFluid(Mixture):
    """What a curve was measured with; plain water at 25 °C unless the card says otherwise."""

    temp_k: Temperature = read_figure("25 °C", Kind.TEMPERATURE)

    def density_kg_m3(self) -> float:
        """Density of the fluid as it was tested."""
        return float(self.fluid().density_kg_m3(self.temp_k))
