"""From balanced arrays to a solution by names: ports, parts, margins, shares, notes."""

from __future__ import annotations

import numpy as np

from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, State
from headrace.parts.block import Block
from headrace.physics.block import block_temp_k
from headrace.physics.heat import rise_k
from headrace.solve.airside import StackAir
from headrace.solve.assemble import Assembly
from headrace.solve.balanced import Balanced
from headrace.solve.heat import LEAST_KG_S, exchanged_w
from headrace.solve.laws import Pumping
from headrace.solve.notes import find_notes
from headrace.solve.solution import BlockResult, Closure, ElementResult, LinkResult, RadiatorResult, Solution


def build_solution(
    loop: Loop,
    state: State,
    assembly: Assembly,
    stacks: tuple[StackAir, ...],
    coolant: Coolant,
    found: Balanced,
) -> Solution:
    """Name everything that was found."""
    links = _links(assembly, coolant, found)
    blocks = tuple(_blocks(loop, links))
    radiators = tuple(_radiators(stacks, found, links))
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
        notes=tuple(dict.fromkeys((*assembly.notes, *find_notes(loop, assembly, stacks, found, links, blocks, state)))),
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


def _radiators(stacks: tuple[StackAir, ...], found: Balanced, links: tuple[LinkResult, ...]) -> list[RadiatorResult]:
    results = []
    for index, stack in enumerate(stacks):
        heat = float(found.heat.heat_w[0, index])
        air_in = float(found.heat.air_in_k[0, index])
        strength = float(found.air.strength_w_k[0, index])
        coolant_in = links[stack.link].temp_in_k
        air_out = air_in + float(rise_k(heat, stack.capacity_w_k)) if stack.capacity_w_k > 0 else None
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
    heat = exchanged_w(sum(passage.heat_w for passage in assembly.passages), found.heat.heat_w)
    return Closure(
        float(np.max(np.abs(into), initial=0.0) / max(float(np.max(np.abs(mass), initial=0.0)), 1e-12)),
        float(found.flow.left_pa[0]),
        abs(float(found.heat.left_w[0])) / heat,
        found.passes,
    )
