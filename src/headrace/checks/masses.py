"""
What a machine weighs: its parts, its fans, its case, and the coolant in it.

Answers   the weight of all that states one, and which cards state none
Assumes   tube weighs nothing, nor do fittings and obstacles that state no mass; a part holds what its card states, a
          run what its bore and stated length give
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import all_ends
from headrace.checks.volumes import loop_volume_m3
from headrace.loop.model import Loop, Stack, Vent
from headrace.parts.card import Card
from headrace.parts.casing import Obstacle

_ROOM_K = 293.15  # the coolant is weighed at 20 °C; ten kelvin more are 0.3 % less


def parts_kg(loop: Loop) -> float:
    """The masses of all parts, fans, fittings and the case that state one."""
    small = (piece.mass_kg for end in all_ends(loop) for piece in end.fittings)
    stated = sum(count * float(card.mass_kg or 0.0) for card, count in _cards(loop))
    return stated + sum(float(mass or 0.0) for mass in small)


def unweighed(loop: Loop) -> tuple[str, ...]:
    """The cards that state no mass, the case first; fans, memory and the like as obstacles are not asked for it."""
    bare = [card for card, count in _cards(loop) if count and card.mass_kg is None]
    return tuple(dict.fromkeys(card.id for card in bare if not isinstance(card, Obstacle)))


def coolant_kg(build: Build) -> float:
    """The mass of the coolant in parts and runs, as far as their volumes are known, kg.

    m = rho V        definition
    """
    volume_m3, _ = loop_volume_m3(build, frozenset(part.id for part in build.loop.parts))
    return volume_m3 * float(build.loop.coolant.fluid().density_kg_m3(_ROOM_K))


def _cards(loop: Loop) -> Iterator[tuple[Card, int]]:
    """Every card that weighs something, and how many there are of it."""
    if loop.case is not None:
        yield loop.case, 1
    for part in loop.parts:
        yield part.card, 1
    fanned: tuple[Stack | Vent, ...] = (*loop.stacks, *loop.vents)
    for moved in fanned:
        if moved.fan is not None:
            yield moved.fan, moved.fans or 0
