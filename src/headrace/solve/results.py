"""From balanced arrays to a solution by names: ports, parts, margins, shares, notes."""

from __future__ import annotations

import numpy as np

from headrace.loop.model import Stack
from headrace.parts.block import Block
from headrace.physics.block import block_temp_k
from headrace.physics.fan import stalled as is_stalled
from headrace.physics.heat import rise_k
from headrace.solve.airflow import LEAST_BACK_M3_S
from headrace.solve.balanced import Balanced
from headrace.solve.draws import LEAST_AIR_W_K
from headrace.solve.heat import exchanged_w
from headrace.solve.laws import Pumping
from headrace.solve.noise import solve_noise
from headrace.solve.notes import find_notes
from headrace.solve.resting import nearest_moving
from headrace.solve.solution import (
    AirResult,
    BlockResult,
    Closure,
    ElementResult,
    LinkResult,
    RadiatorResult,
    Solution,
)


def build_solution(found: Balanced) -> Solution:
    """Name everything that was found for the one variant."""
    prepared = found.prepared
    state, assembly = prepared.state, prepared.assembly
    links = _links(found)
    blocks = tuple(_blocks(found, links))
    radiators = tuple(_radiators(found, links))
    air = tuple(_air(found))
    tanks = [i for i, name in enumerate(assembly.nodes) if name.endswith(".tank")]
    pressure = assembly.network.node_pressure_pa(found.flows.dp_pa, tanks)[0]
    noise = solve_noise(prepared)
    notes = (*find_notes(found, links, blocks, air), *(noise.notes if noise else ()))
    return Solution(
        state=state.name,
        room_k=float(state.room_k),
        closure=_closure(found),
        links=links,
        blocks=blocks,
        radiators=radiators,
        air=air,
        case_k=None if prepared.air_model.case_heat_w is None else float(found.air.case_k[0]),
        case_pa=None if prepared.air_model.case_heat_w is None else float(found.air.case_pa[0]),
        coolant_temp_k=_port_temps(found),
        pressure_pa={name: float(p) for name, p in zip(assembly.nodes, pressure, strict=True)},
        share_frac=_shares(links),
        noise=noise,
        part_temp_k={block.part: block.temp_k for block in blocks},
        margin_k={block.part: block.margin_k for block in blocks if block.margin_k is not None},
        notes=tuple(dict.fromkeys((*assembly.notes, *notes))),
    )


def _links(found: Balanced) -> tuple[LinkResult, ...]:
    results, first = [], 0
    assembly, coolant = found.prepared.assembly, found.prepared.coolant
    place_of = {int(link): place for place, link in enumerate(found.prepared.stations.places)}
    for index, (passage, link) in enumerate(zip(assembly.passages, assembly.network.links, strict=True)):
        mass = float(found.mass_flow_kg_s[0, index])
        if index in place_of:
            ends = float(found.place_in_k[0, place_of[index]]), float(found.place_out_k[0, place_of[index]])
        else:
            node_k = found.node_k[0]
            ends = float(node_k[link.start]), float(node_k[link.end])
            ends = ends if mass >= 0 else ends[::-1]
            ends = (ends[0], ends[0])  # the end may be a junction where other water mixes in
        density = float(found.density_kg_m3[0, index])
        elements = tuple(
            ElementResult(e.label, e.law, float(found.flows.element_dp_pa[0, first + i]))
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
                float(found.flows.dp_pa[0, index]),
                passage.heat_w,
                *ends,
                density,
                float(found.viscosity_pa_s[0, index]),
                float(coolant.heat_capacity_j_kg_k(0.5 * (ends[0] + ends[1]))),
                elements,
            )
        )
    return tuple(results)


def _blocks(found: Balanced, links: tuple[LinkResult, ...]) -> list[BlockResult]:
    results = []
    loop = found.prepared.loop
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


def _radiators(found: Balanced, links: tuple[LinkResult, ...]) -> list[RadiatorResult]:
    model, results = found.prepared.air_model, []
    column = {int(core): i for i, core in enumerate(model.live)}
    for index, core in enumerate(model.cores):
        path = model.paths[core.path]
        link = next(link for link in links if link.owner == core.part and link.does == "cool")
        heat = float(found.heat.heat_w[0, column[index]]) if index in column else 0.0
        strength = float(found.air.strength_w_k[0, column[index]]) if index in column else 0.0
        capacity = float(found.air.capacity_w_k[0, core.path])
        air_in = float(found.air.air_in_k[0, index])
        air_out = air_in + float(rise_k(heat, capacity)) if capacity > LEAST_AIR_W_K else None
        flow = float(found.air.flow_m3_s[0, core.path]) if path.known or path.findable else None
        results.append(
            RadiatorResult(
                core.part, path.id, core.form, strength, link.temp_in_k, air_in, air_out, flow, path.speed_hz, heat
            )
        )
    return results


def _air(found: Balanced) -> list[AirResult]:
    model = found.prepared.air_model
    results = []
    for index, path in enumerate(model.paths):
        flow = float(found.air.flow_m3_s[0, index])
        stalled = None
        if path.findable and path.speed_hz:
            share = float(model.loop.thresholds("stall_share"))
            stalled = bool(is_stalled(path.curve(), flow / path.live_fans(), path.speed_ratio(), share))
        origin = "stated" if path.known else "fan curve" if path.findable else "unknown"
        kind = "stack" if isinstance(path.owner, Stack) else "vent"
        results.append(
            AirResult(
                path.id,
                kind,
                None if origin == "unknown" else flow,
                path.speed_hz,
                origin,
                stalled,
                flow < -LEAST_BACK_M3_S,
            )
        )
    return results


def _port_temps(found: Balanced) -> dict[str, float]:
    """Coolant at every port; water at rest has the temperature of the nearest water that moves."""
    node_k, near = found.node_k[0].tolist(), nearest_moving(found)
    return {name: node_k[near[i]] for i, name in enumerate(found.prepared.assembly.nodes)}


def _shares(links: tuple[LinkResult, ...]) -> dict[str, float]:
    """Each element's share of the power the water loses, so that parallel branches add up to one whole."""
    lost = {
        link.id: link.flow_m3_s * sum(e.dp_pa for e in link.elements if not isinstance(e.law, Pumping))
        for link in links
    }
    total = sum(lost.values())
    return {id_: power / total if total > 0 else 0.0 for id_, power in lost.items()}


def _closure(found: Balanced) -> Closure:
    network = found.prepared.assembly.network
    mass = found.mass_flow_kg_s[0]
    into = np.zeros(network.nodes)
    for flow, link in zip(mass, network.links, strict=True):
        into[link.end] += flow
        into[link.start] -= flow
    put_in = np.array([sum(passage.heat_w for passage in found.prepared.assembly.passages)])
    heat = float(exchanged_w(put_in, found.heat.heat_w)[0])
    return Closure(
        float(np.max(np.abs(into), initial=0.0) / max(float(np.max(np.abs(mass), initial=0.0)), 1e-12)),
        float(found.flows.left_pa[0]),
        abs(float(found.heat.left_w[0])) / heat,
        found.passes,
    )
