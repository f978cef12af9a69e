"""
One quantity over all solved states: the worst, and how often it is too much.

Answers   in which state a limit is passed furthest, which states could not be judged at all, and the first state, which
          stands for daily use
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from headrace.checks.build import Build
from headrace.checks.finding import Check, Skipped
from headrace.checks.slack import above
from headrace.errors import Place
from headrace.loop.model import State
from headrace.parts.block import Block
from headrace.solve.solution import Solution


@dataclass(frozen=True)
class Worst:
    """The value furthest over its limit, where and in which state it was found, and how many states are over."""

    value: float
    where: str
    state: str
    over: int
    states: int

    def say(self) -> str:
        """The state, and how many of all are past the limit."""
        if self.states == 1:
            return f'in state "{self.state}", the only one'
        return f'worst in state "{self.state}", past the limit in {self.over} of {self.states} states'


def find_worst(
    build: Build, values: Callable[[Solution], Mapping[str, float]], limit: float, *, least: bool = False
) -> Worst | None:
    """The worst of `values` (by place) over all states, when it is above `limit` (below it with `least`)."""
    sign = -1.0 if least else 1.0
    found: list[tuple[float, str, str]] = []
    for state, solution in build.solutions:
        here = values(solution)
        if here:
            where = max(here, key=lambda key: sign * here[key])
            found.append((sign * here[where], where, state.name))
    over = [item for item in found if above(item[0], sign * limit)]
    if not over:
        return None
    value, where, name = max(over)
    return Worst(sign * value, where, name, len(over), len(build.solutions))


def unsolved(check: Check, build: Build) -> Iterator[Skipped]:
    """The states that have no solution, each as a skip with its reason."""
    if not build.solutions:
        place = build.unsolved[0][0].place if build.unsolved else Place(build.loop.file, 1, 1)
        yield check.skipped(place, "every state", build.why_unsolved())
        return
    for state, _ in build.unsolved:
        yield check.skipped(state.place, f'state "{state.name}"', "it was not solved, see STATE-01")


def unstated_heat(check: Check, build: Build) -> Iterator[Skipped]:
    """The solved states that do not say how much heat a block gives: they were solved with 0 W for it."""
    for state, _ in build.solutions:
        reason = _no_heat(build, state)
        if reason:
            yield check.skipped(state.place, f'state "{state.name}"', reason)


def find_first(check: Check, build: Build) -> tuple[State, Solution] | Skipped:
    """The first state with its solution; a skip when it has none, or was solved without all of its heat."""
    if not build.loop.states:
        return check.skipped(Place(build.loop.file, 1, 1), "first state", build.why_unsolved())
    first = build.loop.states[0]
    reason = _no_heat(build, first)
    if first.name not in build.balances:
        reason = "it was not solved, see STATE-01"
    elif not build.solutions[0][1].coolant_temp_k:
        reason = "the build has no part with water yet"
    if reason:
        return check.skipped(first.place, f'state "{first.name}"', reason)
    return build.solutions[0]


def _no_heat(build: Build, state: State) -> str:
    """Which blocks a state gives no heat for; empty when it tells of all."""
    missing = [part.id for part in build.loop.parts if isinstance(part.card, Block) and part.id not in state.heat_w]
    if not missing:
        return ""
    return f'it gives no heat for {", ".join(missing)} (heat = {{ {missing[0]} = "0 W" }} if there is none)'
