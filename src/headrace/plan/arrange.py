"""
In which orders groups can stand, each once.

Answers   every order of some groups, or those near the present one, with like groups told apart nowhere
Assumes   two blocks are alike with one card, heat and limit; two radiators with one card and the same air
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import factorial, prod
from typing import Any

from headrace.errors import Place
from headrace.loop.model import Loop, State
from headrace.parts.block import Block
from headrace.plan.ring import Group


def count_orders(alike: Sequence[int]) -> int:
    """How many orders there are of groups of which some are alike."""
    return factorial(len(alike)) // prod(factorial(alike.count(number)) for number in set(alike))


def distinct_orders(groups: Sequence[Group], alike: Sequence[int]) -> Iterator[tuple[Group, ...]]:
    """
    Every order of the groups, the present one first. Groups with the same number in `alike` keep their order among
    themselves, so that no order comes twice.
    """
    if not groups:
        yield ()
    for place in range(len(groups)):
        if alike[place] not in alike[:place]:
            rest = distinct_orders([*groups[:place], *groups[place + 1 :]], [*alike[:place], *alike[place + 1 :]])
            yield from ((groups[place], *order) for order in rest)


def near_orders(groups: Sequence[Group], alike: Sequence[int]) -> Iterator[tuple[Group, ...]]:
    """The present order, and those that exchange two groups or move one to another place; none comes twice."""
    count, seen = len(groups), set[tuple[int, ...]]()
    present = list(range(count))
    swaps = [
        [other if i == one else one if i == other else i for i in present] for one, other in combinations(present, 2)
    ]
    shifts = [_shifted(present, one, to) for one in present for to in present]
    for order in (present, *swaps, *shifts):
        pattern = tuple(alike[i] for i in order)
        if pattern not in seen:
            seen.add(pattern)
            spare = {number: iter([g for g, n in zip(groups, alike, strict=True) if n == number]) for number in alike}
            yield tuple(next(spare[number]) for number in pattern)


def _shifted(order: Sequence[int], one: int, to: int) -> list[int]:
    rest = [i for i in order if i != one]
    return [*rest[:to], one, *rest[to:]]


def find_alike(loop: Loop, state: State, groups: Sequence[Group]) -> list[int]:
    """A number for each group, the same for two that no result could tell apart."""
    seen: list[Any] = []
    numbers = []
    for group in groups:
        key = _key(loop, state, group)
        if key not in seen:
            seen.append(key)
        numbers.append(seen.index(key))
    return numbers


def _key(loop: Loop, state: State, group: Group) -> Any:  # noqa: ANN401 - whatever tells two groups apart
    """Card, ports, heat and limit of a block alone; card, ports and air of a radiator alone; itself for any other."""
    if len(group.parts) > 1:
        return group.parts
    (id_,) = group.parts
    part = loop.part(id_)
    ports = [port.partition(".")[2] for port in (group.inlet, group.outlet)]
    if isinstance(part.card, Block):
        return part.card.id, ports, state.heat_w.get(id_, 0.0), part.limit_k
    stack = next((stack for stack in loop.stacks if stack.radiators == (id_,)), None)
    breathed = {inlet.from_ for other in loop.stacks for inlet in other.inlets}
    if stack is None or stack.id in breathed:
        return group.parts
    bare = replace(stack, id="", radiator="", place=Place())
    return part.card.id, ports, bare, state.speed.get(stack.id), state.fans_out.get(stack.id, 0)
