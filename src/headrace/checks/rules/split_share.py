"""WATER-10: like blocks side by side get like shares of the water.

The block with the smaller share runs hotter, and moves air out of itself less well. Arms that begin and end together
and cool the same, in every solved state; each against the even share. Blocks in a row are no case. What is unknown is
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.arms import Arm, branched, parallel_arms
from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.loop.model import Loop
from headrace.parts.block import Block
from headrace.units import show

CHECK = Check(
    "WATER-10",
    "Uneven split between like blocks",
    Severity.BEFORE_HANDOVER,
    Group.WATER,
    what="away from the even share",
    unit="frac",
    limits=("split_share",),
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every group of like arms, in the state that splits worst."""
    loop, limit = build.loop, build.loop.thresholds("split_share")
    if not branched(loop) or sum(isinstance(part.card, Block) for part in loop.parts) < 2:
        return
    yield from unsolved(CHECK, build)
    yield from _unnamed(build)
    worst: dict[tuple[str, ...], tuple[float, str, tuple[Arm, ...]]] = {}
    for state, solution in build.solutions:
        for group in parallel_arms(solution):
            for like in _like(loop, group):
                off = max(abs(arm.flow_m3_s / _even(like) - 1.0) for arm in like)
                key = tuple(sorted(block for arm in like for block in arm.owners("heat")))
                worst[key] = max(worst.get(key, (-1.0, "", like)), (off, state.name, like), key=lambda item: item[0])
    for key, (off, name, like) in worst.items():
        if off > limit + _ROUNDING:
            yield _finding(loop, key, off, limit, name, like)


def _even(like: tuple[Arm, ...]) -> float:
    return sum(arm.flow_m3_s for arm in like) / len(like)


def _like(loop: Loop, group: tuple[Arm, ...]) -> Iterator[tuple[Arm, ...]]:
    """The arms of a group that cool the same, two or more."""
    by_use: dict[tuple[str, ...], list[Arm]] = {}
    for arm in group:
        uses = tuple(sorted(_use(loop, block) for block in arm.owners("heat")))
        if uses and "" not in uses:
            by_use.setdefault(uses, []).append(arm)
    return (tuple(like) for like in by_use.values() if len(like) > 1)


def _use(loop: Loop, id_: str) -> str:
    return getattr(loop.part(id_).card, "cools", "")


def _unnamed(build: Build) -> Iterator[Skipped]:
    """Blocks side by side whose card does not say what they are for."""
    blank: dict[str, None] = {}
    for _, solution in build.solutions:
        for group in parallel_arms(solution):
            cooling = [block for arm in group for block in arm.owners("heat")]
            if sum(bool(arm.owners("heat")) for arm in group) > 1:
                blank |= dict.fromkeys(block for block in cooling if not _use(build.loop, block))
    for id_ in blank:
        part = build.loop.part(id_)
        yield CHECK.skipped(part.place, f'block "{id_}"', f'card "{part.card.id}" does not say what it cools (cools)')


def _finding(loop: Loop, key: tuple[str, ...], off: float, limit: float, state: str, like: tuple[Arm, ...]) -> Finding:
    least = min(like, key=lambda arm: arm.flow_m3_s)
    share = least.flow_m3_s / (_even(like) * len(like))
    cause = max(least.links, key=lambda link: link.dp_pa)
    fix = (
        f"{names(least.owners('heat'))} gets {show(share, 'share_frac')} where {show(1.0 / len(like), 'even_frac')} "
        f'would be even (state "{state}"): take loss out of its arm, most of which is in "{cause.owner}" '
        f"({show(cause.dp_pa, 'dp_pa')}), or use like parts and tubes in both arms."
    )
    place = loop.part(key[0]).place
    return CHECK.finding(place, f"blocks {names(key)}", found=off, limit=limit, fix=fix)
