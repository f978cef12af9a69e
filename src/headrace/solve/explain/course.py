"""
Open the time constant: how slowly a loop answers, and the heat capacity and strength that make it so.

Answers   what must be warmed, and what takes the heat away meanwhile
Assumes   the balance of the state, found anew as the solver finds it
"""

from __future__ import annotations

import numpy as np

from headrace.solve.cells import Cells
from headrace.solve.course import time_constant_s
from headrace.solve.explain.explained import Book, Explained, Number, Opened, formula_of
from headrace.solve.masses import find_masses, metal_j_k
from headrace.solve.moments import moment_of, start_temps_k
from headrace.solve.steady import solve_prepared

_RATES = (
    "rates: C dT/dt = sum of G times the difference to its neighbours, G = rho Q cp along moving water, 1/R at a chip, "
    "the strength at a radiator; energy balance"
)
_WATER = "C = m cp, m the water of all parts and runs in which it moves"
_ALONE = "sum of the heat capacities / sum of the strengths: were all of it as warm as the hottest coolant"


def course_numbers(book: Book) -> dict[str, Number]:
    """The time constant of the state; none where nothing settles."""
    constant_s = time_constant_s(solve_prepared(book.prepared))
    return {} if constant_s is None else {"time_constant": Number("time_s", {"": constant_s}, _time_constant)}


def _time_constant(book: Book, _id: str, depth: int) -> Opened:
    found = solve_prepared(book.prepared)
    cells = Cells(book.prepared, find_masses(book.prepared))
    rates = cells.rates(*start_temps_k(cells, found), moment_of(cells, found))
    links, moving = rates.capacity_j_k[: len(rates.moving)], rates.moving
    metal = float(np.sum(cells.masses.metal_j_k[moving]))
    chips = float(np.sum([chip.capacity_j_k for chip in cells.masses.chips if moving[chip.link]]))
    all_j_k = (float(np.sum(links[moving])) - metal, metal, chips)
    strengths = tuple(book.open_at(f"strength.{part}", min(depth, 0)) for part in book.radiators)
    alone_s = sum(all_j_k) / max(sum(float(strength.value) for strength in strengths), 1e-9)
    inputs = (
        Explained("heat capacity of the water", all_j_k[0], "capacity_j_k", (_WATER,)),
        Explained("heat capacity of the metal as warm as its water", all_j_k[1], "capacity_j_k", (_metal(),)),
        Explained("heat capacity of the blocks as warm as their chips", all_j_k[2], "capacity_j_k", (_metal(),)),
        *strengths,
        Explained("for comparison", alone_s, "time_s", (_ALONE,)),
    )
    return Opened((formula_of(time_constant_s), _RATES), inputs, "; ".join(cells.masses.notes))


def _metal() -> str:
    return formula_of(metal_j_k)
