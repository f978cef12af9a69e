"""A build as the checks see it: the loop, its route, and a solution for each state or the reason there is none."""

from __future__ import annotations

from dataclasses import dataclass, field

from headrace.errors import NoSolution
from headrace.loop.model import Loop, State
from headrace.loop.route import Route, stated_route
from headrace.solve.balanced import Balanced
from headrace.solve.band import Band, solve_band
from headrace.solve.noise import NoiseModel
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.solve.steady import solve_prepared
from headrace.solve.uncertain import Uncertain, find_uncertain

SAMPLES = (
    400  # of a band a check judges by: its ends are known to a tenth of its width, and it takes a fifth of the time
)


@dataclass(frozen=True)
class Build:
    """Everything a check may read; it changes nothing."""

    loop: Loop
    route: Route
    solutions: tuple[tuple[State, Solution], ...]
    unsolved: tuple[tuple[State, NoSolution], ...]
    balances: dict[str, Balanced] = field(default_factory=dict)
    _bands: dict[str, Band] = field(default_factory=dict, compare=False)
    _uncertain: dict[str, tuple[Uncertain, ...]] = field(default_factory=dict, compare=False)

    def band(self, state: str) -> Band:
        """The bands of one solved state, from SAMPLES samples; found once. KeyError for a state without a solution."""
        if state not in self._bands:
            found = self.balances[state]
            self._bands[state] = solve_band(found.prepared, found, SAMPLES)
        return self._bands[state]

    def uncertain(self, state: str) -> tuple[Uncertain, ...]:
        """The uncertain inputs of one solved state; found once. KeyError for a state without a solution."""
        if state not in self._uncertain:
            found = self.balances[state]
            self._uncertain[state] = find_uncertain(found, NoiseModel.of(found.prepared))
        return self._uncertain[state]

    def why_unsolved(self) -> str:
        """Why no state was solved, in a few words for a skipped check."""
        if self.unsolved:
            return "no state of the build was solved, see STATE-01"
        return "the build has no state to solve"


def solve_build(loop: Loop) -> Build:
    """Solve every state of a loop; a state without a solution is kept with its reason."""
    route = stated_route(loop)
    solutions, unsolved, balances = [], [], {}
    for state in loop.states:
        try:
            found = solve_prepared(Prepared.of(loop, route, state))
        except NoSolution as error:
            unsolved.append((state, error))
        else:
            balances[state.name] = found
            solutions.append((state, build_solution(found)))
    return Build(loop, route, tuple(solutions), tuple(unsolved), balances)
