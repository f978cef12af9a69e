"""What the solver found for one state. Frozen; a solution always closed, or there is none."""

from __future__ import annotations

from dataclasses import dataclass

from headrace.solve.laws import Law, Pumping

_TIE_DIGITS = 6  # ports nearer than a microkelvin are equally warm, and the first one is named


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
class AirResult:
    """The air of one stack or vent. `origin` says how the airflow was known: stated, fan curve or unknown."""

    id: str
    kind: str
    air_flow_m3_s: float | None
    speed_hz: float | None
    origin: str
    stalled: bool | None
    backwards: bool


@dataclass(frozen=True)
class NoiseResult:
    """Levels at the listener: of each source and of all, and with the room's own sound on top."""

    distance_m: float
    level_db: dict[str, float]
    total_db: float
    background_db: float | None
    heard_db: float | None
    silent: tuple[str, ...]  # sources whose level nobody states
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Solution:
    """A loop in one state, solved. Mappings go by element id, port id ("gpu1.in"), part id or stack id."""

    state: str
    room_k: float
    closure: Closure
    links: tuple[LinkResult, ...]
    blocks: tuple[BlockResult, ...]
    radiators: tuple[RadiatorResult, ...]
    air: tuple[AirResult, ...]
    case_k: float | None
    case_pa: float | None
    noise: NoiseResult | None
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
        return max(self.coolant_temp_k.items(), key=lambda item: round(item[1], _TIE_DIGITS))

    @property
    def waters(self) -> tuple[tuple[str, ...], ...]:
        """The ports of each loop: those that passages, runs or joints join, whether the water moves or not."""
        found: list[set[str]] = []
        for link in self.links:
            joined = [water for water in found if link.start in water or link.end in water]
            found = [water for water in found if water not in joined]
            found.append({link.start, link.end}.union(*joined))
        return tuple(tuple(port for port in self.coolant_temp_k if port in water) for water in found)

    @property
    def widest(self) -> tuple[str, str]:
        """(hottest port, coldest port) of the loop whose coolant differs most."""
        temps = {port: round(temp, _TIE_DIGITS) for port, temp in self.coolant_temp_k.items()}
        ends = [(max(water, key=temps.__getitem__), min(water, key=temps.__getitem__)) for water in self.waters]
        return max(ends, key=lambda pair: temps[pair[0]] - temps[pair[1]])

    @property
    def coolant_rise_k(self) -> float:
        """Hottest less coldest coolant within one loop; of several loops, the one where it is most."""
        hot, cold = self.widest
        return self.coolant_temp_k[hot] - self.coolant_temp_k[cold]

    @property
    def pump_flow_m3_s(self) -> float:
        """Flow through the pump that moves most."""
        return max((abs(link.flow_m3_s) for link in self.links if link.does == "pump"), default=0.0)

    @property
    def pump_dp_pa(self) -> dict[str, float]:
        """Pressure each pump gives, by part; below zero where it resists."""
        return {
            link.owner: -sum(element.dp_pa for element in link.elements if isinstance(element.law, Pumping))
            for link in self.links
            if link.does == "pump"
        }

    @property
    def block_flow_m3_s(self) -> tuple[str, float] | None:
        """The block with the least flow, and that flow; None without blocks."""
        flows = {link.owner: abs(link.flow_m3_s) for link in self.links if link.does == "heat"}
        return min(flows.items(), key=lambda item: item[1]) if flows else None
