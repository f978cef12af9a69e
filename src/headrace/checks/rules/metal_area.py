"""METAL-03: no small area of a less noble metal stands against a large one of a nobler metal.

What the large area takes up, the small one has to give: it is eaten fast even where the step is modest. Areas are
summed over the loop, metal by metal. Pairs METAL-01 refuses are left to it; solder beside an inhibitor passes; films
that protect and loops with inhibitor are only noted. A pair METAL-02 finds is left to it too. A step without stated
areas is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headrace.checks.build import Build
from headrace.checks.ends import all_ends, names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import (
    ACTIVE,
    PASSIVE,
    ROUNDING_V,
    Metal,
    inhibited,
    metals,
    passed_v,
    refused,
    widest_pairs,
)
from headrace.checks.wetted import head, owner, water_loops, wetted
from headrace.loop.model import Loop
from headrace.parts.card import Card

CHECK = Check(
    "METAL-03",
    "Small area of a less noble metal",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="ratio",
    limits=(
        "area_step",
        "area_ratio",
    ),
)


@dataclass(frozen=True)
class _Areas:
    """Area of one metal over a loop, and the cards that wet it without stating theirs."""

    area_m2: float
    unknown: tuple[str, ...]


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every metal of each loop against all that is nobler by more than the step."""
    loop = build.loop
    for water in water_loops(loop):
        wet = metals(wetted(loop, water))
        said = {_pair(*pair) for pair in widest_pairs(wet) if passed_v(loop, *pair) is not None}
        found = {metal.material.name: metal for metal in reversed(wet)}
        areas = {name: _areas(loop, water, name) for name in found}
        lacking: dict[str, None] = {}
        for metal, nobler in _pairs(loop, tuple(found.values())):
            unknown = [card for each in (metal, *nobler) for card in areas[each.material.name].unknown]
            if unknown:
                lacking |= dict.fromkeys(unknown)
            else:
                yield from _judge(loop, metal, nobler, areas, said)
        if lacking:
            part = head(loop, water)
            reason = f"no area of a metal on card {names(lacking)} (wetted_area)"
            yield CHECK.skipped(part.place, f"loop of {part_label(part)}", reason)


def _pairs(loop: Loop, found: tuple[Metal, ...]) -> Iterator[tuple[Metal, tuple[Metal, ...]]]:
    """Each metal that is to be judged, with all that is nobler by more than the step."""
    step = loop.thresholds("area_step") + ROUNDING_V
    for metal in found:
        nobler = tuple(other for other in found if other.index_v - metal.index_v > step)
        is_refused = metal.material.group in ACTIVE and any(refused(metal, other) for other in found)
        kept_apart = metal.material.group == "solder" and inhibited(loop)
        if nobler and not is_refused and not kept_apart:
            yield metal, nobler


def _areas(loop: Loop, water: frozenset[str], name: str) -> _Areas:
    cards: list[Card] = [part.card for part in loop.parts if part.id in water]
    cards += [fitting for end in all_ends(loop) if owner(end.port) in water for fitting in end.fittings]
    wet = [card for card in cards if name in (card.wetted or ())]
    area = sum(float(card.wetted_area.get(name, 0.0)) for card in wet)
    return _Areas(area, tuple(dict.fromkeys(card.id for card in wet if name not in card.wetted_area)))


def _pair(metal: Metal, other: Metal) -> tuple[str, str]:
    return metal.material.name, other.material.name


def _judge(
    loop: Loop, metal: Metal, nobler: tuple[Metal, ...], areas: dict[str, _Areas], said: set[tuple[str, str]]
) -> Iterator[Finding]:
    limit = loop.thresholds("area_ratio")
    ratio = sum(areas[other.material.name].area_m2 for other in nobler) / areas[metal.material.name].area_m2
    largest = max(nobler, key=lambda other: areas[other.material.name].area_m2)
    if ratio > limit * (1.0 + ROUNDING_V) and _pair(metal, largest) not in said:
        mild = inhibited(loop) is True or metal.material.group in PASSIVE
        check = CHECK.graded(Severity.NOTE) if mild else CHECK
        fix = _fix(metal, largest, inhibited(loop) is True)
        yield check.finding(
            metal.wet.place,
            f"{metal}, with {largest}",
            found=f"{ratio:.3g} times as much of nobler metal",
            limit=f"{limit:g} times",
            fix=fix,
        )


def _fix(metal: Metal, largest: Metal, is_inhibited: bool) -> str:
    name = metal.material.name
    keep = "Keep the inhibitor at" if is_inhibited else f"Add an inhibitor that suits {name}, in"
    better = ""
    if metal.material.group != "solder":
        better = f"; better still, replace {metal.wet.label} by one of {largest.material.name} or plastic"
    return f"{keep} its maker's dose{better}. Look at the {name} first at every service."
