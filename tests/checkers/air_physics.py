"""Pressures of the air, strengths of radiators and losses of a row of parts, in plain scalars, for the air checker.

Answers   what fans, cores, screens and openings add or take, what a radiator passes, what water a pump moves in a row
Assumes   losses are stated in air of 1.2 kg/m3 and 1.82e-5 Pa s; where fans stand their part of a core passes nothing

Fans and losses come from `flow_physics` and scipy, effectiveness from the library ht. Films of a core, points of a card
in thin air and properties are those of headrace: they have tests of their own.
"""

from functools import cache
from itertools import pairwise

import ht
import numpy as np
from checkers.flow_physics import curve, pump_law, pump_points
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, nnls

from headrace.physics.radiator import thin_air_w_k

REFERENCE_KG_M3, REFERENCE_PA_S = 1.2, 1.82e-5
SEA_PA = 101325.0  # where points are stated
DISCHARGE = 0.6  # of a sharp-edged opening


# ---------------------------------------------------------------- pressures


@cache
def machine(points, speed, density, test_density):
    """Pressure a fan or pump takes (minus what it gives) at one flow; two points from shut-off to free are a parabola."""
    if points[0][0] > 0.0:  # drawn on to no flow
        slope = float(PchipInterpolator(*zip(*points, strict=True)).derivative()(points[0][0]))
        points = ((0.0, points[0][1] - slope * points[0][0]), *points)
    flows, heads = zip(*points, strict=True)
    same = {"speed": speed, "test_density": test_density}
    if len(points) == 2 and heads[1] == 0.0:
        return pump_law(density, 0.0, shutoff_pa=heads[0], fall=heads[0] / flows[1] ** 2, **same)
    return pump_points(density, 0.0, flows=flows, heads=heads, **same)


def fan_gain(fan, turning_hz, abreast, in_series):
    """Pressure of a set of fans, as a function of its whole airflow and the density of the air."""
    table = fan.curve
    points = tuple(sorted((table.air.to_si(v), table.pressure.to_si(p)) for v, p in table.points))
    one = machine(points, turning_hz / float(table.speed_hz), REFERENCE_KG_M3, REFERENCE_KG_M3)
    return lambda flow, rho: -in_series * rho / REFERENCE_KG_M3 * one(flow / abreast)


@cache
def two_terms(points):
    """a and b of a Q^2 + b Q through points, by least squares of the relative misfit, neither below zero."""
    flow, loss = np.array(points).T
    if len(points) == 1:
        return float(loss[0] / flow[0] ** 2), 0.0
    top = float(flow[-1])
    (a, b), _ = nnls(np.column_stack([(flow / top) ** 2, flow / top]) / loss[:, None], np.ones(len(loss)))
    return float(a) / top**2, float(b) / top


def core_loss(card):
    """Pressure the core takes from its whole airflow in air of a density and viscosity; None where no card says."""
    if card.air_loss is not None:
        table = card.air_loss
        a, b = two_terms(tuple((table.air.to_si(v), table.loss.to_si(p)) for v, p in table.points))
        return lambda flow, rho, mu: (a * rho / REFERENCE_KG_M3 * abs(flow) + b * mu / REFERENCE_PA_S) * flow
    if card.geometry is not None:
        core = card.geometry.core()
        return lambda flow, rho, mu: float(core.air_dp_pa(flow, rho, mu))
    return None


def screen_loss(screen, face_m2):
    """Pressure one filter or grille takes from the airflow through its face."""
    at, loss, n = float(screen.face_velocity_m_s), float(screen.face_loss_pa), float(screen.exponent)

    def taken(flow, rho, _mu):
        share = flow / face_m2 / at
        return loss * rho / REFERENCE_KG_M3 * share * abs(share) ** (n - 1.0)

    return taken


def opening_loss(area_m2):
    """Pressure a sharp-edged opening takes."""
    return lambda flow, rho, _mu: 0.5 * rho * flow * abs(flow) / (DISCHARGE * area_m2) ** 2


# ---------------------------------------------------------------- radiators


def exchanged_w_k(ua, air_w_k, coolant_w_k, arrangement):
    """Heat per kelvin between the inlets of one exchanger, by ht."""
    least, most = sorted((air_w_k, coolant_w_k))
    if arrangement in ("air mixed", "coolant mixed"):
        least_mixed = (air_w_k <= coolant_w_k) == (arrangement == "air mixed")
        kind = "crossflow, mixed Cmin" if least_mixed else "crossflow, mixed Cmax"
    else:
        kind = {"both unmixed": "crossflow"}.get(arrangement, arrangement)
    return least * ht.effectiveness_from_NTU(ua / least, least / most, subtype=kind)


def strength_w_k(card, air, air_k, air_kg_s, air_m3_s, core_m3_s, coolant, coolant_k, water_kg_s, live, turning_hz):
    """Heat per kelvin between the two inlets of one radiator; `live` is the share of its face that has air.

    A law or points go by the airflow of the stack as it comes in; `core_m3_s` is what passes a core known by geometry.
    """
    cp = float(air.heat_capacity_j_kg_k(air_k))
    wide = air_m3_s / live if live else 0.0
    of_air, of_water = air_kg_s * cp, water_kg_s * float(coolant.heat_capacity_j_kg_k(coolant_k))
    if card.strength is not None:
        by = turning_hz if card.strength.speed is not None else wide
        stated = live * float(card.strength.fit().strength_w_k(by))
        thin = air.pressure_pa / SEA_PA
        stated = stated if thin == 1.0 else float(thin_air_w_k(stated, of_air, thin))
        still = live * card.strength.fit().floor_w_k  # passes without any fan
        return min(stated, of_air + still if of_air > 0.0 else np.inf, of_water)
    if min(of_air, of_water) <= 0.0:
        return 0.0
    water_m3_s = water_kg_s / float(coolant.density_kg_m3(coolant_k))
    if card.ua is not None:
        law = card.ua
        films = law.ka * (wide / law.air.to_si(1.0)) ** law.ma, law.kw * (water_m3_s / law.flow.to_si(1.0)) ** law.mw
        return exchanged_w_k(live / sum(1.0 / film for film in films), of_air, of_water, law.arrangement)
    core = card.geometry.core()
    names = "density_kg_m3", "viscosity_pa_s", "heat_capacity_j_kg_k", "conductivity_w_m_k"
    outer = core.air_w_k(core_m3_s / live, *(float(getattr(air, name)(air_k)) for name in names))
    inner = core.coolant_w_k(water_m3_s, *(float(getattr(coolant, name)(coolant_k)) for name in names))
    ua = live / (1.0 / float(outer) + 1.0 / float(inner) + 1.0 / float(core.wall_w_k))
    one = exchanged_w_k(ua / core.passes, of_air / core.passes, of_water, "both unmixed")
    return of_water * (1.0 - (1.0 - one / of_water) ** core.passes)


# ---------------------------------------------------------------- water in a row of parts


def row_of(loop):
    """The parts of a loop in the order of the water, the pump first, where all are joined without tube in one ring."""
    after = {joint.from_port.partition(".")[0]: joint.to_port.partition(".")[0] for joint in loop.joints}
    row = [next(part.id for part in loop.parts if part.card.main == "pump")]
    while (follower := after.get(row[-1])) is not None and follower != row[0]:
        row.append(follower)
    return row


def row_links(loop, mass):
    """The ring as links: (start, end, mass flow, does, owner)."""
    row = row_of(loop)
    links = [(f"{id_}.in", f"{id_}.out", mass, loop.part(id_).card.main, id_) for id_ in row]
    return links + [(f"{a}.out", f"{b}.in", mass, None, "") for a, b in pairwise([*row, row[0]])]


def row_mass(loop, speed, coolant, at_node):
    """Mass flow of the ring: what the pump adds is what the parts take, each with the water between its two ends."""
    losses = []
    for id_ in row_of(loop):
        card = loop.part(id_).card
        mean = 0.5 * (at_node[f"{id_}.in"] + at_node[f"{id_}.out"])
        rho, mu = float(coolant.density_kg_m3(mean)), float(coolant.viscosity_pa_s(mean))
        stated = card.curve[0] if card.main == "pump" else card.loss
        tested, test_k = stated.with_.fluid(), float(stated.with_.temp_k)
        flows = [stated.flow.to_si(q) for q, _ in stated.points]
        if card.main == "pump":
            points = tuple(zip(flows, (stated.head.to_si(p) for _, p in stated.points), strict=True))
            losses.append((rho, machine(points, speed, rho, float(tested.density_kg_m3(test_k)))))
        else:
            a, b = two_terms(tuple(zip(flows, (stated.loss.to_si(p) for _, p in stated.points), strict=True)))
            test = [float(getattr(tested, name)(test_k)) for name in ("density_kg_m3", "viscosity_pa_s")]
            losses.append((rho, curve(rho, mu, a=a, b=b, test_density=test[0], test_viscosity=test[1])))
    return brentq(lambda mass: sum(loss(mass / rho) for rho, loss in losses), 1e-9, 5.0, xtol=1e-15, rtol=1e-14)
