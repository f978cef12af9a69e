"""From balanced arrays to a solution by names: ports, parts, margins, shares, notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from headrace.fluids import air as air_fluid
from headrace.fluids import fits
from headrace.fluids.air import Air
from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, State
from headrace.parts.block import Block
from headrace.physics.block import VALID_FLOW_M3_S, block_temp_k
from headrace.physics.friction import TRANSITION_RE, reynolds
from headrace.physics.pump import VALID_SPEED_FRAC
from headrace.solve.airside import StackAir, used_bounds
from headrace.solve.assemble import Assembly
from headrace.solve.heat import LEAST_KG_S
from headrace.solve.laws import Pumping, Straight
from headrace.solve.solution import BlockResult, Closure, ElementResult, LinkResult, RadiatorResult, Solution
from headrace.units import Range, show

if TYPE_CHECKING:
    from headrace.solve.steady import Balanced


def build_solution(
    loop: Loop,
    state: State,
    assembly: Assembly,
    stacks: tuple[StackAir, ...],
    coolant: Coolant,
    air: Air,
    found: Balanced,
) -> Solution:
    """Name everything that was found."""
    links = _links(assembly, coolant, found)
    blocks = tuple(_blocks(loop, links))
    radiators = tuple(_radiators(stacks, found, air))
    pressure = assembly.network.node_pressure_pa(
        found.flow.dp_pa, [i for i, n in enumerate(assembly.nodes) if n.endswith(".tank")]
    )[0]
    return Solution(
        state=state.name,
        room_k=float(state.room_k),
        closure=_closure(assembly, found),
        links=links,
        blocks=blocks,
        radiators=radiators,
        coolant_temp_k=_port_temps(assembly, found),
        pressure_pa={name: float(p) for name, p in zip(assembly.nodes, pressure, strict=True)},
        share_frac=_shares(links),
        part_temp_k={block.part: block.temp_k for block in blocks},
        margin_k={block.part: block.margin_k for block in blocks if block.margin_k is not None},
        notes=tuple(dict.fromkeys((*assembly.notes, *_notes(assembly, stacks, found, links, blocks, state)))),
    )


def _links(assembly: Assembly, coolant: Coolant, found: Balanced) -> tuple[LinkResult, ...]:
    results, first = [], 0
    for index, (passage, link) in enumerate(zip(assembly.passages, assembly.network.links, strict=True)):
        mass = float(found.mass_flow_kg_s[0, index])
        ends = (float(found.heat.node_k[0, link.start]), float(found.heat.node_k[0, link.end]))
        temp_in, temp_out = ends if mass >= 0 else ends[::-1]
        density = float(found.density[0, index])
        elements = tuple(
            ElementResult(e.label, e.law, float(found.flow.element_dp_pa[0, first + i]))
            for i, e in enumerate(passage.elements)
        )
        first += len(elements)
        results.append(
            LinkResult(
                passage.id,
                passage.owner,
                passage.kind,
                passage.start,
                passage.end,
                passage.does,
                mass / density,
                mass,
                float(found.flow.dp_pa[0, index]),
                passage.heat_w,
                temp_in,
                temp_out,
                density,
                float(found.viscosity[0, index]),
                float(coolant.heat_capacity_j_kg_k(0.5 * (temp_in + temp_out))),
                elements,
            )
        )
    return tuple(results)


def _blocks(loop: Loop, links: tuple[LinkResult, ...]) -> list[BlockResult]:
    results = []
    for link in links:
        if link.does != "heat":
            continue
        part = loop.part(link.owner)
        law = part.card.resistance if isinstance(part.card, Block) else None
        if law is None:
            continue
        resistance = float(law.fit().resistance_k_w(abs(link.flow_m3_s)))
        node_k = float(block_temp_k(link.temp_in_k, link.temp_out_k, 0.0, 0.0, law.node))
        temp = float(block_temp_k(link.temp_in_k, link.temp_out_k, link.heat_w, resistance, law.node))
        limit = None if part.limit_k is None else float(part.limit_k)
        results.append(BlockResult(part.id, law.node, node_k, resistance, link.heat_w, temp, limit))
    return results


def _radiators(stacks: tuple[StackAir, ...], found: Balanced, air: Air) -> list[RadiatorResult]:
    del air
    results = []
    for index, stack in enumerate(stacks):
        heat = float(found.heat.heat_w[0, index])
        air_in = float(found.heat.air_in_k[0, index])
        strength = float(found.air.strength_w_k[0, index])
        coolant_in = air_in + heat / strength if strength > 0 else air_in
        air_out = air_in + heat / stack.capacity_w_k if stack.capacity_w_k > 0 else None
        form = "UA law" if stack.ua is not None else "points"
        results.append(
            RadiatorResult(
                stack.stack.radiator,
                stack.stack.id,
                form,
                strength,
                coolant_in,
                air_in,
                air_out,
                stack.air_flow_m3_s,
                stack.speed_hz,
                heat,
            )
        )
    return results


def _port_temps(assembly: Assembly, found: Balanced) -> dict[str, float]:
    """Coolant at every port; water at rest has the temperature of the nearest water that moves."""
    live = np.abs(found.mass_flow_kg_s[0]) > LEAST_KG_S
    known = {}
    for flows, link in zip(live, assembly.network.links, strict=True):
        if flows:
            known[link.start] = known[link.end] = True
    temps = {node: float(found.heat.node_k[0, node]) for node in known}
    grew = True
    while grew:
        grew = False
        for link in assembly.network.links:
            for here, there in ((link.start, link.end), (link.end, link.start)):
                if here in temps and there not in temps:
                    temps[there] = temps[here]
                    grew = True
    return {name: temps.get(i, float(found.heat.node_k[0, i])) for i, name in enumerate(assembly.nodes)}


def _shares(links: tuple[LinkResult, ...]) -> dict[str, float]:
    """Each element's share of the power the water loses, so that parallel branches add up to one whole."""
    lost = {
        link.id: link.flow_m3_s * sum(e.dp_pa for e in link.elements if not isinstance(e.law, Pumping))
        for link in links
    }
    total = sum(lost.values())
    return {id_: power / total if total > 0 else 0.0 for id_, power in lost.items()}


def _closure(assembly: Assembly, found: Balanced) -> Closure:
    mass = found.mass_flow_kg_s[0]
    into = np.zeros(assembly.network.nodes)
    for flow, link in zip(mass, assembly.network.links, strict=True):
        into[link.end] += flow
        into[link.start] -= flow
    heat = sum(passage.heat_w for passage in assembly.passages)
    return Closure(
        float(np.max(np.abs(into), initial=0.0) / max(float(np.max(np.abs(mass), initial=0.0)), 1e-12)),
        float(found.flow.left_pa[0]),
        abs(float(found.heat.left_w[0])) / heat if heat > 0 else 0.0,
        found.passes,
    )


def _notes(
    assembly: Assembly,
    stacks: tuple[StackAir, ...],
    found: Balanced,
    links: tuple[LinkResult, ...],
    blocks: tuple[BlockResult, ...],
    state: State,
) -> list[str]:
    """What was used outside its range, what was held, what was taken for want of a statement."""
    notes = used_bounds(stacks, found.air.strength_w_k[0])
    temps = found.heat.node_k[0]
    notes += _outside(float(temps.max()), float(temps.min()), fits.VALID_K, "temp_k", "coolant properties")
    notes += _outside(float(state.room_k), float(state.room_k), air_fluid.VALID_K, "temp_k", "air properties")
    unsure = [link.id for link in links for e in link.elements if isinstance(e.law, Straight) and _unsure(link, e.law)]
    if unsure:
        notes.append(
            f"friction in {len(unsure)} runs lies between laminar and turbulent (Re {TRANSITION_RE.low:.0f} to "
            f"{TRANSITION_RE.high:.0f}), where it is known to 30 %: {', '.join(unsure)}"
        )
    for link in links:
        for element in link.elements:
            if isinstance(element.law, Pumping):
                speed = float(np.max(element.law.speed_frac))
                if link.flow_m3_s < 0:
                    notes.append(f'pump "{link.owner}" is driven backwards')
                if 0 < speed < VALID_SPEED_FRAC.low:
                    notes.append(
                        f'pump "{link.owner}": affinity laws below {show(VALID_SPEED_FRAC.low, "x_frac")} of full speed'
                    )
    for block in blocks:
        flow = abs(next(link.flow_m3_s for link in links if link.owner == block.part and link.does == "heat"))
        if not VALID_FLOW_M3_S.covers(flow):
            notes.append(f'block "{block.part}": resistance at {show(flow, "flow_m3_s")}, outside the range of its law')
    rest = [p.id for p, flow in zip(assembly.passages, found.mass_flow_kg_s[0], strict=True) if abs(flow) <= LEAST_KG_S]
    if rest:
        notes.append(f"no flow in {', '.join(rest)}")
    return notes


def _unsure(link: LinkResult, law: Straight) -> bool:
    re = float(reynolds(abs(link.flow_m3_s), float(np.max(law.bore_m)), link.density_kg_m3, link.viscosity_pa_s))
    return TRANSITION_RE.covers(re)


def _outside(high: float, low: float, valid: Range, name: str, what: str) -> list[str]:
    if valid.covers(high) and valid.covers(low):
        return []
    worst = high if high > valid.high else low
    return [
        f"{what} at {show(worst, name)}, outside their range of {show(valid.low, name)} to {show(valid.high, name)}"
    ]
