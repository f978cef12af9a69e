"""A block: what it cools, and its resistance from chip to a stated coolant temperature."""

from __future__ import annotations

from functools import lru_cache
from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from headrace.parts.card import Card, Form, Work
from headrace.parts.fields import FlowUnit, Number, Percent, Record, Resistance, ResistanceUnit, StatedFlow, fault_error
from headrace.physics.block import DEFAULT_EXPONENT, REFERENCE_FLOW_M3_S, BlockFit, fit_block
from headrace.units import Origin

Pair = tuple[Number, Number]


class BlockResistance(Record):
    """
    Chip-to-coolant resistance: one value, a law r0 + c (Q / at)^-n, or points against flow.

    `node` says which coolant temperature it refers to: the water coming in, its mean, or the water going out.
    """

    node: Literal["inlet", "mean", "outlet"]
    value_k_w: Resistance | None = None
    r0_k_w: Resistance | None = None
    c_k_w: Resistance | None = None
    n: Number | None = Field(default=None, gt=0, lt=1)
    at_m3_s: StatedFlow | None = None
    flow: FlowUnit | None = None
    resistance: ResistanceUnit | None = None
    points: tuple[Pair, ...] | None = None
    spread_frac: Percent | None = None
    origin: Origin | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Self:
        law = (self.r0_k_w, self.c_k_w, self.n, self.at_m3_s)
        stated = sum((self.value_k_w is not None, any(x is not None for x in law), self.points is not None))
        if stated != 1:
            raise fault_error(
                "the resistance is not stated in exactly one way", "", "Give value, or r0, c, n and at, or points."
            )
        if self.value_k_w is None and self.points is None and any(x is None for x in law):
            raise fault_error(
                "the law is not whole", "", 'Write r0 = "0.02 K/W", c = "0.03 K/W", n = 0.6, at = "1 L/min".'
            )
        if self.points is not None and (self.flow is None or self.resistance is None):
            raise fault_error("the units are missing", "", 'Write flow = "L/h", resistance = "K/W".')
        if self.points is not None and any(q <= 0 or r <= 0 for q, r in self.points):
            raise fault_error("a point is zero or negative", "", "Flow and resistance are above zero.")
        return self

    def fit(self) -> BlockFit:
        """The resistance as a law of the flow."""
        return _fit_resistance(self)


@lru_cache(maxsize=256)
def _fit_resistance(law: BlockResistance) -> BlockFit:
    if law.value_k_w is not None:
        return BlockFit(float(law.value_k_w), 0.0, DEFAULT_EXPONENT, 0.0, 1)
    if law.points is not None and law.flow is not None and law.resistance is not None:
        return fit_block([law.flow.to_si(q) for q, _ in law.points], [law.resistance.to_si(r) for _, r in law.points])
    assert law.r0_k_w is not None
    assert law.c_k_w is not None
    assert law.n is not None
    assert law.at_m3_s is not None
    falling_k_w = float(law.c_k_w) * (float(law.at_m3_s) / REFERENCE_FLOW_M3_S) ** law.n
    return BlockFit(float(law.r0_k_w), falling_k_w, law.n, 0.0, 0)


class Block(Card):
    """A cold plate with its cover."""

    main: ClassVar[Work | None] = "heat"
    passage: ClassVar[Form] = "through"

    kind: Literal["block"]
    cools: str = ""
    resistance: BlockResistance | None = None
    jet_plate: bool | None = None
