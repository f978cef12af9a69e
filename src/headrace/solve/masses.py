"""
What warms up in a loop: the water and metal of every link, and the metal on the chip's side of every block.

Answers   how much water each link holds, how much heat its metal takes, and what of that nobody states
Assumes   the loop was filled at the state's room temperature; a part's metal is as warm as the water that leaves it, a
          block's as warm as its chip; walls of tube and fittings do not count
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from headrace.loop.model import PlacedPart
from headrace.parts.block import Block
from headrace.parts.card import OUTLET, TANK, Card
from headrace.parts.pump import PumpReservoir
from headrace.parts.tables import find_material
from headrace.parts.vessel import Reservoir
from headrace.physics.block import BlockFit
from headrace.solve.assemble import Passage
from headrace.solve.prepared import Prepared
from headrace.units import Array

LEAST_J_K = 0.05  # of every link and chip: 0.01 mL of water, so that each has a temperature of its own


@dataclass(frozen=True)
class Chip:
    """One chip under its block: the link of the block, the law of the resistance, the heat capacity on its side."""

    part: str
    link: int
    node: str
    law: BlockFit
    capacity_j_k: float
    heat_w: float


@dataclass(frozen=True)
class Masses:
    """Water and metal by link, the chips, and what was not stated."""

    water_kg: Array
    metal_j_k: Array
    chips: tuple[Chip, ...]
    notes: tuple[str, ...]

    @property
    def chip_j_k(self) -> Array:
        """Heat capacity of every chip with its block."""
        return np.array([chip.capacity_j_k for chip in self.chips])


def find_masses(prepared: Prepared) -> Masses:
    """The masses of a loop in one state."""
    assembly = prepared.assembly
    volume_m3, metal = np.zeros(len(assembly.passages)), np.full(len(assembly.passages), LEAST_J_K)
    chips, unstated = [], _Unstated()
    for run in prepared.loop.runs:
        link = next(i for i, passage in enumerate(assembly.passages) if passage.kind == "run" and passage.id == run.id)
        bore_m = float(run.tube.bore_m)
        volume_m3[link] = math.pi / 4.0 * bore_m**2 * prepared.route.paths[run.id].length_m
    for part in prepared.loop.parts:
        links = _links_of(prepared, part)
        if not links:
            continue
        stated_m3, capacity = water_volume_m3(part.card), metal_j_k(part.card)
        volume_m3[links] = (stated_m3 or 0.0) / len(links)
        unstated.see(part, stated_m3, capacity)
        chip = _chip(part, assembly.passages, links, max(capacity or 0.0, LEAST_J_K))
        if chip is None:
            metal[links] += (capacity or 0.0) / len(links)
        else:
            chips.append(chip)
    density = float(prepared.coolant.density_kg_m3(float(prepared.state.room_k)))
    return Masses(density * volume_m3, metal, tuple(chips), tuple(unstated.notes()))


def water_volume_m3(card: Card) -> float | None:
    """Water in a part: all it holds, else what a reservoir has below its fill mark; None when nothing is stated."""
    filled = card.water_volume_m3 if isinstance(card, Reservoir | PumpReservoir) else None
    stated = filled if card.volume_m3 is None else card.volume_m3
    return None if stated is None else float(stated)


def metal_j_k(card: Card) -> float | None:
    """Heat capacity of an empty part.

    C as stated, else C = m c, c of the first metal it is wetted by, else of its first material        [incropera-2007]

    J/K; None when the card states neither. A part of several materials is known to 20 % at best.
    """
    if card.heat_capacity_j_k is not None:
        return float(card.heat_capacity_j_k)
    if card.mass_kg is None or not card.wetted:
        return None
    named = [find_material(name) for name in card.wetted]
    main = next((material for material in named if material.index_v is not None), named[0])
    return float(card.mass_kg) * main.heat_capacity_j_kg_k


def _links_of(prepared: Prepared, part: PlacedPart) -> list[int]:
    """The links that share a part's water and metal: those that do its work or leave its tank, if water passes any."""
    assembly = prepared.assembly
    own = [i for i, passage in enumerate(assembly.passages) if passage.kind == "part" and passage.owner == part.id]
    working = [i for i in own if assembly.passages[i].does]
    leaving = [i for i in own if assembly.passages[i].start.endswith((f".{TANK}", f".{OUTLET}"))]
    chosen = working or leaving or own
    dead = set(assembly.network.dead_links())
    return [i for i in chosen if i not in dead] or chosen


def _chip(part: PlacedPart, passages: tuple[Passage, ...], links: list[int], capacity_j_k: float) -> Chip | None:
    law = part.card.resistance if isinstance(part.card, Block) else None
    if law is None:
        return None
    return Chip(part.id, links[0], law.node, law.fit(), capacity_j_k, passages[links[0]].heat_w)


class _Unstated:
    """What of the parts does not count because no card states it."""

    def __init__(self) -> None:
        self.missing: dict[str, list[str]] = {"volume": [], "mass": [], "wetted": []}

    def see(self, part: PlacedPart, volume_m3: float | None, capacity_j_k: float | None) -> None:
        if volume_m3 is None:
            self.missing["volume"].append(part.id)
        if capacity_j_k is None:
            self.missing["mass" if part.card.mass_kg is None else "wetted"].append(part.id)

    def notes(self) -> Iterator[str]:
        for key, parts in self.missing.items():
            if parts:
                yield f"no {key} on the cards of {', '.join(parts)}: they count less, and warm faster, than in truth"
