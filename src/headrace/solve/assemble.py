"""
From a loop, its route and a state to a network: one link for each run, joint and passage of a part.

Answers   which laws each link is made of, where heat goes in, where pumps turn
Assumes   a passage with no stated loss is lossless in a reservoir and in a joint, and unknown everywhere else
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from headrace.errors import Fault, Unknown
from headrace.loop.model import Joint, Loop, PlacedPart, Run, State
from headrace.loop.route import Route
from headrace.parts.block import Block
from headrace.parts.card import TANK, Channel
from headrace.parts.fields import Record
from headrace.parts.loss import Loss
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.tube import Fitting
from headrace.physics.minor import fitting_k
from headrace.physics.pump import fit_power
from headrace.solve.laws import Coefficient, Curve, Curved, Law, Pumping, Step, Straight, Tubes, Valve
from headrace.solve.network import Link, Network
from headrace.units import Kind, Range

LOSSLESS = Coefficient(0.01, 0.0, 0.0)
PUMP_HEAT_SHARE = 0.85  # of a wet rotor's electric power ends in the coolant: 80 to 90 %, common practice, no source
_SHARP_RAD = math.radians(60)  # a fitting that turns more is taken as a 90 degree elbow, less as a 45 degree one


@dataclass(frozen=True)
class Element:
    """One law in a link, and what a person would call it."""

    label: str
    law: Law
    points_m3_s: Range | None = None  # the flows its card's points span
    fit_frac: float = 0.0  # how far the law lies off the worst of these points
    stated: Record | None = None  # the piece of a card that states it
    card: str = ""  # which card that is
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Passage:
    """What a link stands for: a run, a joint or a channel of a part."""

    id: str
    owner: str  # id of the run, joint or part
    kind: str  # "run", "joint" or "part"
    start: str  # port id, or "part.tank"
    end: str
    elements: tuple[Element, ...]
    does: str | None = None
    heat_w: float = 0.0
    lost_w: float = 0.0  # of a pump's electric power, what warms the air around it


@dataclass(frozen=True)
class Assembly:
    """The network of one state with the meaning of its nodes and links."""

    network: Network
    passages: tuple[Passage, ...]
    nodes: tuple[str, ...]
    notes: tuple[str, ...]

    def node(self, name: str) -> int:
        """Index of a node."""
        return self.nodes.index(name)


class _Assembler:
    def __init__(self, loop: Loop, route: Route, state: State) -> None:
        self.loop, self.route, self.state = loop, route, state
        self.faults: list[Fault] = []
        self.notes: list[str] = []

    def passages(self) -> Iterator[Passage]:
        for part in self.loop.parts:
            channels = part.card.channels()
            main = next((c for c in channels if c.does), next((c for c in channels if c.from_ == TANK), None))
            for channel in channels:
                yield self._channel(part, channel, main=channel is (main or channels[0]))
        for run in self.loop.runs:
            yield Passage(run.id, run.id, "run", run.from_port, run.to_port, tuple(self._run(run)))
        for joint in self.loop.joints:
            yield Passage(joint.id, joint.id, "joint", joint.from_port, joint.to_port, tuple(self._joint(joint)))

    def _channel(self, part: PlacedPart, channel: Channel, *, main: bool) -> Passage:
        """One passage of a part; the main one is called like the part, the others by their ends."""
        id_ = part.id if main else f"{part.id}:{channel.from_}-{channel.to}"
        ends = (f"{part.id}.{channel.from_}", f"{part.id}.{channel.to}")
        heat_w, lost_w = 0.0, 0.0
        elements: list[Element] = []
        if channel.does == "pump" and isinstance(part.card, Pump):
            pump, heat_w, lost_w = self._pump(part, part.card)
            elements.append(pump)
            if channel.loss is not None and part.card.passage != "through":
                elements.append(element_of("passage", channel.loss, part.card.id))
        elif channel.loss is not None:
            elements.append(element_of("passage", channel.loss, part.card.id))
        elif isinstance(part.card, Radiator) and part.card.geometry is not None and channel.does == "cool":
            geometry = part.card.geometry
            elements.append(Element("tubes", Tubes(geometry.core()), stated=geometry, card=part.card.id))
        elif part.card.passage == "hub":
            elements.append(Element("open water", LOSSLESS))
        else:
            found = f'card "{part.card.id}" states no loss from {channel.from_} to {channel.to}'
            fix = 'Add loss = { flow = "L/h", loss = "kPa", points = [...] } to the card.'
            self.faults.append(Fault(part.place, f'part "{part.id}"', found, "", fix))
        if channel.does == "heat" and isinstance(part.card, Block):
            heat_w = float(self.state.heat_w.get(part.id, 0.0))
        return Passage(id_, part.id, "part", *ends, tuple(elements), channel.does, heat_w, lost_w)

    def _pump(self, part: PlacedPart, card: Pump) -> tuple[Element, float, float]:
        """The pump, the heat it gives to the coolant, and what it gives to the air."""
        speed = self.pump_speed_frac(part, card)
        density = card.curve[0].with_.density_kg_m3()
        share = card.heat_share_frac if card.heat_share_frac is not None else PUMP_HEAT_SHARE
        if card.power_points is not None:
            points = card.power_points.points_si()
        elif card.power_w is not None:
            points = ((1.0, float(card.power_w)),)
        else:
            points = ()
            self.notes.append(f'pump "{part.id}": its card states no power, so its heat is not in the balance')
        power = fit_power([s for s, _ in points], [p for _, p in points])
        electric_w = float(power.power_w(speed)) if speed > 0 else 0.0
        heat_w, lost_w = float(share) * electric_w, (1.0 - float(share)) * electric_w
        if speed <= 0.0 and card.stopped is not None:
            return element_of("stopped pump", card.stopped, card.id), 0.0, 0.0
        curve = card.fit()
        span = Range(0.0, curve.last_flow_m3_s * speed)
        law, notes = Pumping(curve, speed, density), (*curve.notes, *power.notes)
        return Element("pump", law, span, stated=card.curve[0], card=card.id, notes=notes), heat_w, lost_w

    def pump_speed_frac(self, part: PlacedPart, card: Pump) -> float:
        """Speed of a pump in this state as a share of full speed; full when the state says nothing."""
        stated = self.state.speed.get(part.id)
        if stated is None:
            self.notes.append(f'pump "{part.id}": the state gives no speed, taken at full speed')
            return 1.0
        return float(stated / (card.full_speed_hz or 1.0)) if stated.kind is Kind.SPEED else float(stated)

    def _run(self, run: Run) -> Iterator[Element]:
        path = self.route.paths[run.id]
        if path.origin == "assumed":
            self.notes.append(f'run "{run.id}": no length and no path, taken as {path.length_m:g} m of straight tube')
        bore = float(run.tube.bore_m)
        for fitting in run.from_with:
            yield from self._fitting(fitting, run.from_port, bore, leaving=False)
        yield Element(f"tube {run.tube.id}", Straight(path.length_m, bore, float(run.tube.roughness_m)))
        for number, bend in enumerate(path.bends, 1):
            law = Curved(bore, bend.bend_rad, bend.radius_m, float(run.tube.roughness_m))
            yield Element(f"bend {number}", law)
        for fitting in reversed(run.to_with):
            yield from self._fitting(fitting, run.to_port, bore, leaving=True)

    def _joint(self, joint: Joint) -> Iterator[Element]:
        elements = [e for fitting in joint.with_ for e in self._fitting(fitting, joint.from_port, None, leaving=False)]
        yield from elements or [Element("screwed together", LOSSLESS)]

    def _fitting(self, fitting: Fitting, port: str, tube_bore: float | None, *, leaving: bool) -> Iterator[Element]:
        """The losses of one fitting: stated, or from its shape. A fitting's K already holds its change of bore."""
        label = f"{fitting.id} at {port}"
        bore = float(fitting.bore_m) if fitting.bore_m is not None else tube_bore
        if fitting.loss is not None:
            yield element_of(label, fitting.loss, fitting.id)
        elif fitting.turn_rad is not None and bore is None:
            self.notes.append(f'fitting "{fitting.id}" at {port}: no bore and no loss on its card, taken as lossless')
        elif fitting.turn_rad is not None and bore is not None:
            if fitting.bore_m is None:
                self.notes.append(f'fitting "{fitting.id}": no bore on its card, taken as the tube\'s')
            shape = "90 mitre" if fitting.turn_rad > _SHARP_RAD else "45 elbow"
            k_laminar, k_turbulent = fitting_k(shape, bore)
            yield Element(label, Coefficient(bore, k_laminar, k_turbulent), card=fitting.id)
        elif fitting.tube is not None and bore is not None and tube_bore is not None and bore != tube_bore:
            yield Element(label, Step(tube_bore, bore) if leaving else Step(bore, tube_bore), card=fitting.id)


def element_of(label: str, loss: Loss, card: str) -> Element:
    """The law a stated loss of a card stands for, with the flows it was stated for."""
    return replace(_element(loss), label=label, stated=loss, card=card)


@lru_cache(maxsize=1024)
def _element(loss: Loss) -> Element:
    """The fit of one stated loss; a card is fitted once however often it is used and solved."""
    fit = loss.fit()
    if fit is not None:
        fluid, temp_k = loss.with_.fluid(), loss.with_.temp_k
        density, viscosity = float(fluid.density_kg_m3(temp_k)), float(fluid.viscosity_pa_s(temp_k))
        law = Curve(fit.a_pa_s2_m6, fit.b_pa_s_m3, density, viscosity)
        return Element("", law, loss.points_span_m3_s(), fit.worst_frac, notes=fit.notes)
    pair = loss.k_pair()
    if pair is not None and loss.bore_m is not None:
        return Element("", Coefficient(float(loss.bore_m), *pair))
    assert loss.kv_m3_s is not None
    return Element("", Valve(float(loss.kv_m3_s) * 3600.0))


def assemble(loop: Loop, route: Route, state: State) -> Assembly:
    """The network of `loop` in `state`. Raises Unknown with every value that no card states."""
    work = _Assembler(loop, route, state)
    passages = tuple(work.passages())
    if work.faults:
        raise Unknown(*work.faults)
    names = dict.fromkeys(name for passage in passages for name in (passage.start, passage.end))
    index = {name: i for i, name in enumerate(names)}
    links = tuple(
        Link(
            passage.id,
            index[passage.start],
            index[passage.end],
            tuple(element.law for element in passage.elements),
            closed=passage.kind == "part" and passage.owner in state.closed,
        )
        for passage in passages
    )
    return Assembly(Network(len(index), links), passages, tuple(index), tuple(work.notes))
