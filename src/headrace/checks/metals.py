"""
Metals that share one water, by anodic index.

Answers   which wetted metals stand in a loop, the step between two of them, and the step that is allowed
Assumes   metals act on one another anywhere in one water, touching or not: dissolved copper plates out on the rest
Source    [mil-std-889], through parts.materials
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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


def widest_pairs(found: tuple[Metal, ...]) -> Iterator[tuple[Metal, Metal]]:
    """Each metal with the noblest it may stand beside, once by name; not what is refused with another."""
    judged: set[str] = set()
    for metal in found:
        if metal.material.group in ACTIVE and any(refused(metal, other) for other in found):
            continue  # METAL-01 has it replaced already
        partners = [other for other in found if other.index_v > metal.index_v and not refused(metal, other)]
        worst = max(partners, key=lambda other: step_v(metal, other), default=None)
        if worst is not None and metal.material.name not in judged:
            judged.add(metal.material.name)
            yield metal, worst


def passed_v(loop: Loop, metal: Metal, other: Metal) -> float | None:
    """The limit of the step that two metals pass in this coolant; None for what stands or hangs on what it holds.

    Solder beside an inhibitor passes: inhibitors are made for it.
    """
    step, solder = step_v(metal, other), metal.material.group == "solder"
    bare_v, inhibited_v = loop.thresholds("galvanic_step_bare"), loop.thresholds("galvanic_step")
    if inhibited(loop) is False and step > bare_v + ROUNDING_V:
        return bare_v
    return inhibited_v if step > inhibited_v + ROUNDING_V and not solder else None


def inhibited(loop: Loop) -> bool | None:
    """Whether the coolant holds an inhibitor; None when the file does not say."""
    return None if loop.coolant.additives is None else "inhibitor" in loop.coolant.additives


def unstated(things: Iterable[Wet]) -> tuple[Wet, ...]:
    """Things whose cards do not say what the water touches."""
    return tuple(wet for wet in things if wet.card.wetted is None)


def unstated_reason(unknown: tuple[Wet, ...]) -> str:
    """Which cards lack the datum, for a skip."""
    return f"no wetted materials on card {names(wet.card.id for wet in unknown)} (wetted)"
