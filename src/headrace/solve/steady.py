"""
Solve a loop in one state: flow and heat together.

Answers   flow and pressure of every run and part, coolant at every port, chips, radiators, margins
Assumes   steady; coolant properties of each link at the mean of its two ends
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from headrace.errors import DeadBranch, Fault, NoBalance, NoRadiator, OpenPump
from headrace.fluids.air import Air
from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, State
from headrace.loop.route import Route
from headrace.solve.airside import StackAir, air_side, coolant_capacity_w_k, find_stacks
from headrace.solve.assemble import Assembly, assemble
from headrace.solve.balanced import Balanced
from headrace.solve.flow import CLOSE_PA, FlowBalance, FlowSolver
from headrace.solve.heat import LEAST_KG_S, AirSide, HeatBalance, exchanged_w, solve_heat
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.units import Array, Indices, show

_MOST_PASSES = 60
_CLOSE_K = 1e-8
_CLOSE_FLOW = 1e-10
_CLOSE_ENERGY = 1e-7
_START_RISE_K = 10.0
_GONE_K = 600.0  # far above any coolant's boiling point under any pressure a loop can hold
LEAST_FLOW_M3_S = 1e-10  # 0.4 mL/h: changes of a flow this small do not matter


def solve(loop: Loop, route: Route, state: State) -> Solution:
    """The loop in `state`. Raises OpenPump, DeadBranch, NoRadiator, Unknown or NoBalance, never a half answer."""
    with np.errstate(all="ignore"):  # what leaves all reason is refused below in words, not in warnings
        return _solve(loop, route, state)


def _solve(loop: Loop, route: Route, state: State) -> Solution:
    assembly = assemble(loop, route, state)
    _refuse_open_pumps(assembly, loop)
    coolant = loop.coolant.fluid()
    air = Air.at(float(state.altitude_m), float(state.humidity_frac), float(state.room_k))
    stacks = find_stacks(loop, state, assembly, air)
    balanced = _balance(assembly, stacks, coolant, loop, state)
    return build_solution(loop, state, assembly, stacks, coolant, balanced)


def _refuse_open_pumps(assembly: Assembly, loop: Loop) -> None:
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


def _balance(assembly: Assembly, stacks: tuple[StackAir, ...], coolant: Coolant, loop: Loop, state: State) -> Balanced:
    """Flow at the coolant's temperature, temperature at that flow, in turns until neither moves."""
    room_k = float(state.room_k)
    solver = FlowSolver.of(assembly.network)
    ends = _ends(assembly)
    heat_w = np.array([[passage.heat_w for passage in assembly.passages]])
    node_k = np.full((1, assembly.network.nodes), room_k + _START_RISE_K)
    reference = float(coolant.density_kg_m3(room_k + _START_RISE_K))
    flows = np.zeros_like(heat_w)
    moved = np.zeros_like(node_k)
    for step in range(1, _MOST_PASSES + 1):
        link_k = 0.5 * (node_k[:, ends[0]] + node_k[:, ends[1]])
        density, viscosity = np.asarray(coolant.density_kg_m3(link_k)), np.asarray(coolant.viscosity_pa_s(link_k))
        start = flows if step > 1 else None
        flow = solver.solve_flow(density, viscosity, per_unit=reference / density, start=start)
        _refuse_unbalanced(flow, assembly, loop)
        mass_flow = flow.flow_m3_s * reference
        if step == 1:
            _refuse_stranded_heat(assembly, stacks, mass_flow[0], ends, loop)
        capacity = coolant_capacity_w_k(coolant, mass_flow / density, density, link_k)
        air = air_side(stacks, room_k, mass_flow / density, capacity)
        heat = solve_heat(ends, mass_flow, heat_w, air, coolant, np.array([room_k]), node_k)
        _refuse_boiling(heat, float(heat_w.sum()), air, state)
        moved = np.abs(heat.node_k - node_k)
        change = np.abs(flow.flow_m3_s - flows)
        node_k, flows = heat.node_k, flow.flow_m3_s
        if (
            np.all(change <= _CLOSE_FLOW * np.max(np.abs(flows), initial=LEAST_FLOW_M3_S))
            and np.all(moved < _CLOSE_K)
            and abs(float(heat.left_w[0])) <= _CLOSE_ENERGY * exchanged_w(float(heat_w.sum()), heat.heat_w)
        ):
            return Balanced(flow, heat, air, mass_flow, density, viscosity, step)
    worst = assembly.nodes[int(np.argmax(moved))]
    found = f"flow and heat still move by {float(moved.max()):.2g} K after {_MOST_PASSES} passes"
    fix = "See the heat of this state against what its radiators can give off."
    raise NoBalance(Fault(state.place, f'port "{worst}"', found, f"limit {_CLOSE_K:g} K", fix))


def _refuse_boiling(heat: HeatBalance, heat_w: float, air: AirSide, state: State) -> None:
    """No coolant is a liquid up there; the formulas go on, but their answer would be nonsense."""
    if np.all(heat.node_k < _GONE_K):  # nan is not below it either
        return
    strength = f"{show(heat_w, 'heat_w')} against {show(float(air.strength_w_k.sum()), 'strength_w_k')} of radiators"
    limit = f"limit {show(_GONE_K, 'temp_k')}"
    fix = "See the units of the heat, and whether the fans turn."
    raise NoBalance(Fault(state.place, f'state "{state.name}"', f"the coolant would boil away: {strength}", limit, fix))


def _ends(assembly: Assembly) -> tuple[Indices, Indices]:
    links = assembly.network.links
    return np.array([link.start for link in links], dtype=np.intp), np.array(
        [link.end for link in links], dtype=np.intp
    )


def _refuse_unbalanced(flow: FlowBalance, assembly: Assembly, loop: Loop) -> None:
    if flow.left_pa[0] < max(CLOSE_PA, 1e-12 * float(np.max(np.abs(flow.dp_pa), initial=0.0))):
        return
    circuit = assembly.network.circuits[:, int(flow.worst[0])]
    steepest = int(np.argmax(np.abs(circuit) * np.abs(flow.dp_pa[0])))
    passage = assembly.passages[steepest]
    found = f"no balance after {flow.steps} steps: {show(float(flow.left_pa[0]), 'dp_pa')} left over around it"
    place = loop.part(passage.owner).place if passage.kind == "part" else loop.limits_place
    raise NoBalance(Fault(place, f'"{passage.id}"', found, "", "See whether its curve rises with the flow everywhere."))


def _refuse_stranded_heat(
    assembly: Assembly, stacks: tuple[StackAir, ...], mass_flow: Array, ends: tuple[Indices, Indices], loop: Loop
) -> None:
    """Heat needs flow, and the water that takes it must meet a radiator."""
    live = np.abs(mass_flow) > LEAST_KG_S
    piece = _pieces(assembly.network.nodes, ends, live)
    cooled = {piece[ends[0][stack.link]] for stack in stacks if live[stack.link]}
    stranded, hot = [], []
    for index, passage in enumerate(assembly.passages):
        if passage.heat_w <= 0.0:
            continue
        subject = f'part "{passage.owner}"'
        place = loop.part(passage.owner).place
        if not live[index]:
            found = f"gives {show(passage.heat_w, 'heat_w')} to water that does not flow"
            fix = "Turn a pump in this state, open the valve, or join the branch at both ends."
            stranded.append(Fault(place, subject, found, "", fix))
        elif piece[ends[0][index]] not in cooled:
            found = f"gives {show(passage.heat_w, 'heat_w')} to a loop that meets no radiator"
            hot.append(Fault(place, subject, found, "", "Put a radiator with a [[stack]] into this loop."))
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
