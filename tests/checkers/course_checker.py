"""The small build with masses on its cards, followed in time, and the heat it holds reckoned in another way."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from checkers.small_build import BUILD, CARDS

from headrace.loop.loader import parse_build
from headrace.loop.model import Loop, State
from headrace.loop.route import stated_route
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml
from headrace.solve.cells import Cells
from headrace.solve.course import Course, follow
from headrace.solve.masses import find_masses
from headrace.solve.moments import start_temps_k
from headrace.solve.prepared import Prepared
from headrace.solve.steady import solve_prepared
from headrace.units import Figure, Kind

STATED = {
    "vessel": 'volume = "230 mL"\nmass = "0.4 kg"\nwetted = ["acrylic"]\n',
    "pump": 'volume = "50 mL"\nmass = "0.4 kg"\nwetted = ["stainless steel", "ceramic"]\n',
    "block": 'volume = "50 mL"\nheat_capacity = "180 J/K"\nmax_temp = "90 °C"\n',
    "radiator": 'volume = "340 mL"\nmass = "1.1 kg"\nwetted = ["EPDM", "copper", "brass"]\n',
}


def card_text(stated: dict[str, str] = STATED) -> str:
    """CARDS with more keys on some cards."""
    text = CARDS
    for card, more in stated.items():
        head = f'id = "{card}"\n'
        assert head in text, card
        text = text.replace(head, head + more)
    return text


@cache
def _cards(text: str):
    return read_cards([parse_toml(text, "cards.toml")])


def heavy(
    *changes: tuple[str, str], more: str = "", stated: dict[str, str] = STATED, on_card: tuple[str, str] = ("", "")
) -> Loop:
    """The small build with masses, pieces of its text and one of its cards' replaced and more text after it."""
    text, cards = BUILD, card_text(stated)
    assert on_card[0] in cards, on_card
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return parse_build(text + more, "build.toml", _cards(cards.replace(*on_card) if on_card[0] else cards))


def cells_of(loop: Loop, state: State | None = None) -> Cells:
    """The cells of a loop in a state, its first unless another is given."""
    prepared = Prepared.of(loop, stated_route(loop), state or loop.state())
    return Cells(prepared, find_masses(prepared))


def steady_temps(cells: Cells):
    """(links, chips) in the steady state."""
    return start_temps_k(cells, solve_prepared(cells.prepared))


def even_temps(cells: Cells, temp_k: float):
    """(links, chips) all equally warm."""
    return np.full(len(cells.heat_w), temp_k), np.full(len(cells.masses.chips), temp_k)


def warm_up(loop: Loop, horizon_s: float = 1800.0, **more) -> Course:
    """The first state of a loop switched on with everything as warm as its room."""
    cells = cells_of(loop)
    return follow(cells, *even_temps(cells, float(cells.prepared.state.room_k)), horizon_s, **more)


def after(loop: Loop, horizon_s: float = 1800.0, *, state: State | None = None, **changed) -> Course:
    """The steady first state of a loop (or `state`), changed."""
    start = state or loop.state()
    cells = cells_of(loop, replace(start, **changed))
    return follow(cells, *steady_temps(cells_of(loop, start)), horizon_s)


def stopped(state: State, pump: str = "pump") -> dict[str, Figure]:
    """Speeds of a state with a pump at rest."""
    return {**state.speed, pump: Figure(0.0, Kind.FRACTION)}


def held_j(course: Course) -> float:
    """Heat the loop took up from the first row to the last: cp summed up over the way each link warmed."""
    cells = course.cells
    coolant, masses = cells.prepared.coolant, cells.masses
    nodes, weights = np.polynomial.legendre.leggauss(12)
    total = float(np.sum(masses.chip_j_k * (course.chip_k[-1] - course.chip_k[0])))
    for water, metal, first, last in zip(
        masses.water_kg, masses.metal_j_k, course.link_k[0], course.link_k[-1], strict=True
    ):
        middle, half = 0.5 * (first + last), 0.5 * (last - first)
        cp = [float(coolant.heat_capacity_j_kg_k(middle + half * node)) for node in nodes]
        total += water * half * float(weights @ cp) + metal * (last - first)
    return total


def put_in_j(course: Course) -> float:
    """Heat put in by chips, pumps and blocks without a resistance."""
    heat_w = float(np.sum(course.cells.heat_w)) + sum(chip.heat_w for chip in course.cells.masses.chips)
    return heat_w * float(course.time_s[-1])


def given_j(course: Course) -> float:
    """Heat the radiators gave off."""
    return float(course.mean_heat_w[1:] @ np.diff(course.time_s))
