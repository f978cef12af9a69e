"""
Solve a loop in one state: flow, heat and air together.

Answers   flow and pressure of every run and part, coolant at every port, chips, radiators, air, margins
Assumes   steady; coolant properties of each link at the mean of its two ends
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from headrace.errors import DeadBranch, Fault, NoBalance, NoRadiator, OpenPump
from headrace.loop.model import Loop, Stack, State
from headrace.loop.route import Route
from headrace.solve.balance import CLOSE_K, MOST_PASSES, balance
from headrace.solve.balanced import Balanced
from headrace.solve.flow import CLOSE_PA
from headrace.solve.heat import LEAST_KG_S
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.units import Indices, show

_MOST_CASE_PA = 500.0  # several times what any fan of a computer reaches
_NEARLY_STANDS_M3_S = 5.0 / 3600.0
_GONE_K = 600.0  # far above any coolant's boiling point under any pressure a loop can hold


def solve(loop: Loop, route: Route, state: State) -> Solution:
    """The loop in `state`. Raises OpenPump, DeadBranch, NoRadiator, Unknown or NoBalance, never a half answer."""
    return build_solution(solve_prepared(Prepared.of(loop, route, state)))


def solve_prepared(prepared: Prepared) -> Balanced:
    """The balance of the state itself. Raises as `solve` does."""
    _refuse_open_pumps(prepared)
    found = balance(prepared, prepared.nominal())
    _refuse_stranded_heat(found)
    _refuse_boiling(found)
    _refuse_unbalanced(found)
    _refuse_case_pressure(found)
    return found


def _refuse_open_pumps(prepared: Prepared) -> None:
    assembly, loop = prepared.assembly, prepared.loop
    dead = set(assembly.network.dead_links())
    faults = []
    for index, passage in enumerate(assembly.passages):
        if index in dead and passage.does == "pump" and not assembly.network.links[index].closed:
            found = "has no closed path: the water it pushes cannot come back"
            fix = (
                "Join its outlet through the loop to its inlet; see which port no run uses, and which valve is closed."
            )
            faults.append(Fault(loop.part(passage.owner).place, f'pump "{passage.owner}"', found, "", fix))
    if faults:
        raise OpenPump(*faults)


def _refuse_boiling(found: Balanced) -> None:
    """No coolant is a liquid up there; the formulas go on, but their answer would be nonsense."""
    if np.all(found.heat.station_k < _GONE_K):  # nan is not below it either
        return
    state = found.prepared.state
    heat_w = float(np.sum(found.prepared.place_heat_w))
    strength = float(np.sum(found.air.strength_w_k[0]))
    against = f"{show(heat_w, 'heat_w')} against {show(strength, 'strength_w_k')} of radiators"
    limit = f"limit {show(_GONE_K, 'temp_k')}"
    fix = "See the units of the heat, and whether the fans turn."
    raise NoBalance(Fault(state.place, f'state "{state.name}"', f"the coolant would boil away: {against}", limit, fix))


def _refuse_unbalanced(found: Balanced) -> None:
    if bool(found.closed[0]):
        return
    prepared = found.prepared
    assembly, loop, state = prepared.assembly, prepared.loop, prepared.state
    flows = found.flows
    if flows.left_pa[0] >= max(CLOSE_PA, 1e-12 * float(np.max(np.abs(flows.dp_pa), initial=0.0))):
        circuit = assembly.network.circuits[:, int(flows.worst[0])]
        steepest = int(np.argmax(np.abs(circuit) * np.abs(flows.dp_pa[0])))
        passage = assembly.passages[steepest]
        said = f"no balance after {found.passes} passes: {show(float(flows.left_pa[0]), 'dp_pa')} left over around it"
        place = loop.part(passage.owner).place if passage.kind == "part" else loop.limits_place
        fix = "See whether its curve rises with the flow everywhere."
        raise NoBalance(Fault(place, f'"{passage.id}"', said, "", fix))
    _refuse_turning_air(found)
    station = int(np.argmax(found.moved_k[0]))
    nodes = np.flatnonzero(prepared.stations.node_station == station)
    worst = f'port "{assembly.nodes[nodes[0]]}"' if len(nodes) else "the coolant"
    said = f"flow, heat and air still move by {float(found.moved_k.max()):.2g} K after {MOST_PASSES} passes"
    fix = "See the heat of this state against what its radiators can give off."
    raise NoBalance(Fault(state.place, worst, said, f"limit {CLOSE_K:g} K", fix))


def _refuse_turning_air(found: Balanced) -> None:
    """Air that nearly stands may come out of the case when it is reckoned from the room, and the other way round."""
    paths, flow = found.prepared.air_model.paths, np.abs(found.air.flow_m3_s[0])
    if found.air.settled[0] or not len(paths) or float(np.min(flow)) > _NEARLY_STANDS_M3_S:
        return
    path = paths[int(np.argmin(flow))]
    what = "stack" if isinstance(path.owner, Stack) else "vent"
    said = f"its air nearly stands ({show(float(np.min(flow)), 'air_m3_s')}) and turns from one way to the other"
    fix = "Turn its fans faster, or those that hold the case against them slower."
    raise NoBalance(Fault(path.owner.place, f'{what} "{path.id}"', said, "", fix))


def _refuse_case_pressure(found: Balanced) -> None:
    """Stated airflows that do not fit one another would empty a case or burst it."""
    pressure = float(found.air.case_pa[0])
    if abs(pressure) <= _MOST_CASE_PA:
        return
    state = found.prepared.state
    said = f"the case would stand at {show(pressure, 'dp_pa')} against the room: airflows as stated do not fit together"
    fix = "Give one of them a fan with a curve instead of a stated airflow, or add a [[vent]]."
    raise NoBalance(Fault(state.place, f'state "{state.name}"', said, f"limit {show(_MOST_CASE_PA, 'dp_pa')}", fix))


def _refuse_stranded_heat(found: Balanced) -> None:
    """Heat needs flow, and the water that takes it must meet a radiator."""
    prepared = found.prepared
    assembly, loop = prepared.assembly, prepared.loop
    links = assembly.network.links
    ends = np.array([x.start for x in links], np.intp), np.array([x.end for x in links], np.intp)
    live = np.abs(found.mass_flow_kg_s[0]) > LEAST_KG_S
    piece = _pieces(assembly.network.nodes, ends, live)
    cooling = [i for i, passage in enumerate(assembly.passages) if passage.does == "cool"]
    cooled = {piece[ends[0][link]] for link in cooling if live[link]}
    stranded, hot = [], []
    for index, passage in enumerate(assembly.passages):
        if passage.heat_w <= 0.0:
            continue
        subject = f'part "{passage.owner}"'
        place = loop.part(passage.owner).place
        if not live[index]:
            said = f"gives {show(passage.heat_w, 'heat_w')} to water that does not flow"
            fix = "Turn a pump in this state, open the valve, or join the branch at both ends."
            stranded.append(Fault(place, subject, said, "", fix))
        elif piece[ends[0][index]] not in cooled:
            said = f"gives {show(passage.heat_w, 'heat_w')} to a loop that meets no radiator"
            hot.append(Fault(place, subject, said, "", "Put a radiator with a [[stack]] into this loop."))
    if stranded:
        raise DeadBranch(*stranded)
    if hot:
        raise NoRadiator(*hot)


def _pieces(nodes: int, ends: tuple[Indices, Indices], live: NDArray[np.bool_]) -> list[int]:
    """A number for each node, equal when flowing water joins them."""
    piece = list(range(nodes))

    def root(node: int) -> int:
        while piece[node] != node:
            piece[node] = piece[piece[node]]
            node = piece[node]
        return node

    for start, end, flows in zip(*ends, live, strict=True):
        if flows:
            piece[root(int(start))] = root(int(end))
    return [root(node) for node in range(nodes)]
