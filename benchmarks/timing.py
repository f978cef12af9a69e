"""
Time calls again and again, side by side, and show what was found.

Answers   median and spread of the time of a call, and how many times longer another takes
Assumes   the first call warms up and does not count; a short call is timed in bunches that the clock can tell; calls
          that are compared take turns, so that whatever else the machine does meets them all
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from math import ceil
from statistics import median
from time import perf_counter

_BUNCH_S = 0.003
_ROUNDS, _LEAST_ROUNDS = 21, 5


@dataclass(frozen=True)
class Timing:
    """Seconds a call took, round by round."""

    runs_s: tuple[float, ...]

    @property
    def median_s(self) -> float:
        """The median."""
        return median(self.runs_s)

    def times(self, other: Timing) -> float:
        """How many times the other's time this is: the median of the rounds."""
        return median(mine / theirs for mine, theirs in zip(self.runs_s, other.runs_s, strict=True))

    def show(self) -> str:
        """Median and spread in milliseconds."""
        middle, low, high = (plain(1e3 * value) for value in (self.median_s, min(self.runs_s), max(self.runs_s)))
        return f"{middle} ms ({low} to {high})"

    def show_rate(self, count: int) -> str:
        """Median and spread of things done a second, `count` of them in each run."""
        rates = (count / value for value in (self.median_s, max(self.runs_s), min(self.runs_s)))
        middle, low, high = (plain(rate) for rate in rates)
        return f"{middle} ({low} to {high})"


def plain(value: float) -> str:
    """A number to three digits without an exponent."""
    rounded = float(f"{value:.3g}")
    return f"{rounded:,.0f}" if rounded >= 100.0 else f"{rounded:.3g}"


def measure(*calls: Callable[[], object], budget_s: float = 2.0) -> tuple[Timing, ...]:
    """Time calls in turns: 21 rounds, or as many as fit into `budget_s` and at least 5."""
    bunches = [max(1, ceil(_BUNCH_S / _once(call))) for call in calls]
    whole = sum(_bunch(call, bunch) * bunch for call, bunch in zip(calls, bunches, strict=True))
    rounds = min(max(int(budget_s / whole), _LEAST_ROUNDS), _ROUNDS)
    taken = [[_bunch(*each) for each in zip(calls, bunches, strict=True)] for _ in range(rounds)]
    return tuple(Timing(runs) for runs in zip(*taken, strict=True))


def _once(call: Callable[[], object]) -> float:
    call()
    return _bunch(call, 1)


def _bunch(call: Callable[[], object], count: int) -> float:
    start = perf_counter()
    for _ in range(count):
        call()
    return max((perf_counter() - start) / count, 1e-9)


def say(text: str) -> None:
    """Progress, beside the results."""
    print(text, file=sys.stderr, flush=True)


def show_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table that can stand in the manual as it is, each row once it is known."""
    for cells in chain((head, ["---"] * len(head)), rows):
        print("| " + " | ".join(cells) + " |", flush=True)
    print(flush=True)
