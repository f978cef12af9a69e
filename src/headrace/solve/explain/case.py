"""
Open the air of the case: its temperature and its pressure.

Answers   what enters, leaves and warms the case, through fans, openings and leaks
Assumes   what comes in through an opening or leak comes from the room
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from headrace.physics.grille import DISCHARGE
from headrace.physics.heat import capacity_w_k
from headrace.solve.airpaths import CASE
from headrace.solve.explain.explained import Book, Explained, Number, Opened, formula_of, from_card, stated
from headrace.solve.explain.laws import law_formulas
from headrace.solve.explain.ways import air_capacity, air_density, find_shares, inlet_k, path_of
from headrace.solve.laws import Hole, Law
from headrace.solve.solution import Solution

_TEMP = (
    "T = (sum s C T + (C_open + U) T_room + P) / (sum s C + C_open + U) over the streams that come in, s the share "
    "that reaches the case, C_open that of air through openings and leaks, U of the walls, P what warms the case; "
    "energy balance"
)
_LEFT = "1 less what returns to its own inlet and what other stacks breathe of it"
_PRESSURE = "pressure over the room at which as much air, by mass, comes into the case as leaves [todini-pilati-1988]"
_FAN_HEAT = "P = 12 V I (n / n_full)^3 for each fan blowing into it, 0 W where no card states I; fan laws [bleier-1998]"


def case_numbers(solution: Solution) -> dict[str, Number]:
    """The numbers of the air in the case; none when it plays no part."""
    if solution.case_k is None or solution.case_pa is None:
        return {}
    return {
        "case_temp": Number("temp_k", {"": solution.case_k}, _case_temp),
        "case_pressure": Number("dp_pa", {"": solution.case_pa}, _case_pressure),
    }


def _case_temp(book: Book, _id: str, depth: int) -> Opened:
    inputs = [book.room(), *_streams(book, depth), _open_air(book), book.threshold("assumed_case_wall"), _heat(book)]
    return Opened((_TEMP,), tuple(inputs))


def _streams(book: Book, depth: int) -> Iterator[Explained]:
    """Capacity rate and temperature of the streams that come into the case through stacks and vents."""
    left = find_shares(book).left[0]
    for index, result in enumerate(book.solution.air):
        path = path_of(book, result.id)
        into = path.source if result.backwards else path.sink
        share = 1.0 if result.backwards else float(left[index])
        if into != CASE or not result.air_flow_m3_s or share == 0.0:
            continue
        yield air_capacity(book, result.id)
        if share < 1.0:
            yield Explained(f"share of the air of {result.id} that reaches the case", share, "share_frac", (_LEFT,))
        if result.kind == "stack":
            stack = next(stack for stack in book.loop.stacks if stack.id == result.id)
            last = stack.radiators[0 if result.backwards else -1]
            if last in book.numbers["air_out_temp"].values:
                yield book.open_at(f"air_out_temp.{last}", min(depth, 0))


def _open_air(book: Book) -> Explained:
    """Room air that openings and leaks let in."""
    inflow = [opening for opening in _openings(book) if float(opening.value) > 0.0]
    density = air_density(book, book.solution.room_k)
    cp = float(book.prepared.air.heat_capacity_j_kg_k(book.solution.room_k))
    total = sum(float(opening.value) for opening in inflow)
    value = float(capacity_w_k(total, float(density.value), cp))
    formula = formula_of(capacity_w_k)
    return Explained("capacity rate of the air through openings", value, "capacity_w_k", (formula,), "", tuple(inflow))


def _heat(book: Book) -> Explained:
    """What warms the air in the case besides radiators."""
    figure, place = book.state.case_heat_w, book.state.place
    name = "case_heat"
    case_heat = (
        Explained(name, 0.0, "heat_w", (), f"not stated in {place}, taken as 0 W")
        if figure is None
        else stated(name, figure, "heat_w", place)
    )
    lost = sum(passage.lost_w for passage in book.prepared.assembly.passages)
    formula = "electric power of every pump less what ends in its coolant, by definition"
    total = float(book.prepared.air_model.case_heat_w or 0.0)
    fans = total - lost - float(figure or 0.0)
    inputs = (
        case_heat,
        Explained("from the pumps into the air", lost, "heat_w", (formula,)),
        Explained("from the fans", fans, "heat_w", (_FAN_HEAT,)),
    )
    return Explained("heat into the air of the case", total, "heat_w", ("sum of these",), "", inputs)


def _case_pressure(book: Book, _id: str, _depth: int) -> Opened:
    network = book.prepared.air_model.network
    if network is None:
        return Opened((_PRESSURE,), (), "no air is known to pass between room and case: it is that of the room")
    paths = [book.prepared.air_model.paths[index] for index in network.link_of]
    ways = [book.open_at(f"air_flow.{path.id}", 0) for path in paths if path.source != path.sink]
    shared = () if network.shared is None else (_mixtures(book),)
    return Opened((_PRESSURE,), (*ways, *shared, *_openings(book)))


def _mixtures(book: Book) -> Explained:
    """What mixtures take out of the case besides the ways from zone to zone, at the density of the room."""
    model, room = book.prepared.air_model, air_density(book, book.solution.room_k)
    flows = {air.id: air.air_flow_m3_s or 0.0 for air in book.solution.air}
    mass = [flows[p.id] * float(book.prepared.air.density_kg_m3(inlet_k(book, p))) for p in model.paths]
    out = float(find_shares(book).from_case(model.paths, np.array([mass]))[0]) / float(room.value)
    formula = "case air and exhaust that stacks breathe by a share, less what returns to them"
    return Explained("air into the case through mixtures", -out, "air_flow_m3_s", (formula,), "", (room,))


def _openings(book: Book) -> Iterator[Explained]:
    """The air that bare openings and leaks let into the case at its pressure; below zero it goes out."""
    network, pressure = book.prepared.air_model.network, book.solution.case_pa
    if network is None or pressure is None:
        return
    taken = {*network.link_of.values(), network.shared}
    out_k = book.solution.case_k if pressure > 0.0 else None
    room_k = book.solution.room_k if out_k is None else out_k  # of the side the air comes from
    density = air_density(book, room_k)
    viscosity = float(book.prepared.air.viscosity_pa_s(room_k))
    vents = {vent.id: vent for vent in book.loop.vents}
    for index, link in enumerate(network.solver.network.links):
        if index in taken:
            continue
        flow = _through(link.laws, -pressure, float(density.value), viscosity)
        formulas = tuple(dict.fromkeys(formula for law in link.laws for formula in law_formulas(law)))
        vent = vents.get(link.id)
        if vent is None:
            inputs: tuple[Explained, ...] = (book.threshold("assumed_case_leak"), density)
            said = "assumed"
        else:
            inputs = (stated("free area", vent.area_m2, "area_m2", vent.place), density)
            said = "; ".join(from_card(screen, "", vent.place) for screen in vent.screens) or f"stated in {vent.place}"
        yield Explained(f"air into the case through {link.id}", flow, "air_flow_m3_s", formulas, said, inputs)


def _through(laws: tuple[Law, ...], dp_pa: float, density_kg_m3: float, viscosity_pa_s: float) -> float:
    """The airflow at which an opening and the screens in it take a pressure."""
    from scipy.optimize import brentq

    (hole,) = (law for law in laws if isinstance(law, Hole))
    most: float = DISCHARGE * float(hole.area_m2) * (2.0 * abs(dp_pa) / density_kg_m3) ** 0.5
    if len(laws) == 1 or most == 0.0:
        return most if dp_pa > 0.0 else -most

    def left(flow: float) -> float:
        taken = [float(law.dp_pa(flow, density_kg_m3, viscosity_pa_s)) for law in laws]
        return float(sum(taken)) - abs(dp_pa)

    found: float = brentq(left, 0.0, most, xtol=1e-15)
    return found if dp_pa > 0.0 else -found
