"""
Every order of the parts of a loop, solved, against the order they stand in.

Answers   by how many kelvin each order moves each chip, and whether the order matters here at all
Assumes   what plan.ring assumes of runs and of what stays together; everything else of the state as it is
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import factorial

from headrace.loop.model import Loop, State
from headrace.loop.route import Route
from headrace.plan.arrange import count_orders, distinct_orders, find_alike, near_orders
from headrace.plan.beside import NOTE, Beside, compare_beside
from headrace.plan.ring import Group, Ring, find_rings, reordered
from headrace.solve.balance import balance
from headrace.solve.balanced import Balanced
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.solve.steady import solve_prepared

MOST_ORDERS = 5040  # 7 groups; about a minute of computing. Beyond it only orders near the present one are solved
NOTES = (
    "each run keeps its place in the ring, its length, bends and fittings: where the tubes of another order would "
    "run is not known yet",
    "joined parts and parallel branches stay together; sensors, filters, couplings and pass-throughs stay with the "
    "radiator beside them, else with the part before them",
)
_TIE_DIGITS = 6  # orders nearer than a microkelvin are equally good, and the present one comes first
Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class Ordered:
    """
    One order, solved. `part_temp_k` is by chip, `inlet_k` the coolant into each block.

    `moves_k` is how far each block's chip is from where it is now; the coolant into the block, where no card states
    its resistance. `hottest_k` and `flow_m3_s` are of the water of this ring alone, the flow through its strongest
    pump.
    """

    groups: tuple[Group, ...]
    present: bool
    part_temp_k: dict[str, float]
    margin_k: dict[str, float]
    inlet_k: dict[str, float]
    moves_k: dict[str, float]
    hottest_k: float
    flow_m3_s: float

    @property
    def worth(self) -> tuple[float, ...]:
        """Smaller is better: the tightest chip, then the hottest one, then the hottest coolant."""
        least = -min(self.margin_k.values(), default=0.0)
        hottest = max(self.part_temp_k.values(), default=0.0)
        return (*(round(value, _TIE_DIGITS) for value in (least, hottest, self.hottest_k)), not self.present)


@dataclass(frozen=True)
class Ranking:
    """The orders of one ring, the best first. `admissible` are all there are, `left_open` did not come to rest."""

    ring: Ring
    orders: tuple[Ordered, ...]
    admissible: int
    left_open: int
    stopped: bool

    @property
    def present(self) -> Ordered:
        """The order the parts stand in."""
        return next(order for order in self.orders if order.present)

    @property
    def furthest(self) -> tuple[str, float]:
        """The part that some order moves most, and how far; ("", 0) without a block."""
        moves = [move for order in self.orders for move in order.moves_k.items()]
        return max(moves, key=lambda move: abs(move[1]), default=("", 0.0))


@dataclass(frozen=True)
class Orders:
    """What was compared in one state."""

    loop: Loop
    state: State
    nominal: Solution
    rankings: tuple[Ranking, ...]
    beside: tuple[Beside, ...]
    notes: tuple[str, ...]

    @property
    def least_k(self) -> float:
        """How far a part must move for an order to be worth a word."""
        return self.loop.thresholds("order_matters")


def compare_orders(loop: Loop, route: Route, state: State, tell: Tell | None = None) -> Orders:
    """
    Solve every admissible order. Raises NoSolution when the loop as it stands has none.

    `tell(done, all)` is called after each order of a ring; a KeyboardInterrupt stops with what was found by then.
    """
    found = solve_prepared(Prepared.of(loop, route, state))
    nominal = build_solution(found)
    rings = find_rings(loop, nominal)
    rankings = tuple(_rank(ring, found, nominal, tell) for ring in rings)
    notes = list(NOTES) if rings else ["no order to compare: no loop has two parts with heat that could change places"]
    notes += [note for ranking in rankings for note in _notes(ranking)]
    beside = tuple(compare_beside(loop, route, state, nominal))
    notes += [NOTE] if beside else []
    return Orders(loop, state, nominal, rankings, beside, tuple(notes))


def _rank(ring: Ring, found: Balanced, nominal: Solution, tell: Tell | None) -> Ranking:
    loop, state = found.prepared.loop, found.prepared.state
    alike = find_alike(loop, state, ring.groups)
    admissible = count_orders(alike)
    whole = admissible <= MOST_ORDERS
    orders = list((distinct_orders if whole else near_orders)(ring.groups, alike))
    done, left_open, stopped = [_read(ring, ring.groups, nominal, nominal)], 0, False
    try:
        for number, order in enumerate(orders[1:], 2):
            solution = _solve(ring, order, found)
            done += [] if solution is None else [_read(ring, order, solution, nominal)]
            left_open += solution is None
            if tell is not None:
                tell(number, len(orders))
    except KeyboardInterrupt:
        stopped = True
    return Ranking(ring, tuple(sorted(done, key=lambda order: order.worth)), admissible, left_open, stopped)


def _solve(ring: Ring, order: Sequence[Group], start: Balanced) -> Solution | None:
    """The loop in another order, begun from the balance of the present one; None when it does not close."""
    old = start.prepared
    prepared = Prepared.of(reordered(old.loop, ring, order), old.route, old.state)
    for begin in (start, None):
        found = balance(prepared, prepared.nominal(), begin)
        if found.closed[0]:
            return build_solution(found)
    return None


def _read(ring: Ring, groups: Sequence[Group], solution: Solution, nominal: Solution) -> Ordered:
    inlets, before = _inlets(solution), _inlets(nominal)
    moves = {
        part: solution.part_temp_k[part] - nominal.part_temp_k[part]
        if part in nominal.part_temp_k
        else inlet - before[part]
        for part, inlet in inlets.items()
    }
    water = next(set(ports) for ports in solution.waters if ring.anchor.outlet in ports)
    pumped = [abs(link.flow_m3_s) for link in solution.links if link.does == "pump" and link.start in water]
    return Ordered(
        tuple(groups),
        solution is nominal,
        solution.part_temp_k,
        solution.margin_k,
        inlets,
        moves,
        max(solution.coolant_temp_k[port] for port in water),
        max(pumped, default=0.0),
    )


def _inlets(solution: Solution) -> dict[str, float]:
    return {link.owner: link.temp_in_k for link in solution.links if link.does == "heat"}


def _notes(ranking: Ranking) -> Iterator[str]:
    solved, anchor = len(ranking.orders), ranking.ring.anchor
    if anchor.hub:
        yield f"the reservoir goes on feeding {anchor.label} in every order"
    else:
        yield f"no reservoir feeds {anchor.label} as it stands, see WATER-01; no order here cures that"
    if ranking.admissible > MOST_ORDERS:
        yield (
            f"{ranking.admissible} orders are too many to solve each: these are the present one, all that exchange two "
            f"groups and all that move one to another place"
        )
    if ranking.stopped:
        yield f"stopped after {solved} orders: the best may be among those that were not solved"
    if ranking.left_open:
        yield f"{ranking.left_open} orders did not come to rest and are left out"
    doubles = factorial(len(ranking.ring.groups)) // ranking.admissible
    if doubles > 1:
        yield f"some parts are alike, with like heat or air: each order is listed once, not {doubles} times"
