"""A build as the checks see it: the loop, its route, and a solution for each state or the reason there is none."""

from __future__ import annotations

from dataclasses import dataclass

from headrace.errors import NoSolution
from headrace.loop.model import Loop, State
from headrace.loop.route import Route, stated_route
from headrace.solve.solution import Solution
from headrace.solve.steady import solve


@dataclass(frozen=True)
class Build:
    """Everything a check may read; it changes nothing."""

    loop: Loop
    route: Route
    solutions: tuple[tuple[State, Solution], ...]
    unsolved: tuple[tuple[State, NoSolution], ...]

    def why_unsolved(self) -> str:
        """Why no state was solved, in a few words for a skipped check."""
        if self.unsolved:
            return "no state of the build was solved, see STATE-01"
        return "the build has no state to solve"


def solve_build(loop: Loop) -> Build:
    """Solve every state of a loop; a state without a solution is kept with its reason."""
    route = stated_route(loop)
    solutions, unsolved = [], []
    for state in loop.states:
        try:
            solutions.append((state, solve(loop, route, state)))
        except NoSolution as error:
            unsolved.append((state, error))
    return Build(loop, route, tuple(solutions), tuple(unsolved))
