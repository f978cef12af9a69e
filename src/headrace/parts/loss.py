"""
What a passage costs in pressure, as a card states it: points, an a,b law, a Kv, or a K on a bore.

Answers   the coefficients of dp = a Q^2 + b Q (or of K = k_laminar/Re + k), and the fluid they were found with
"""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from headrace.parts.coolant import TestFluid
from headrace.parts.fields import FlowUnit, Number, Percent, PressureUnit, Record, Size, StatedFlow, fault_error
from headrace.physics.curve import LossFit, fit_loss, loss_faults
from headrace.physics.minor import fitting_k, fittings
from headrace.units import Origin, Range

Pair = tuple[Number, Number]
_FORMS = "points, a and b, kv, k with bore, or shape with bore"


class Loss(Record):
    """Pressure loss of one passage, in exactly one of four forms."""

    flow: FlowUnit | None = None
    loss: PressureUnit | None = None
    points: tuple[Pair, ...] | None = None
    a: Number | None = Field(default=None, ge=0)
    b: Number | None = Field(default=None, ge=0)
    kv_m3_s: StatedFlow | None = None
    k: Number | None = Field(default=None, ge=0)
    k_laminar: Number = Field(default=0.0, ge=0)
    shape: str | None = None
    bore_m: Size | None = None
    spread_frac: Percent | None = None
    with_: TestFluid = TestFluid()
    origin: Origin | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        forms = [self.points, self.a if self.a is not None else self.b, self.kv_m3_s, self.k, self.shape]
        if sum(form is not None for form in forms) != 1:
            raise fault_error("the loss is not stated in exactly one way", "", f"Give one of: {_FORMS}.")
        if (self.points is not None or forms[1] is not None) and (self.flow is None or self.loss is None):
            raise fault_error("the units are missing", "", 'Write flow = "L/h", loss = "kPa".')
        if (self.k is not None or self.shape is not None) and self.bore_m is None:
            raise fault_error("K without a bore", "", 'Write bore = "9 mm": K belongs to the velocity in that bore.')
        if self.shape is not None and self.shape not in fittings():
            raise fault_error(f'unknown shape "{self.shape}"', "", "Known: " + ", ".join(fittings()) + ".")
        if self.points is not None:
            faults = loss_faults(*self._points_si())
            if faults:
                raise fault_error(
                    "; ".join(faults), "", "A loss rises with the flow, with an exponent from 1 to 2.1.", at="points"
                )
        return self

    def _points_si(self) -> tuple[list[float], list[float]]:
        assert self.points is not None
        assert self.flow is not None
        assert self.loss is not None
        return [self.flow.to_si(q) for q, _ in self.points], [self.loss.to_si(dp) for _, dp in self.points]

    def points_span_m3_s(self) -> Range | None:
        """The flows between which the loss was stated; None without points."""
        flows = self._points_si()[0] if self.points is not None else []
        return Range(min(flows), max(flows)) if len(flows) > 1 else None

    def fit(self) -> LossFit | None:
        """Coefficients of dp = a Q^2 + b Q in SI for the test fluid; None when the loss is stated as a K or Kv."""
        if self.points is not None:
            return fit_loss(*self._points_si())
        if self.a is None and self.b is None:
            return None
        assert self.flow is not None
        assert self.loss is not None
        per_flow, dp = self.flow.to_si(1.0), self.loss.to_si(1.0)
        return LossFit((self.a or 0.0) * dp / per_flow**2, (self.b or 0.0) * dp / per_flow, 0.0, 0, ())

    def k_pair(self) -> tuple[float, float] | None:
        """(k_laminar, k_turbulent) on the velocity in `bore_m`; None when the loss is stated otherwise."""
        if self.shape is not None and self.bore_m is not None:
            k_laminar, k_turbulent = fitting_k(self.shape, float(self.bore_m))
            return float(k_laminar), float(k_turbulent)
        return None if self.k is None else (self.k_laminar, self.k)
