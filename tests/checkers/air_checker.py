"""Independent check of the coupled solve of air and heat: one unknown at a time, in plain scalars.

Answers   airflow of every stack and vent, pressure and temperature of the case, air into and coolant at every radiator
Assumes   coolant flows by link are given, or the parts stand in one ring without tube; one pump cuts all circuits of a
          water; stacks do not breathe in a ring

headrace finds everything at once by Newton steps on circuits and a linear system of enthalpies. Here the coolant is
marched once around from a guessed temperature, and brentq finds the guess that comes back to itself; each way of the
air is inverted alone with brentq, inside a brentq on the case pressure; what couples the two is repeated until it rests.

What the case gives away is what is drawn from it: of a stack's air the share that comes from the case, less what is its
own exhaust, and of another stack's exhaust no more than there is. Fans feel the pressure of the case in that share. The
density is that of the air that moves, whichever way it moves; mass is kept from core to core.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

import networkx as nx
from checkers.air_physics import core_loss, fan_gain, opening_loss, row_links, row_mass, screen_loss, strength_w_k
from scipy.optimize import brentq

from headrace.fluids.air import Air
from headrace.loop.model import Loop, State
from headrace.units import Kind

REST_K, MOST_PASSES = 1e-10, 3000
FAN_VOLT = 12.0
LEAK = "leak"
_MOST_M3_S = 5.0
_LEAST_KG_S = 1e-9


@dataclass
class Way:
    """One stream of air. `cores` are (radiator, card) in the order of its air, `live` the share of places that blow."""

    id: str
    sources: dict[str, float]  # share by "room", "case" or stack
    sink: str
    live: float = 1.0
    stated: float | None = None
    gain: Callable[[float, float, float], float] | None = None  # pressure from airflow, density, viscosity
    plus_k: float = 0.0
    recirculated: float = 0.0
    cores: tuple = ()
    turning_hz: float | None = None
    fan_w: float = 0.0


@dataclass
class Checked:
    """What the checker found; mappings as in a Solution, with the airflow of openings and of the leak too."""

    air_flow: dict[str, float]
    air_in: dict[str, float]
    case_k: float | None
    case_pa: float | None
    heat: dict[str, float]
    strength: dict[str, float]
    coolant: dict[str, float]
    mass_kg_s: float
    mass_rel: float
    passes: int


# ---------------------------------------------------------------- ways of the air


def _turning(state, id_, fan):
    """Turns per second of the fans, or None where nobody says."""
    stated = state.speed.get(id_)
    full = None if fan is None or fan.full_speed_hz is None else float(fan.full_speed_hz)
    if stated is None:
        return full
    return float(stated) * full if stated.kind is Kind.FRACTION else float(stated)


def _with_fans_out(turning, fans, out, series, places):
    """Speed, share of places that blow and fans behind one another, when some stand still.

    All of them out are fans at rest. In push-pull the other fan of a pair goes on; else a place without has no air.
    """
    if not fans or not out:
        return turning, 1.0, series
    if out >= fans:
        return 0.0, 1.0, series
    if series > 1 and places:
        return turning, 1.0, series - out / places
    return turning, 1.0 - out / fans, series


def _stack_way(state, stack):
    places, out = stack.fans_abreast, state.fans_out.get(stack.id, 0)
    found = stack.air_m3_s is None and stack.air_per_fan_m3_s is None  # pairs are told apart only on their curve
    series = 2.0 if stack.mount == "push-pull" else 1.0
    turning = _turning(state, stack.id, stack.fan)
    turning, live, series = _with_fans_out(turning, stack.fans, out, series, places if found else None)
    sources = {inlet.from_: float(inlet.share_frac) for inlet in stack.inlets}
    sources["room"] = sources.get("room", 0.0) + 1.0 - sum(sources.values())
    cores = ((stack.radiator, stack.card), *((other.radiator, other.card) for other in stack.behind))
    way = Way(stack.id, sources, stack.out, live, cores=cores, turning_hz=turning)
    way.plus_k = sum(float(inlet.plus_k) for inlet in stack.inlets)
    way.recirculated = float(stack.recirculated_frac)
    blows = live * (0.0 if turning == 0.0 else 1.0)
    if stack.air_m3_s is not None:
        way.stated = float(stack.air_m3_s) * blows
    elif stack.air_per_fan_m3_s is not None:
        at = 1.0 if stack.air_at_hz is None else turning / float(stack.air_at_hz)
        way.stated = float(stack.air_per_fan_m3_s) * places * blows * at
    elif stack.fan is not None and stack.fan.curve is not None and places and turning is not None:
        losses = [core_loss(card) for _, card in cores]
        losses += [screen_loss(screen, places * float(stack.fan.size_m) ** 2) for screen in stack.screens]
        if None not in losses:
            way.gain = _driven(stack.fan, turning, places, series, losses, live)
    way.fan_w = _fan_w(stack.fan, turning, (places or 0) * live * series)
    return way


def _driven(fan, turning, places, series, losses, live):
    """Fans against what stands in the way, as if all places were like those that blow; the others pass nothing."""
    fans = fan_gain(fan, turning, places, series)

    def gain(flow, rho, mu):
        whole = flow / live
        return fans(whole, rho) - sum(loss(whole, rho, mu) for loss in losses)

    return gain


def _fan_w(fan, turning, count):
    """Electric power of fans that turn: 12 V and the current at full speed, falling with the cube of the speed."""
    if fan is None or fan.current_a is None or fan.full_speed_hz is None or turning is None:
        return 0.0
    return FAN_VOLT * float(fan.current_a) * (turning / float(fan.full_speed_hz)) ** 3 * count


def _vent_way(state, vent):
    ends = ("room", "case") if vent.blows != "out" else ("case", "room")
    if vent.area_m2 is not None:
        losses = [opening_loss(float(vent.area_m2)), *(screen_loss(s, float(vent.area_m2)) for s in vent.screens)]
        return Way(vent.id, {"room": 1.0}, "case", gain=lambda flow, rho, mu: -sum(x(flow, rho, mu) for x in losses))
    turning = _turning(state, vent.id, vent.fan)
    turning, live, _ = _with_fans_out(turning, vent.fans, state.fans_out.get(vent.id, 0), 1.0, None)
    way = Way(vent.id, {ends[0]: 1.0}, ends[1], live, turning_hz=turning)
    if vent.air_m3_s is not None:
        way.stated = float(vent.air_m3_s) * live * (0.0 if turning == 0.0 else 1.0)
    else:
        face = vent.fans * float(vent.fan.size_m) ** 2
        losses = [screen_loss(screen, face) for screen in vent.screens]
        way.gain = _driven(vent.fan, turning, vent.fans, 1.0, losses, live)
    way.fan_w = _fan_w(vent.fan, turning, vent.fans * live)
    return way


def find_ways(loop: Loop, state: State) -> list[Way]:
    """Every stream of air; with a case in it also the leak of its walls."""
    ways = [_stack_way(state, stack) for stack in loop.stacks] + [_vent_way(state, vent) for vent in loop.vents]
    if any("case" in (way.sink, *way.sources) for way in ways):
        leak = opening_loss(loop.thresholds("assumed_case_leak"))
        ways.append(Way(LEAK, {"room": 1.0}, "case", gain=lambda flow, rho, mu: -leak(flow, rho, mu)))
    return ways


# ---------------------------------------------------------------- air and case


class Breath:
    """The air while it is being found."""

    def __init__(self, loop, state, ways, beside_w):
        self.ways, self.by_id = ways, {way.id: way for way in ways}
        self.room_k = float(state.room_k)
        self.air = Air.at(float(state.altitude_m), float(state.humidity_frac), self.room_k)
        self.cp = float(self.air.heat_capacity_j_kg_k(self.room_k))
        self.has_case = LEAK in self.by_id
        self.wall_w_k = loop.thresholds("assumed_case_wall")
        fans = sum(way.fan_w for way in ways if way.sink == "case")
        self.case_heat_w = beside_w + fans + (0.0 if state.case_heat_w is None else float(state.case_heat_w))
        self.case_k, self.case_pa = self.room_k, 0.0
        self.in_k = dict.fromkeys(self.by_id, self.room_k)
        self.out_k, self.flow, self.rho = dict(self.in_k), dict.fromkeys(self.by_id, 0.0), {}
        self.mix, self.back = {way.id: dict(way.sources) for way in ways}, set()

    def place(self, name):
        """Room or case: where a source of air is."""
        return name if name in ("room", "case") else self.by_id[name].sink

    def _shares(self, way):
        """Where the air of a way comes from: of a stack's exhaust no more than there is, room air in its place."""
        shares = dict(way.sources)
        for name in [name for name in shares if name not in ("room", "case")]:
            asked = sum(other.sources.get(name, 0.0) * max(self._last(other), 0.0) for other in self.ways)
            held = min(1.0, max(self._last(self.by_id[name]), 0.0) / asked) if asked > 0.0 else 1.0
            shares["room"] = shares.get("room", 0.0) + (1.0 - held) * shares[name]
            shares[name] *= held
        return shares

    def _last(self, way):
        """Net mass flow as it was last found."""
        return self.mass(way) if way.id in self.rho else 0.0

    def case_share(self, way):
        """Share of the air of a way that is drawn from the case, be it mixed air or the exhaust of a stack in it."""
        return sum(share for name, share in self.mix[way.id].items() if self.place(name) == "case")

    def temp(self, name):
        """Temperature of a source of air."""
        if name in ("room", "case"):
            return self.room_k if name == "room" else self.case_k
        return self.out_k[name] if self.flow[name] > 0.0 else self.temp(self.by_id[name].sink)

    def mass(self, way):
        """Net mass flow from source to sink, in kg/s."""
        return self.rho[way.id] * self.flow[way.id] * (1.0 - self.own(way))

    def own(self, way):
        """Share of its air that is its own exhaust; none where air is driven backwards."""
        return way.recirculated if self.flow[way.id] >= 0.0 else 0.0

    def into_case(self, way):
        """Net mass flow into the case, in kg/s."""
        return ((way.sink == "case") - self.case_share(way)) * self.mass(way)

    def blow(self):
        """Airflow of every way, and the case pressure at which as much comes in as goes out."""

        def surplus(case_pa):
            for way in self.ways:
                self._move(way, case_pa)
            return sum(self.into_case(way) for way in self.ways)

        self.mix = {way.id: self._shares(way) for way in self.ways}
        self.back = {id_ for id_, flow in self.flow.items() if flow < 0.0}
        self.case_pa = 0.0
        most = abs(surplus(0.0)) / (max(map(abs, self.flow.values()), default=0.0) or 1.0)
        if most < 1e-13 or not self.has_case:  # nothing drives air through the case
            return
        far = 1.0
        while surplus(-far) < 0.0 or surplus(far) > 0.0:
            far *= 4.0
        self.case_pa = brentq(surplus, -far, far, xtol=1e-13, rtol=1e-15)
        surplus(self.case_pa)

    def _move(self, way, case_pa):
        at = self._there(way, case_pa)
        rho, mu = float(self.air.density_kg_m3(at)), float(self.air.viscosity_pa_s(at))
        self.rho[way.id] = rho
        if way.gain is None:
            self.flow[way.id] = way.stated or 0.0
            return
        push = case_pa * (self.case_share(way) - (way.sink == "case"))
        self.flow[way.id] = brentq(
            lambda flow: push + way.gain(flow, rho, mu), -_MOST_M3_S, _MOST_M3_S, xtol=1e-17, rtol=1e-15
        )

    def _there(self, way, case_pa):
        """Temperature of the air where it comes in: fans keep their direction, an opening has that of the pressure."""
        if way.cores:
            return self.in_k[way.id]
        back = case_pa > 0.0 if way.turning_hz is None and way.stated is None else way.id in self.back
        return self.temp(way.sink if back else next(iter(way.sources)))

    def warm(self, heat):
        """New temperatures from the heat of the radiators; returns the air into each of them."""
        into = {}
        for way in self.ways:
            capacity = self.rho[way.id] * abs(self.flow[way.id]) * self.cp
            if self.flow[way.id] >= 0.0:
                mix, cores = way.plus_k + sum(s * self.temp(name) for name, s in self.mix[way.id].items()), way.cores
            else:
                mix, cores = self.temp(way.sink), way.cores[::-1]
            rises = [heat.get(radiator, 0.0) / capacity if capacity > 0.0 else 0.0 for radiator, _ in cores]
            at = mix + self.own(way) / (1.0 - self.own(way)) * sum(rises)
            self.in_k[way.id] = at
            for (radiator, _), rise in zip(cores, rises, strict=True):
                into[radiator], at = at, at + rise
            self.out_k[way.id] = at
        if self.has_case:
            self.case_k = self._mixed()
        return into

    def _mixed(self):
        """Temperature of the case air: what comes in, the heat of the state and the walls against what goes out."""
        gain, loss = self.case_heat_w + self.wall_w_k * self.room_k, self.wall_w_k
        for way in self.ways:
            carried = abs(self.mass(way)) * self.cp
            if self.flow[way.id] >= 0.0:
                gain += carried * self.out_k[way.id] * (way.sink == "case")
                for name, share in self.mix[way.id].items():
                    if name == "case":
                        loss += share * carried
                    elif self.place(name) == "case":
                        gain -= share * carried * self.temp(name)
            else:
                loss += carried * (way.sink == "case")
                gain += carried * self.out_k[way.id] * self.case_share(way)
        return gain / loss

    def mass_rel(self):
        """What is left of the air balance of the case, against the largest flow."""
        rows = [self.into_case(way) for way in self.ways]
        return abs(sum(rows)) / (max(map(abs, rows)) or 1.0) if self.has_case else 0.0


# ---------------------------------------------------------------- coolant


@dataclass
class Water:
    """The moving links of one loop: (start, end, mass flow, heat, radiator or None) in an order the water can take."""

    links: list
    cut: tuple


def find_waters(links, heat_w):
    """One for each loop, cut at a pump. `links` are (start, end, mass flow, does, owner)."""
    graph = nx.MultiDiGraph()
    for start, end, mass, does, owner in links:
        if abs(mass) > _LEAST_KG_S:
            watts = heat_w.get(owner, 0.0) if does in ("heat", "pump") else 0.0
            data = {"mass": abs(mass), "heat": watts, "does": does, "owner": owner if does == "cool" else None}
            graph.add_edge(*((start, end) if mass > 0.0 else (end, start)), **data)
    waters = []
    for piece in nx.weakly_connected_components(graph):
        part = graph.subgraph(piece).copy()
        cut = next((a, b, k) for a, b, k, data in part.edges(keys=True, data=True) if data["does"] == "pump")
        pump = part.edges[cut]
        part.remove_edge(*cut)
        order = {node: i for i, node in enumerate(nx.topological_sort(part))}
        rows = sorted(part.edges(data=True), key=lambda edge: order[edge[0]])
        rows = [(a, b, data["mass"], data["heat"], data["owner"]) for a, b, data in rows]
        waters.append(Water(rows, (*cut[:2], pump["mass"], pump["heat"])))
    return waters


def march(water, coolant, start_k, strengths, air_in):
    """Temperatures at every node from one at the pump's outlet, and the temperature that comes back there."""
    met, at = {}, {water.cut[1]: start_k}

    def mixed(node):
        return sum(m * h for m, h in met[node]) / sum(m for m, _ in met[node])

    for start, end, mass, heat, radiator in water.links:
        if start not in at:
            at[start] = float(coolant.temp_k(mixed(start)))
        given = heat if radiator is None else -strengths[radiator] * (at[start] - air_in[radiator])
        met.setdefault(end, []).append((mass, float(coolant.enthalpy_j_kg(at[start])) + given / mass))
    start, _, mass, heat = water.cut
    at[start] = float(coolant.temp_k(mixed(start)))
    return at, float(coolant.temp_k(mixed(start) + heat / mass))


def balance_water(water, coolant, strengths, air_in, room_k):
    """Temperatures at every node of one loop: those that come back to themselves."""

    def left(start_k):
        return march(water, coolant, start_k, strengths, air_in)[1] - start_k

    low, high = room_k - 60.0, room_k + 330.0
    while left(low) < 0.0:
        low -= 200.0
    while left(high) > 0.0:
        high += 1000.0
    start_k = brentq(left, low, high, xtol=1e-12, rtol=1e-14)
    return march(water, coolant, start_k, strengths, air_in)[0]


def pump_heat(loop, state):
    """Heat of each pump to its water, from power at full speed and the cube of the speed; what all give the air; speeds."""
    heat, beside, speeds = {}, 0.0, {}
    for part in loop.parts:
        if part.card.main == "pump":
            stated = state.speed.get(part.id)
            share = 1.0 if stated is None else float(stated)
            if stated is not None and stated.kind is Kind.SPEED:
                share /= float(part.card.full_speed_hz)
            power = 0.0 if part.card.power_w is None else float(part.card.power_w) * share**3
            kept = 0.85 if part.card.heat_share_frac is None else float(part.card.heat_share_frac)
            heat[part.id], speeds[part.id] = power * kept, share
            beside += power * (1.0 - kept)
    return heat, beside, speeds


# ---------------------------------------------------------------- all of it


def links_of(solution):
    """The links of a Solution as `check` wants them: its coolant flows are taken as given."""
    return [(x.start, x.end, x.mass_flow_kg_s, x.does, x.owner) for x in solution.links]


def check(loop: Loop, state: State, links=None) -> Checked:
    """Air, heat and coolant of one state; without `links` also the flow of a ring of parts."""
    pumped, beside_w, speeds = pump_heat(loop, state)
    breath = Breath(loop, state, find_ways(loop, state), beside_w)
    coolant, room_k = loop.coolant.fluid(), breath.room_k
    heat_w = {part: float(watts) for part, watts in state.heat_w.items()} | pumped
    cores = {radiator: (way, card) for way in breath.ways for radiator, card in way.cores}
    air_in, heat, at_node = dict.fromkeys(cores, room_k), {}, {}
    water_k = mean_k = dict.fromkeys(cores, room_k + 10.0)
    own, mass = links is None, 0.05
    for passes in count(1):
        if passes > MOST_PASSES:
            raise RuntimeError("air and heat do not come to rest")
        before = [*air_in.values(), *water_k.values(), *mean_k.values(), breath.case_k, 1e3 * mass]
        if own:
            mass = row_mass(loop, *speeds.values(), coolant, at_node) if at_node else mass
            links = row_links(loop, mass)
        waters = find_waters(links, heat_w)
        met = {link[4]: (link[0], link[2]) for water in waters for link in water.links if link[4]}
        breath.blow()
        air_in = breath.warm(heat)
        strengths = dict.fromkeys(cores, 0.0)
        for radiator, (_, kg_s) in met.items():
            way, card = cores[radiator]
            flow = abs(breath.flow[way.id])
            carried, at = flow * breath.rho[way.id], air_in[radiator]
            there = carried / float(breath.air.density_kg_m3(at))
            streams = carried, flow, there, coolant, mean_k[radiator], kg_s
            strengths[radiator] = strength_w_k(card, breath.air, at, *streams, way.live, way.turning_hz)
        for water in waters:
            at_node |= balance_water(water, coolant, strengths, air_in, room_k)
        water_k = {radiator: at_node[met[radiator][0]] if radiator in met else room_k for radiator in cores}
        bold = 1.0 if passes < 30 else 0.5 if passes < 100 else 0.15  # slow air swings when it is taken at its word
        for radiator in cores:
            found = strengths[radiator] * (water_k[radiator] - air_in[radiator])
            heat[radiator] = bold * found + (1.0 - bold) * heat.get(radiator, 0.0)
        mean_k = {r: _mean(coolant, water_k[r], heat[r] / met[r][1] if r in met else 0.0) for r in cores}
        after = [*air_in.values(), *water_k.values(), *mean_k.values(), breath.case_k, 1e3 * mass]
        if max(abs(a - b) for a, b in zip(after, before, strict=True)) < REST_K:
            break
    case = (breath.case_k, breath.case_pa) if breath.has_case else (None, None)
    return Checked(breath.flow, air_in, *case, heat, strengths, at_node, mass, breath.mass_rel(), passes)


def _mean(coolant, in_k, lost_j_kg):
    """Mean of water temperatures at both ends of a radiator."""
    return 0.5 * (in_k + float(coolant.temp_k(float(coolant.enthalpy_j_kg(in_k)) - lost_j_kg)))
