"""Open a number of a solution: its formula, its inputs, where each of them comes from.

Answers   where a number comes from, down to what the files state
Assumes   the formula text is the second paragraph of the formula's own docstring, so that it stands once
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, State
from headrace.parts.block import Block
from headrace.parts.fields import Record
from headrace.parts.spread import find_spread
from headrace.physics.block import block_resistance_k_w, block_temp_k
from headrace.physics.curve import curve_dp_pa
from headrace.physics.effectiveness import strength_w_k
from headrace.physics.friction import bend_dp_pa, friction_dp_pa, friction_factor, inlet_dp_pa
from headrace.physics.heat import capacity_w_k, rise_k
from headrace.physics.minor import minor_dp_pa, step_dp_pa
from headrace.physics.pump import PowerLaw, PumpCurve
from headrace.physics.radiator import StrengthTable, ua_w_k
from headrace.physics.valve import kv_dp_pa
from headrace.solve.laws import Coefficient, Curve, Curved, Pumping, Step, Straight, Valve
from headrace.solve.solution import ElementResult, LinkResult, Solution
from headrace.units import Figure

LAW_FORMULAS: dict[type, tuple[Callable[..., Any], ...]] = {
    Straight: (friction_dp_pa, friction_factor, inlet_dp_pa),
    Curved: (bend_dp_pa,),
    Coefficient: (minor_dp_pa,),
    Step: (step_dp_pa,),
    Curve: (curve_dp_pa,),
    Valve: (kv_dp_pa,),
    Pumping: (PumpCurve.head_pa,),
}
_KEY = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)+)\]")


@dataclass(frozen=True)
class Explained:
    """One number opened: its formulas, where it was stated, and the numbers it was made from.

    `unit` is a name that ends in a suffix of the closed list. With `closed` it can be opened by asking for its name.
    """

    name: str
    value: float | str
    unit: str = ""
    formulas: tuple[str, ...] = ()
    said: str = ""
    inputs: tuple[Explained, ...] = ()
    closed: bool = False

    @property
    def sources(self) -> tuple[str, ...]:
        """The source keys named by the formulas and the text of this number alone."""
        return tuple(dict.fromkeys(_KEY.findall(" ".join((*self.formulas, self.said)))))


class _Opened(NamedTuple):
    formulas: tuple[str, ...]
    inputs: tuple[Explained, ...] = ()
    said: str = ""


def formula_of(function: Callable[..., Any]) -> str:
    """The formula a function computes, as its docstring writes it, with its source key."""
    paragraphs = inspect.cleandoc(function.__doc__ or "").split("\n\n")
    text = paragraphs[1] if len(paragraphs) > 1 else paragraphs[0]
    return re.sub(r" {4,}", "; ", re.sub(r"\s*\n\s*", " ", text))


class Explainer:
    """Opens the numbers of one solution down to `depth` levels; what lies deeper is closed."""

    def __init__(self, loop: Loop, state: State, solution: Solution, depth: int = 4) -> None:
        self.loop, self.state, self.solution, self.depth = loop, state, solution, depth
        self._links = {link.id: link for link in solution.links}
        self._radiators = {radiator.part: radiator for radiator in solution.radiators}
        self._blocks = {block.part: block for block in solution.blocks}
        radiators = solution.radiators
        self._values: dict[str, tuple[str, dict[str, float], Callable[[str, int], _Opened]]] = {
            "flow": ("flow_m3_s", solution.flow_m3_s, self._flow),
            "dp": ("dp_pa", solution.dp_pa, self._dp),
            "share": ("share_frac", solution.share_frac, self._share),
            "coolant_temp": ("temp_k", solution.coolant_temp_k, self._coolant_temp),
            "part_temp": ("temp_k", solution.part_temp_k, self._part_temp),
            "margin": ("margin_k", solution.margin_k, self._margin),
            "heat": ("heat_w", solution.heat_w, self._heat),
            "strength": ("strength_w_k", {r.part: r.strength_w_k for r in radiators}, self._strength),
            "air_in_temp": ("temp_k", {r.part: r.air_in_temp_k for r in radiators}, self._air_in),
            "pressure": ("dp_pa", solution.pressure_pa, self._pressure),
        }

    def names(self) -> Iterator[str]:
        """Every name that can be opened."""
        yield "coolant_rise"
        for head, (_, values, _) in self._values.items():
            yield from (f"{head}.{id_}" for id_ in values)
        yield from (f"threshold.{name}" for name in self.loop.thresholds)

    def open(self, name: str) -> Explained:
        """The number called `name`; KeyError when there is none."""
        return self._open(name, self.depth)

    def _open(self, name: str, depth: int) -> Explained:
        head, _, id_ = name.partition(".")
        if head == "threshold":
            return self._threshold(name, id_)
        if head == "coolant_rise":
            return self._coolant_rise(depth)
        unit, values, opener = self._values[head]
        value = values[id_]
        if depth <= 0:
            return Explained(name, value, unit, closed=True)
        opened = opener(id_, depth - 1)
        return Explained(name, value, unit, opened.formulas, opened.said, opened.inputs)

    @staticmethod
    def _stated(name: str, figure: float | None, unit: str, place: object) -> Explained:
        """A value from a file, with its text and where it stands."""
        if figure is None:
            return Explained(name, "not stated", said=f"missing in {place}")
        typed = f' as "{figure.text}"' if isinstance(figure, Figure) and figure.text else ""
        origin = f", {figure.origin}" if isinstance(figure, Figure) and figure.origin else ""
        return Explained(name, float(figure), unit, (), f"stated in {place}{typed}{origin}")

    def _card_place(self, owner: str, key: str = "") -> str:
        """Which card a value of a part comes from, under which key, and how well it is known; empty for runs."""
        part = next((part for part in self.loop.parts if part.id == owner), None)
        if part is None:
            return ""
        record = getattr(part.card, key, None)
        record = record[0] if isinstance(record, tuple) and record else record
        spread = find_spread(record) if isinstance(record, Record) else None
        words = [part.card.origin_of(key), str(spread) if spread else None, "invented" if part.card.invented else None]
        known = ", ".join(word for word in words if word)
        return f'from card "{part.card.id}"{f" ({known})" if known else ""}, used in {part.place}'

    # --- flow -------------------------------------------------------------------------------------------------

    def _flow(self, _id: str, depth: int) -> _Opened:
        formula = "sum of dp around every circuit = 0, sum of flows into every node = 0 [todini-pilati-1988]"
        losing = [link for link in self.solution.links if link.dp_pa != 0.0]
        return _Opened((formula,), tuple(self._open(f"dp.{link.id}", min(depth, 0)) for link in losing))

    def _dp(self, id_: str, depth: int) -> _Opened:
        link = self._links[id_]
        formula = "dp = sum over the elements of this link; negative where a pump adds pressure"
        return _Opened((formula,), tuple(self._element(link, element, depth) for element in link.elements))

    def _element(self, link: LinkResult, element: ElementResult, depth: int) -> Explained:
        formulas = tuple(formula_of(function) for function in LAW_FORMULAS[type(element.law)])
        said = self._card_place(link.owner, "curve" if isinstance(element.law, Pumping) else "loss")
        if depth <= 0:
            return Explained(element.label, element.dp_pa, "dp_pa", formulas, said)
        inputs = [
            Explained(f"flow.{link.id}", link.flow_m3_s, "flow_m3_s", closed=True),
            Explained("coolant density", link.density_kg_m3, "density_kg_m3", (formula_of(Coolant.density_kg_m3),)),
            Explained("viscosity", link.viscosity_pa_s, "viscosity_pa_s", (formula_of(Coolant.viscosity_pa_s),)),
        ]
        for field in fields(element.law):  # type: ignore[arg-type]  # every law is a dataclass
            value = getattr(element.law, field.name)
            if isinstance(value, int | float):
                inputs.append(Explained(field.name, float(value), field.name))
        return Explained(element.label, element.dp_pa, "dp_pa", formulas, said, tuple(inputs))

    def _share(self, id_: str, depth: int) -> _Opened:
        formula = "share = Q dp of this link / sum of Q dp over all links that lose pressure, by definition"
        return _Opened((formula,), (self._open(f"flow.{id_}", 0), self._open(f"dp.{id_}", depth)))

    def _pressure(self, _port: str, _depth: int) -> _Opened:
        return _Opened(
            ("p = pressure above the water in the reservoir: take off the dp of every link on the way; no height",)
        )

    # --- coolant ----------------------------------------------------------------------------------------------

    def _coolant_rise(self, depth: int) -> Explained:
        hot, cold = self.solution.widest
        inputs = (self._open(f"coolant_temp.{hot}", depth - 1), self._open(f"coolant_temp.{cold}", depth - 1))
        formula = "hottest coolant - coldest coolant anywhere in one loop, by definition"
        return Explained("coolant_rise", self.solution.coolant_rise_k, "rise_k", (formula,), "", inputs)

    def _coolant_temp(self, port: str, depth: int) -> _Opened:
        feeders = [link for link in self.solution.links if outlet(link) == port and link.flow_m3_s != 0.0]
        if len(feeders) != 1:
            formula = "T = mix of the waters that meet here, by mass flow; still water takes its neighbour's T"
            return _Opened((formula,), tuple(self._open(f"coolant_temp.{inlet(link)}", 0) for link in feeders))
        (link,) = feeders
        before = f"coolant_temp.{inlet(link)}"
        if not link.heat_w and link.does != "cool":
            return _Opened(
                ("T = T of the port before it: this stretch gains and loses no heat",), (self._open(before, depth),)
            )
        capacity = Explained(
            "capacity rate of the coolant",
            abs(link.mass_flow_kg_s) * link.heat_capacity_j_kg_k,
            "capacity_w_k",
            (formula_of(capacity_w_k), formula_of(Coolant.heat_capacity_j_kg_k)),
        )
        cools = link.does == "cool"
        heat = self._open(f"heat.{link.owner}", depth) if cools else self._link_heat(link)
        formula = f"T_out = T_in {'-' if cools else '+'} dT; {formula_of(rise_k)}"
        return _Opened((formula,), (self._open(before, 0), heat, capacity))

    def _link_heat(self, link: LinkResult) -> Explained:
        if link.does == "pump":
            formula = "share that ends in the coolant times P; " + formula_of(PowerLaw.power_w)
            said = self._card_place(link.owner, "power_points")
            return Explained(f"heat of pump {link.owner}", link.heat_w, "heat_w", (formula,), said)
        stated = self.state.heat_w.get(link.owner)
        return self._stated(f"heat of {link.owner}", stated, "heat_w", self.state.place)

    # --- chips and radiators ----------------------------------------------------------------------------------

    def _part_temp(self, part: str, depth: int) -> _Opened:
        block = self._blocks[part]
        link = next(link for link in self.solution.links if link.owner == part and link.does == "heat")
        port = {"inlet": inlet(link), "outlet": outlet(link)}.get(block.node)
        mean = Explained("mean coolant in the block", block.node_temp_k, "temp_k", ("half of inlet and outlet",))
        coolant = self._open(f"coolant_temp.{port}", depth) if port else mean
        return _Opened((formula_of(block_temp_k),), (coolant, self._link_heat(link), self._resistance(part, link)))

    def _resistance(self, part: str, link: LinkResult) -> Explained:
        card = self.loop.part(part).card
        inputs = [Explained(f"flow.{link.id}", link.flow_m3_s, "flow_m3_s", closed=True)]
        if isinstance(card, Block) and card.resistance is not None:
            fit = card.resistance.fit()
            inputs += [Explained("R0", fit.base_k_w, "base_k_w"), Explained("c", fit.falling_k_w, "falling_k_w")]
            inputs += [Explained("n", fit.exponent), *(Explained("note", note) for note in fit.notes)]
        value = self._blocks[part].resistance_k_w
        formula = formula_of(block_resistance_k_w)
        return Explained(
            "resistance", value, "resistance_k_w", (formula,), self._card_place(part, "resistance"), tuple(inputs)
        )

    def _margin(self, part: str, depth: int) -> _Opened:
        placed = self.loop.part(part)
        limit = self._stated(f"limit of {part}", placed.limit_k, "temp_k", placed.place)
        return _Opened(
            ("margin = limit - temperature, by definition",), (limit, self._open(f"part_temp.{part}", depth))
        )

    def _heat(self, part: str, depth: int) -> _Opened:
        link = next(link for link in self.solution.links if link.owner == part and link.does == "cool")
        inputs = (
            self._open(f"strength.{part}", depth),
            self._open(f"coolant_temp.{inlet(link)}", 0),
            self._open(f"air_in_temp.{part}", depth),
        )
        return _Opened(("q = G (T_coolant,in - T_air,in), by definition of the strength G",), inputs)

    def _strength(self, part: str, _depth: int) -> _Opened:
        radiator = self._radiators[part]
        by_law = radiator.form == "UA law"
        formulas = (
            (formula_of(ua_w_k), formula_of(strength_w_k)) if by_law else (formula_of(StrengthTable.strength_w_k),)
        )
        stack = next(stack for stack in self.loop.stacks if stack.id == radiator.stack)
        inputs = []
        if radiator.air_flow_m3_s is not None:
            said = f'from stack "{stack.id}" in {stack.place}'
            inputs.append(Explained("airflow", radiator.air_flow_m3_s, "air_flow_m3_s", (), said))
        if radiator.speed_hz is not None:
            inputs.append(Explained("fan speed", radiator.speed_hz, "speed_hz", (), f"from {self.state.place}"))
        return _Opened(formulas, tuple(inputs), self._card_place(part, "ua" if by_law else "strength"))

    def _air_in(self, part: str, depth: int) -> _Opened:
        stack = next(stack for stack in self.loop.stacks if stack.id == self._radiators[part].stack)
        formula = "T_air,in = room + stated rise"
        inputs = [self._stated("room", self.state.room_k, "temp_k", self.state.place)]
        if stack.inlet.from_ != "room":
            other = next(r for r in self.solution.radiators if r.stack == stack.inlet.from_)
            formula += " + share (T_air,out of the other stack - room), T_air,out = T_air,in + q / (rho V cp)"
            name = f"share of the exhaust of {stack.inlet.from_}"
            inputs += [
                Explained(name, float(stack.inlet.share_frac), "share_frac", (), f"stated in {stack.place}"),
                self._open(f"air_in_temp.{other.part}", depth),
                self._open(f"heat.{other.part}", min(depth, 1)),
                Explained(f"airflow of {other.part}", other.air_flow_m3_s or 0.0, "air_flow_m3_s"),
            ]
        if stack.inlet.plus_k:
            inputs.append(self._stated("stated rise", stack.inlet.plus_k, "rise_k", stack.place))
        return _Opened((formula,), tuple(inputs))

    def _threshold(self, name: str, key: str) -> Explained:
        row = self.loop.thresholds[key]
        unit = str(row.value.kind) if isinstance(row.value, Figure) else ""
        return Explained(name, float(row.value), unit, (row.meaning,), row.mark)


def outlet(link: LinkResult) -> str:
    """The port at which the water leaves a link."""
    return link.end if link.flow_m3_s >= 0 else link.start


def inlet(link: LinkResult) -> str:
    """The port at which the water enters a link."""
    return link.start if link.flow_m3_s >= 0 else link.end
