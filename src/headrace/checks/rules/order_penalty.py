"""HEAT-08: a chip with little in hand does not stand in water others have warmed.

The order of a loop moves most chips by a kelvin or less; where one is short of kelvins, they count. Judged in the
state in which the chip is nearest its limit. A chip without a limit or a resistance is skipped where it stands so.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_worst, unsolved
from headrace.checks.upstream import Upstream, find_upstream
from headrace.loop.model import PlacedPart
from headrace.parts.block import Block
from headrace.solve.solution import Solution
from headrace.units import show

_DIGITS = 2  # what is more by less does not show
CHECK = Check(
    "HEAT-08",
    "Tight chip behind others",
    Severity.NOTE,
    Group.HEAT,
    what="water warmed by",
    unit="rise_k",
    digits=_DIGITS,
    limits=("order_matters", "tight_margin", "chip_margin"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every block that has others before it."""
    blocks = [part for part in build.loop.parts if isinstance(part.card, Block)]
    if not blocks[1:]:
        return
    yield from unsolved(CHECK, build)
    for part in blocks:
        before = {state.name: find_upstream(build.loop, solution, part.id) for state, solution in build.solutions}
        late = {name: one for name, one in before.items() if one is not None and _matters(build, one)}
        if not late:
            continue
        if part.limit_k is None:
            yield CHECK.skipped(part.place, f'block "{part.id}"', "the part states no limit of its chip (limit)")
        elif not any(block.part == part.id for block in build.solutions[0][1].blocks):
            reason = f'card "{part.card.id}" states no resistance'
            yield CHECK.skipped(part.place, f'block "{part.id}"', reason)
        else:
            yield from _judge(build, part, late)


def _matters(build: Build, before: Upstream) -> bool:
    return round(before.rise_k, _DIGITS) > round(build.loop.thresholds("order_matters"), _DIGITS)


def _judge(build: Build, part: PlacedPart, late: dict[str, Upstream]) -> Iterator[Finding]:
    limits = build.loop.thresholds
    limit_k = float(part.limit_k or 0.0) - limits("chip_margin")

    def temps(solution: Solution) -> dict[str, float]:
        return {id_: temp for id_, temp in solution.part_temp_k.items() if id_ == part.id}

    worst = find_worst(build, temps, limit_k - limits("tight_margin"))
    before = None if worst is None else late.get(worst.state)
    if worst is not None and before is not None:
        left_k = limit_k - worst.value
        margin = f"{show(abs(left_k), 'margin_k')} {'over' if left_k < 0.0 else 'below'} its limit"
        fix = (
            f'In state "{worst.state}" the chip is {margin}. Placed first behind the radiator, before '
            f'{names(before.blocks)}, "{part.id}" would be {show(before.rise_k, "rise_k")} cooler, and the others '
            f"warmer by what it gives to the water; `headrace order` compares the orders."
        )
        subject = f'coolant into block "{part.id}"'
        yield CHECK.finding(part.place, subject, found=before.rise_k, limit=limits("order_matters"), fix=fix)
