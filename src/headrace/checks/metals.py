"""
Metals that share one water, by anodic index.

Answers   which wetted metals stand in a loop, the step between two of them, and the step that is allowed
Assumes   metals act on one another anywhere in one water, touching or not: dissolved copper plates out on the rest
Source    [mil-std-889], through parts.materials
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from headrace.checks.ends import names
from headrace.checks.wetted import Wet
from headrace.loop.model import Loop
from headrace.parts.tables import Material, find_material

ACTIVE = frozenset({"aluminium", "zinc"})
NOBLE = frozenset({"copper", "nickel", "brass", "chromium", "silver"})
PASSIVE = frozenset({"chromium", "stainless"})  # their film protects them: common practice, no source
ROUNDING_V = 1e-9


@dataclass(frozen=True)
class Metal:
    """One metal of one wetted thing."""

    material: Material
    index_v: float
    wet: Wet

    def __str__(self) -> str:
        return f"{self.material.name} of {self.wet.label}"


def metals(things: Iterable[Wet]) -> tuple[Metal, ...]:
    """Every metal the water touches."""
    return tuple(
        Metal(material, material.index_v, wet)
        for wet in things
        for material in map(find_material, wet.card.wetted or ())
        if material.index_v is not None
    )


def refused(one: Metal, other: Metal) -> bool:
    """Whether a pair is aluminium or zinc with the copper side, in whichever order."""
    groups = {one.material.group, other.material.group}
    return bool(groups & ACTIVE) and bool(groups & NOBLE)


def step_v(one: Metal, other: Metal) -> float:
    """Step of anodic index between two metals.

    step = |index 1 - index 2|        [mil-std-889]
    """
    return abs(one.index_v - other.index_v)


def inhibited(loop: Loop) -> bool | None:
    """Whether the coolant holds an inhibitor; None when the file does not say."""
    return None if loop.coolant.additives is None else "inhibitor" in loop.coolant.additives


def unstated(things: Iterable[Wet]) -> tuple[Wet, ...]:
    """Things whose cards do not say what the water touches."""
    return tuple(wet for wet in things if wet.card.wetted is None)


def unstated_reason(unknown: tuple[Wet, ...]) -> str:
    """Which cards lack the datum, for a skip."""
    return f"no wetted materials on card {names(wet.card.id for wet in unknown)} (wetted)"
