"""
The course of a loop in time: temperatures of all water, metal and chips after something changed.

Answers   how warm everything is at any time, how much heat the radiators give off, how slow the loop is
Assumes   within a step flows, strengths and airs hold; each step is then exact, and flows, strengths and airs are found
          anew before the next
Source    matrix exponential of the rates [incropera-2007] lumped capacitance
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from headrace.solve.balanced import Balanced
from headrace.solve.cells import Cells, Rates
from headrace.solve.exponential import expm
from headrace.solve.masses import find_masses
from headrace.solve.moments import Moments, moment_of, start_temps_k
from headrace.units import Array, Real

STEP_K = 2.0  # moving water warms by no more in a step; half of it moves no temperature of the examples by 0.01 K
PARTS = 8  # of a step, each a row of the course; between rows everything is as good as straight
_PART_K = 2.0  # nothing warms by more in a part of a step
_FIRST_S = 0.5
_LEAST_S = 1e-3
_GROWTH, _SAFE = 3.0, 0.8
_COLUMNS = ("time_s", "link_k", "node_k", "chip_k", "heat_w", "mean_heat_w", "room_k")
_SLOWEST_HZ = 1e-9  # a mode slower than 30 years is heat that stays


@dataclass(frozen=True)
class Ramp:
    """A room that warms evenly from `from_k`, for `over_s`, to what the state says; at once when that is 0."""

    from_k: float
    over_s: float

    def room_k(self, time_s: Real, cells: Cells) -> tuple[Real, float]:
        """The room at a time, and how fast it then warms, in K/s."""
        end_k = float(cells.prepared.state.room_k)
        if not self.over_s:
            return end_k + 0.0 * time_s, 0.0
        rate = (end_k - self.from_k) / self.over_s
        over = np.all(np.asarray(time_s) >= self.over_s * (1.0 - 1e-12))
        room: Real = self.from_k + rate * np.minimum(time_s, self.over_s)
        return room, 0.0 if over else rate


@dataclass(frozen=True)
class Course:
    """
    Rows in time. `link_k` and `node_k` are the coolant by link and by node of the network, `chip_k` by chip.

    `heat_w` is what all radiators give off at that time, `mean_heat_w` since the row before, exactly.
    """

    cells: Cells
    time_s: Array
    link_k: Array
    node_k: Array
    chip_k: Array
    heat_w: Array
    mean_heat_w: Array
    room_k: Array
    steps: int

    @property
    def hottest_k(self) -> Array:
        """The hottest coolant of every row."""
        return np.asarray(np.max(self.link_k[:, self.cells.wet], axis=1))

    def until(self, stop_k: float) -> Course:
        """The same up to the first row whose hottest water is over `stop_k`."""
        rows = 1 + int(np.argmax(self.hottest_k > stop_k)) if np.any(self.hottest_k > stop_k) else len(self.time_s)
        columns = {name: getattr(self, name)[:rows] for name in _COLUMNS}
        return replace(self, **columns)

    def at(self, values: Array, time_s: Array) -> Array:
        """A column of the course at other times."""
        column: Array = np.interp(time_s, self.time_s, values)
        return column

    def to_reach_s(self, values: Array, limit: float) -> float | None:
        """When a column first reaches a value from below; 0 when it starts there, None when it never does."""
        above = np.flatnonzero(values >= limit)
        if not len(above):
            return None
        row = int(above[0])
        if row == 0:
            return float(self.time_s[0])
        share = (limit - values[row - 1]) / (values[row] - values[row - 1])
        return float(self.time_s[row - 1] + share * (self.time_s[row] - self.time_s[row - 1]))


def follow(
    cells: Cells,
    link_k: Array,
    chip_k: Array,
    horizon_s: float,
    *,
    ramp: Ramp | None = None,
    stop_k: float = np.inf,
    step_k: float = STEP_K,
) -> Course:
    """Follow a loop from these temperatures until `horizon_s`, or until its hottest water passes `stop_k`."""
    walk = _Walk(cells, Moments(cells), ramp or Ramp(float(cells.prepared.state.room_k), 0.0), link_k, chip_k)
    wet = cells.wet
    step_s = _FIRST_S
    while walk.time_s < horizon_s * (1.0 - 1e-12):
        filled = walk.step(min(step_s, horizon_s - walk.time_s), step_k)
        step_s = walk.last_s * min(_GROWTH, _SAFE / max(filled, 1e-9))
        if np.max(walk.link_k[wet], initial=0.0) > stop_k:
            break
    return walk.course().until(stop_k)


@dataclass(frozen=True)
class _Rows:
    """Some rows of a course; each field as there."""

    time_s: Array
    link_k: Array
    node_k: Array
    chip_k: Array
    heat_w: Array
    mean_heat_w: Array


@dataclass
class _Walk:
    """A course under way."""

    cells: Cells
    moments: Moments
    ramp: Ramp
    link_k: Array
    chip_k: Array
    time_s: float = 0.0
    last_s: float = 0.0
    rows: list[_Rows] = field(default_factory=list)

    def step(self, step_s: float, step_k: float) -> float:
        """Go on by a step of up to `step_s`; what share of the change it was allowed was made use of."""
        room_k, rate = self.ramp.room_k(self.time_s, self.cells)
        if rate:
            step_s = min(step_s, self.ramp.over_s - self.time_s)
        moment = self.moments.find(self.link_k, float(room_k))
        rates = self.cells.rates(self.link_k, self.chip_k, moment)
        if not self.rows:
            self._note(rates, np.zeros(1), np.zeros((1, len(rates.power_w))), np.array([rates.given_w]), rate)
        while True:
            change, mean_w = _march(rates, step_s / PARTS, rate)
            filled = _filled(rates, change, step_k)
            if filled <= 1.0 or step_s <= _LEAST_S:
                break
            step_s *= max(0.1, _SAFE / filled)
        self._note(rates, np.linspace(0.0, step_s, PARTS + 1)[1:], change, mean_w, rate)
        self.time_s, self.last_s = self.time_s + step_s, step_s
        self.link_k, self.chip_k = self.rows[-1].link_k[-1], self.rows[-1].chip_k[-1]
        return filled

    def _note(self, rates: Rates, after_s: Array, change: Array, mean_heat_w: Array, rate: float) -> None:
        """Write rows down."""
        links = len(self.link_k)
        link_k = self.cells.warmed(self.link_k, change[:, :links])
        heat = change @ rates.given_w_k + rates.given_w + rates.given_room_w_k * rate * after_s
        node_k = self.cells.nodes_k(link_k, rates.weights)
        chip_k = self.chip_k + change[:, links:]
        self.rows.append(_Rows(self.time_s + after_s, link_k, node_k, chip_k, heat, mean_heat_w))

    def course(self) -> Course:
        """Everything written down so far."""
        columns = {name: np.concatenate([getattr(rows, name) for rows in self.rows]) for name in _COLUMNS[:-1]}
        room_k, _ = self.ramp.room_k(columns["time_s"], self.cells)
        return Course(self.cells, **columns, room_k=np.asarray(room_k), steps=len(self.rows) - 1)


def _march(rates: Rates, part_s: float, room_rate: float) -> tuple[Array, Array]:
    """Changes after each part of a step, and the mean heat given off in each; exact by the matrix exponential.

    d/dt (x, 1, r, J) = M (x, 1, r, J): the constants, the room's rise and the heat given off so far are carried along,
    so that rates without an inverse, as of water at rest, need no case of their own.
    """
    size = len(rates.power_w)
    matrix = np.zeros((size + 3, size + 3))
    matrix[:size, :size] = rates.conductance_w_k
    matrix[:size, size], matrix[:size, size + 1] = rates.power_w, rates.room_w_k
    matrix[:size] /= rates.capacity_j_k[:, None]
    matrix[size + 1, size] = room_rate
    matrix[size + 2, :size] = rates.given_w_k
    matrix[size + 2, size : size + 2] = rates.given_w, rates.given_room_w_k
    onward = expm(matrix * part_s)
    state = np.zeros((PARTS + 1, size + 3))
    state[0, size] = 1.0
    for part in range(PARTS):
        state[part + 1] = onward @ state[part]
    return state[1:, :size], np.asarray(np.diff(state[:, size + 2]) / part_s, dtype=np.float64)


def _filled(rates: Rates, change: Array, step_k: float) -> float:
    """The largest change in a step as a share of what is allowed: of moving water, and of anything in a part."""
    links = len(rates.moving)
    water = np.max(np.abs(change[:, :links][:, rates.moving]), initial=0.0)
    part = np.max(np.abs(np.diff(change, axis=0, prepend=0.0)), initial=0.0)
    return float(max(water / step_k, part / _PART_K))


def time_constant_s(found: Balanced) -> float | None:
    """Time in which all but 1/e of a small step has come, of the slowest change the loop knows; None if none fades.

    tau = -1 / Re of the eigenvalue nearest 0 of the rates, water at rest left out        [incropera-2007]

    s. Room, case and air hold still. Known to 20 % at best: it goes with the masses of the cards.
    """
    cells = Cells(found.prepared, find_masses(found.prepared))
    link_k, chip_k = start_temps_k(cells, found)
    rates = cells.rates(link_k, chip_k, moment_of(cells, found))
    keep = np.concatenate([rates.moving, rates.moving[[chip.link for chip in cells.masses.chips]]])
    matrix = (rates.conductance_w_k / rates.capacity_j_k[:, None])[np.ix_(keep, keep)]
    slowest = float(np.max(np.linalg.eigvals(matrix).real, initial=-np.inf))
    return -1.0 / slowest if np.isfinite(slowest) and slowest < -_SLOWEST_HZ else None
