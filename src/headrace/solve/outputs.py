"""
What a batch found, by quantity and name, one value a variant.

Answers   the same outputs a solution has, as arrays, and which variants meet each limit
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from headrace.parts.block import Block
from headrace.physics.block import block_temp_k
from headrace.solve.balanced import Balanced
from headrace.solve.noise import NoiseModel
from headrace.solve.resting import nearest_moving
from headrace.units import Array


@dataclass(frozen=True)
class Outputs:
    """Arrays by quantity and id, shape (variants,) each; `limits` says of each limit which variants meet it."""

    by_name: dict[str, dict[str, Array]]
    hottest_k: Array
    limits: dict[str, NDArray[np.bool_]]


def find_outputs(found: Balanced, noise: NoiseModel, resistance: Array | None = None) -> Outputs:
    """All outputs of a batch; `resistance` scales that of every block, by place of heat."""
    prepared, variants = found.prepared, found.variants
    loop, passages = prepared.loop, prepared.assembly.passages
    names = [passage.id for passage in passages]
    flow = found.mass_flow_kg_s / found.density_kg_m3
    chips = _chips(found, flow, resistance)
    limits_k = {part.id: float(part.limit_k) for part in loop.parts if part.limit_k is not None and part.id in chips}
    radiators = {core.part: i for i, core in enumerate(prepared.air_model.cores)}
    live = {int(core): i for i, core in enumerate(prepared.air_model.live)}
    paths = [core.path for core in prepared.air_model.cores]
    levels = noise.levels_db(variants)
    total = noise.total_db(levels) if any(s.sound is not None for s in noise.sources) else None
    near = nearest_moving(found)
    coolant = {name: found.node_k[:, near[i]] for i, name in enumerate(prepared.assembly.nodes)}
    moving = found.heat.station_k[:, :-1]
    hottest = np.max(moving, axis=1) if moving.shape[1] else found.heat.station_k[:, -1]
    by_name = {
        "flow_m3_s": {name: flow[:, i] for i, name in enumerate(names)},
        "dp_pa": {name: found.flows.dp_pa[:, i] for i, name in enumerate(names)},
        "coolant_temp_k": coolant,
        "part_temp_k": chips,
        "margin_k": {part: limit - chips[part] for part, limit in limits_k.items()},
        "heat_w": {part: found.heat.heat_w[:, live[i]] for part, i in radiators.items() if i in live},
        "air_flow_m3_s": {part: found.air.flow_m3_s[:, paths[i]] for part, i in radiators.items()},
        "air_in_temp_k": {part: found.air.air_in_k[:, i] for part, i in radiators.items()},
        "coolant_rise_k": {"": _rise(found, near)},
        "noise_db": {} if total is None else {"": np.broadcast_to(total, hottest.shape)},
    }
    meets = {f"chip of {part}": chips[part] <= limit for part, limit in limits_k.items()}
    if loop.limits.coolant_k is not None:
        meets["coolant"] = hottest <= float(loop.limits.coolant_k)
    if loop.limits.noise_db is not None and total is not None and all(s.sound is not None for s in noise.sources):
        meets["noise"] = by_name["noise_db"][""] <= float(loop.limits.noise_db)
    if loop.limits.flow_m3_s is not None:
        weak = [i for i, passage in enumerate(passages) if passage.does == "heat"]
        weak = weak or [i for i, passage in enumerate(passages) if passage.does == "pump"]
        meets["flow"] = np.min(np.abs(flow[:, weak]), axis=1, initial=np.inf) >= float(loop.limits.flow_m3_s)
    return Outputs(by_name, hottest, meets)


def _rise(found: Balanced, near: list[int]) -> Array:
    """Hottest less coldest coolant within one water; of several waters, the one where it is most."""
    node_k, rises = found.node_k, [np.zeros(len(found.node_k))]
    for water in _waters(found):
        inside = node_k[:, sorted({near[node] for node in water})]
        rises.append(np.max(inside, axis=1) - np.min(inside, axis=1))
    most: Array = np.max(np.stack(rises), axis=0)
    return most


def _waters(found: Balanced) -> list[set[int]]:
    """The nodes of each loop: those that links join, whether the water moves or not."""
    waters: list[set[int]] = []
    for link in found.prepared.assembly.network.links:
        joined = [water for water in waters if link.start in water or link.end in water]
        waters = [water for water in waters if water not in joined]
        waters.append({link.start, link.end}.union(*joined))
    return waters


def _chips(found: Balanced, flow: Array, factor: Array | None) -> dict[str, Array]:
    """Temperature of every chip whose block states a resistance."""
    prepared, chips = found.prepared, {}
    for place, link in enumerate(prepared.stations.places):
        passage = prepared.assembly.passages[link]
        card = prepared.loop.part(passage.owner).card
        if passage.does != "heat" or not isinstance(card, Block) or card.resistance is None:
            continue
        law = card.resistance
        resistance = law.fit().resistance_k_w(np.abs(flow[:, link]))
        scale = 1.0 if factor is None else factor[:, place]
        chips[passage.owner] = np.asarray(
            block_temp_k(
                found.place_in_k[:, place],
                found.place_out_k[:, place],
                found.variants.heat_w[:, place],
                resistance * scale,
                law.node,
            )
        )
    return chips
