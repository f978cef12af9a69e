"""
Headrace and the libraries on the four reference networks: one solve, many variants, and whether they agree.

Answers   ratios side by side: how many times longer a library takes, how far its flows are from ours
Assumes   everything is prepared before the clock starts; a library is called once for each variant
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from benchmarks.against_epanet import Engine, Wntr
from benchmarks.against_pandapipes import Colebrook, Pandapipes
from benchmarks.against_scipy import Root
from benchmarks.networks import Case, Ours, Rival, Variation, load_cases, vary, worst_apart
from benchmarks.timing import Timing, measure, plain, say, show_table
from headrace.physics.friction import TRANSITION_RE
from headrace.units import Array

BATCH = 20_000
SAME_LAWS, OWN_FRICTION = 1e-3, 5e-3  # how far flows may be apart

# (how to make it, variants it is measured on)
RIVALS: tuple[tuple[Callable[[Case], Rival], int], ...] = (
    (Root.of, 100),
    (Engine.of, 1000),
    (Wntr.of, 10),
    (Pandapipes.of, 10),
    (Colebrook.of, 3),
)


@dataclass(frozen=True)
class Compared:
    """One rival on one case."""

    rival: Rival
    single: Timing
    sweep: Timing  # of all its variants
    variants: int
    same: float | None  # worst relative difference of any flow of any variant
    own: float | None
    counted: int  # variants that `own` looks at


@dataclass(frozen=True)
class Outcome:
    """One case: Headrace's own times and every rival's."""

    case: Case
    single: Timing
    batch: Timing
    least_re: float
    most_re: float
    rivals: tuple[Compared, ...]


def run_compare() -> list[str]:
    """Measure and print, network by network; what disagrees by more than is allowed."""
    print(
        "The four reference networks. One solve from scratch: median (lowest to highest), how many times ours it is. "
        f"Variants: Headrace {BATCH:,} as one batch, the others called once for each and measured on a subset; how "
        "many times fewer. Flows: worst difference of any piece in any variant of the subset.\n"
    )
    head = [
        "network, Re",
        "by",
        "one solve",
        "x ours",
        "variants a second",
        "on",
        "x fewer",
        "same laws",
        "own friction",
    ]
    faults: list[str] = []
    show_table(head, _measured(faults))
    return faults


def _measured(faults: list[str]) -> Iterator[list[str]]:
    for case in load_cases():
        outcome = _outcome(case)
        faults += _faults(outcome)
        yield from _rows(outcome)


def _rows(outcome: Outcome) -> Iterator[list[str]]:
    where = f"{outcome.case.name}, {outcome.least_re:.0f} to {outcome.most_re:.0f}"
    yield [where, "Headrace", outcome.single.show(), "1", outcome.batch.show_rate(BATCH), f"{BATCH:,}", "1", "", ""]
    for c in outcome.rivals:
        longer = c.single.times(outcome.single)
        fewer = c.sweep.times(outcome.batch) * BATCH / c.variants
        own = "" if c.own is None else f"{c.own:.2%} ({c.counted} of {c.variants})"
        same = "" if c.same is None else f"{c.same:.1e}"
        rate = c.sweep.show_rate(c.variants)
        times = [c.single.show(), plain(longer), rate, f"{c.variants:,}", plain(fewer)]
        yield [outcome.case.name, c.rival.name, *times, same, own]


def _outcome(case: Case) -> Outcome:
    ours, variation, ones = Ours.of(case), vary(case, BATCH), np.ones(len(case.of_kind("tube")))
    re = case.tube_re(ours.flow_m3_s())
    rivals = [(make(case), variation.take(slice(count))) for make, count in RIVALS]
    say(f"{case.name}: one solve")
    single = measure(ours.flow_m3_s, *(partial(rival.flow_m3_s, 1.0, ones) for rival, _ in rivals), budget_s=8.0)
    say(f"{case.name}: variants")
    batch = measure(lambda: ours.varied_m3_s(variation), *(partial(_sweep, *rival) for rival in rivals), budget_s=16.0)
    say(f"{case.name}: answers")
    compared = (_compared(case, *each) for each in zip(rivals, single[1:], batch[1:], strict=True))
    return Outcome(case, single[0], batch[0], float(re.min()), float(re.max()), tuple(compared))


def _sweep(rival: Rival, variation: Variation) -> Array:
    return np.array([rival.flow_m3_s(*variant) for variant in zip(variation.speed, variation.length, strict=True)])


def _compared(case: Case, pair: tuple[Rival, Variation], single: Timing, sweep: Timing) -> Compared:
    rival, variation = pair
    theirs, same, own, counted = _sweep(*pair), None, None, 0
    if rival.same is not None:
        same = worst_apart(Ours.of(case, rival.same).varied_m3_s(variation), theirs)
    if rival.own:
        mine = Ours.of(case).varied_m3_s(variation)
        re = case.tube_re(mine)
        rows = np.all((re < TRANSITION_RE.low) | (re > TRANSITION_RE.high), axis=1)
        own, counted = worst_apart(mine[rows], theirs[rows]), int(np.sum(rows))
    return Compared(rival, single, sweep, len(variation), same, own, counted)


def _faults(outcome: Outcome) -> Iterator[str]:
    for c in outcome.rivals:
        for apart, limit in ((c.same, SAME_LAWS), (c.own, OWN_FRICTION)):
            if apart is not None and not apart <= limit:
                yield f"{outcome.case.name}: {c.rival.name} is {apart:.2%} away, limit {limit:.1%}"
