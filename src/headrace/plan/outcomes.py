"""
What comes of an event: the course, the seconds to every limit, where it ends.

Answers   how long a build has when something stops, how long it takes to warm up, how long a soak must be
Assumes   limits are judged as the checks judge them: coolant anywhere, chips, and each card's max_temp at its ports
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from headrace.checks.wetted import Wet, water_loops, wetted
from headrace.errors import DeadBranch, NoBalance, NoRadiator
from headrace.loop.model import Loop, State
from headrace.loop.route import Route
from headrace.physics.warming import SOAK_LEAST_S, soak_s
from headrace.plan.events import Event
from headrace.plan.limits import called
from headrace.solve.balanced import Balanced
from headrace.solve.cells import Cells
from headrace.solve.course import Course, Ramp, follow, time_constant_s
from headrace.solve.masses import find_masses
from headrace.solve.moments import start_temps_k
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.solve.steady import solve_prepared
from headrace.units import Array, Range

BOILS_K = 373.15  # water at sea level; a course goes no further
HORIZON_S = Range(1.0, 7 * 86400.0)
_MOST_HORIZON_S = 86400.0  # without a horizon of one's own
_STEP_SHARE = 1.0 - np.exp(-1.0)
_LEAST_WAY_K = 0.5  # of a shorter way no share is told
NOTES = (
    "water at rest is taken as not moving by its own warmth, and no heat passes along it or through tubes: "
    "a block without flow then warms faster than in truth",
    "pumps and fans take their new speed at once; case air and case metal follow at once",
    "tube walls and fittings do not count as mass; times are known to about 20 %, as the masses on the cards are",
)


@dataclass(frozen=True)
class Watched:
    """A limit, when it is passed (None: not within the course), and whether it was so before the event."""

    name: str
    what: str
    limit_k: float
    to_limit_s: float | None
    before: bool


@dataclass(frozen=True)
class Outcome:
    """One event followed. `end` is the steady state it leads to, None when there is none below 100 °C."""

    event: Event
    start: Solution | None
    end: Solution | None
    course: Course
    watched: tuple[Watched, ...]
    horizon_s: float
    boils_s: float | None
    most_of_the_way_s: float | None
    time_constant_s: float | None
    soak_s: float | None
    notes: tuple[str, ...]

    @property
    def passed(self) -> tuple[Watched, ...]:
        """The limits that are passed, the first on top."""
        return tuple(sorted((w for w in self.watched if w.to_limit_s is not None), key=lambda w: w.to_limit_s or 0.0))

    @property
    def crossed(self) -> tuple[Watched, ...]:
        """The limits that are passed in the event, not those that were so before."""
        return tuple(watched for watched in self.passed if not watched.before)


def run_events(
    loop: Loop, route: Route, events: Sequence[Event], horizon_s: float | None = None
) -> tuple[Outcome, ...]:
    """Every event followed. Raises NoSolution when the state an event starts from has no steady one."""
    starts: dict[int, _Start] = {}
    for event in events:
        if event.start is not None and id(event.start) not in starts:
            starts[id(event.start)] = _Start.of(loop, route, event.start)
    return tuple(_run(loop, route, event, starts.get(id(event.start)), horizon_s) for event in events)


@dataclass(frozen=True)
class _Start:
    """The steady state an event starts from."""

    solution: Solution
    link_k: Array
    chip_k: Array

    @classmethod
    def of(cls, loop: Loop, route: Route, state: State) -> _Start:
        found = solve_prepared(Prepared.of(loop, route, state))
        temps = start_temps_k(Cells(found.prepared, find_masses(found.prepared)), found)
        return cls(build_solution(found), *temps)


def _run(loop: Loop, route: Route, event: Event, start: _Start | None, horizon_s: float | None) -> Outcome:
    prepared = Prepared.of(loop, route, event.end)
    end = _end(prepared)
    constant = None if end is None else time_constant_s(end)
    soak = None if constant is None else float(soak_s(constant))
    if horizon_s is None:
        horizon_s = min((soak or SOAK_LEAST_S) + event.ramp_s, _MOST_HORIZON_S)
    cells = Cells(prepared, find_masses(prepared))
    room_k = float(event.end.room_k)
    temps, ramp = (np.full(len(cells.heat_w), room_k), np.full(len(cells.masses.chips), room_k)), None
    if start is not None:
        temps, ramp = (start.link_k, start.chip_k), Ramp(start.solution.room_k, event.ramp_s)
    course = follow(cells, *temps, horizon_s, ramp=ramp, stop_k=BOILS_K)
    first, last = None if start is None else start.solution, None if end is None else build_solution(end)
    watch = _Watch(loop, course, first)
    notes = (*prepared.assembly.notes, *cells.masses.notes, *watch.notes(), *NOTES)
    return Outcome(
        event,
        first,
        last,
        course,
        tuple(watch.every()),
        horizon_s,
        course.to_reach_s(course.hottest_k, BOILS_K),
        _most_of_the_way_s(course, last),
        constant,
        soak,
        tuple(dict.fromkeys(notes)),
    )


def _end(prepared: Prepared) -> Balanced | None:
    """The steady state an event leads to, None when there is none or the water would boil before."""
    try:
        found = solve_prepared(prepared)
    except (DeadBranch, NoRadiator, NoBalance):
        return None
    return found if float(np.max(found.heat.station_k)) < BOILS_K else None


@dataclass(frozen=True)
class _Watch:
    """Judges a course and the state it started from."""

    loop: Loop
    course: Course
    start: Solution | None

    def every(self) -> Iterator[Watched]:
        """All limits: coolant, chips, then everything wetted."""
        loop, course, start = self.loop, self.course, self.start
        if loop.limits.coolant_k is not None:
            first = None if start is None else start.hottest[1]
            yield self._judged("coolant", "hottest coolant", float(loop.limits.coolant_k), course.hottest_k, first)
        for chip, temp_k in zip(course.cells.masses.chips, course.chip_k.T, strict=True):
            stated = loop.part(chip.part).limit_k
            if stated is not None:
                limit_k = float(stated) - loop.thresholds("chip_margin")
                first = None if start is None else start.part_temp_k.get(chip.part)
                yield self._judged(f"chip.{chip.part}", f"chip {chip.part}", limit_k, temp_k, first)
        node = {name: index for index, name in enumerate(course.cells.prepared.assembly.nodes)}
        for wet in self.wetted():
            ports = [port for port in wet.ports if port in node]
            if wet.card.max_temp_k is not None and ports:
                limit_k = float(wet.card.max_temp_k) - loop.thresholds("part_margin")
                temp_k = np.max(course.node_k[:, [node[port] for port in ports]], axis=1)
                first = None if start is None else max(start.coolant_temp_k[port] for port in ports)
                kind, name = called(wet)
                yield self._judged(f"{kind}.{name}", f"water at {kind} {name}", limit_k, temp_k, first)

    def wetted(self) -> Iterator[Wet]:
        """Every wetted thing of every loop."""
        return (wet for water in water_loops(self.loop) for wet in wetted(self.loop, water))

    def notes(self) -> Iterator[str]:
        """What is not watched because its card states no limit."""
        unknown = [called(wet)[1] for wet in self.wetted() if wet.card.max_temp_k is None]
        if unknown:
            yield f"no max_temp on the cards of {', '.join(unknown)}: not watched"

    def _judged(self, name: str, what: str, limit_k: float, temp_k: Array, first_k: float | None) -> Watched:
        before = first_k is not None and first_k >= limit_k
        return Watched(name, what, limit_k, 0.0 if before else self.course.to_reach_s(temp_k, limit_k), before)


def _most_of_the_way_s(course: Course, end: Solution | None) -> float | None:
    """When the hottest coolant has made 63 % of its way; None when it has no end or hardly a way."""
    if end is None:
        return None
    first, way = float(course.hottest_k[0]), end.hottest[1] - float(course.hottest_k[0])
    if abs(way) < _LEAST_WAY_K:
        return None
    share: Array = (course.hottest_k - first) / way
    return course.to_reach_s(share, float(_STEP_SHARE))


def passed_before(outcomes: Sequence[Outcome]) -> tuple[Watched, ...]:
    """The limits passed in the steady state the first event of `outcomes` ends in, before anything happens."""
    state = outcomes[0].event.end.name
    starts = (outcome for outcome in outcomes if outcome.start is not None and outcome.start.state == state)
    found = {watched.name: watched for outcome in starts for watched in outcome.passed if watched.before}
    return tuple(found.values())
