"""What the solver found for one state. Frozen; a solution always closed, or there is none."""

from __future__ import annotations

from dataclasses import dataclass

from headrace.solve.laws import Law


@dataclass(frozen=True)
class Closure:
    """What was left over: mass and energy as a share of the whole, pressure in the worst circuit."""

    mass_rel: float
    pressure_pa: float
    energy_rel: float
    passes: int


@dataclass(frozen=True)
class ElementResult:
    """The loss of one element of a link, with the law and the numbers that gave it."""

    label: str
    law: Law
    dp_pa: float


@dataclass(frozen=True)
class LinkResult:
    """One run, joint or passage of a part. Flow is positive from `start` to `end`."""

    id: str
    owner: str
    kind: str
    start: str
    end: str
    does: str | None
    flow_m3_s: float
    mass_flow_kg_s: float
    dp_pa: float
    heat_w: float
    temp_in_k: float
    temp_out_k: float
    density_kg_m3: float
    viscosity_pa_s: float
    heat_capacity_j_kg_k: float
    elements: tuple[ElementResult, ...]


@dataclass(frozen=True)
class BlockResult:
    """The chip under one block: the coolant its resistance refers to, the resistance at this flow, the chip."""

    part: str
    node: str
    node_temp_k: float
    resistance_k_w: float
    heat_w: float
    temp_k: float
    limit_k: float | None

    @property
    def margin_k(self) -> float | None:
        """Limit less temperature; None without a limit."""
        return None if self.limit_k is None else self.limit_k - self.temp_k


@dataclass(frozen=True)
class RadiatorResult:
    """One radiator: its strength as used, the inlets of both sides, and what it gives off."""

    part: str
    stack: str
    form: str
    strength_w_k: float
    coolant_in_k: float
    air_in_temp_k: float
    air_out_temp_k: float | None
    air_flow_m3_s: float | None
    speed_hz: float | None
    heat_w: float


@dataclass(frozen=True)
class Solution:
    """A loop in one state, solved. Mappings go by element id, port id ("gpu1.in"), part id or stack id."""

    state: str
    room_k: float
    closure: Closure
    links: tuple[LinkResult, ...]
    blocks: tuple[BlockResult, ...]
    radiators: tuple[RadiatorResult, ...]
    coolant_temp_k: dict[str, float]
    pressure_pa: dict[str, float]
    share_frac: dict[str, float]
    part_temp_k: dict[str, float]
    margin_k: dict[str, float]
    notes: tuple[str, ...]

    @property
    def flow_m3_s(self) -> dict[str, float]:
        """Flow of every run and part."""
        return {link.id: link.flow_m3_s for link in self.links}

    @property
    def dp_pa(self) -> dict[str, float]:
        """Pressure taken by every run and part; negative where a pump adds."""
        return {link.id: link.dp_pa for link in self.links}

    @property
    def heat_w(self) -> dict[str, float]:
        """Heat given off by every radiator."""
        return {radiator.part: radiator.heat_w for radiator in self.radiators}

    @property
    def hottest(self) -> tuple[str, float]:
        """Port and temperature of the hottest coolant."""
        return max(self.coolant_temp_k.items(), key=lambda item: item[1])

    @property
    def coldest(self) -> tuple[str, float]:
        """Port and temperature of the coldest coolant."""
        return min(self.coolant_temp_k.items(), key=lambda item: item[1])

    @property
    def coolant_rise_k(self) -> float:
        """Hottest less coldest coolant anywhere in the loop."""
        return self.hottest[1] - self.coldest[1]

    @property
    def pump_flow_m3_s(self) -> float:
        """Flow through the pump that moves most."""
        return max((abs(link.flow_m3_s) for link in self.links if link.does == "pump"), default=0.0)

    @property
    def pump_dp_pa(self) -> float:
        """Pressure the pumps give to the water of the strongest flow: their power over that flow, so that pumps in
        series add up and pumps side by side do not.
        """
        power = -sum(link.flow_m3_s * link.elements[0].dp_pa for link in self.links if link.does == "pump")
        most = max((abs(link.flow_m3_s) for link in self.links), default=0.0)
        return power / most if most > 0 else 0.0

    @property
    def block_flow_m3_s(self) -> tuple[str, float] | None:
        """The block with the least flow, and that flow; None without blocks."""
        flows = {link.owner: abs(link.flow_m3_s) for link in self.links if link.does == "heat"}
        return min(flows.items(), key=lambda item: item[1]) if flows else None
