"""Warming against warming.csv, numpy and scipy; each row's `mark` says where its number comes from."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from headrace.parts.tables import find_material
from headrace.physics import heat, warming
from headrace.physics.warming import TwoMasses

ICE = 273.15
EXAMPLE = TwoMasses(150.0, 4900.0, 0.05, 30.0)

with (Path(__file__).parent / "warming.csv").open(encoding="utf-8") as file:
    ROWS = [pytest.param(row, id=row["id"]) for row in csv.DictReader(file)]


def constant(g, name):
    if g.get("model") == "two_node":
        return EXAMPLE.time_constants_s()[["tau_fast", "tau_slow"].index(name)]
    masses = np.array([g["m_water_kg"], g["m_copper_kg"], g["m_plastic_kg"]])
    copper, acrylic = (find_material(which).heat_capacity_j_kg_k for which in ("copper", "acrylic"))
    assert acrylic == g["cp_plastic"]
    capacity = warming.heat_capacity_j_k(masses, np.array([4180.0, copper, acrylic]))
    return warming.time_constant_s(capacity, g["G_W_K"])


def soaked(g):
    start, end = g["T0_C"] + ICE, g["T_amb_C"] + ICE + heat.rise_k(g["P_W"], g["G_W_K"])
    return warming.approach_temp_k(start, end, g["t_s"], g["tau_s"]) - ICE


def temps(g):
    model = TwoMasses(g["C_block"], g["C_coolant"], g["R_block"], g["G"])
    room = g["T_amb_C"] + ICE
    return [temp - ICE for temp in model.temps_k(g["t_s"], room, room, g["P_W"], room)]


QUANTITIES = {
    "time_constant": constant,
    "time_to_99pct": lambda g, _: warming.time_to_limit_s(0.0, 1.0, 0.99, g["tau_s"]),
    "coolant_temperature": lambda g, _: temps(g)[1] if "C_block" in g else soaked(g),
    "block_temperature": lambda g, _: temps(g)[0],
    "remaining_error_from_slope": lambda g, _: warming.remaining_rise_k(g["dTdt_K_per_min"], 60.0, g["tau_s"]),
}


@pytest.mark.parametrize("row", ROWS)
def test_warming(row):
    value = QUANTITIES[row["quantity"]](json.loads(row["inputs"]), row["id"])
    assert value == pytest.approx(float(row["value"]), rel=3e-7)


HOT, WARM, ROOM = 360.0, 310.0, 295.0
CASES = {
    "warm-up": (EXAMPLE, ROOM, ROOM, 300.0, 0.0),
    "heat straight into the coolant": (EXAMPLE, ROOM, ROOM, 250.0, 180.0),
    "cooling down": (EXAMPLE, HOT, WARM, 0.0, 0.0),
    "fans stopped": (TwoMasses(150.0, 4900.0, 0.05, 0.0), HOT, WARM, 300.0, 50.0),
    "pump stopped": (TwoMasses(150.0, 4900.0, np.inf, 30.0), HOT, WARM, 300.0, 50.0),
    "both stopped": (TwoMasses(150.0, 4900.0, np.inf, 0.0), HOT, WARM, 300.0, 50.0),
    "a heavy block on little coolant": (TwoMasses(4000.0, 900.0, 0.3, 5.0), ROOM, WARM, 80.0, 20.0),
    "equal exchanges": (TwoMasses(500.0, 500.0, 0.1, 10.0), HOT, ROOM, 10.0, 5.0),
}


@pytest.mark.parametrize("name", CASES)
def test_two_masses_against_an_integrator(name):
    # computed with scipy 1.17.1: solve_ivp, LSODA, tolerances 1e-11
    model, block, coolant, watts, straight = CASES[name]

    def slopes(_, y):
        passed = (y[0] - y[1]) / model.resistance_k_w
        lost = model.conductance_w_k * (y[1] - ROOM)
        return [(watts - passed) / model.block_j_k, (straight + passed - lost) / model.coolant_j_k]

    times = np.array([0.0, 0.3, 2.0, 9.0, 40.0, 170.0, 900.0, 4000.0])
    theirs = solve_ivp(slopes, (0.0, 4000.0), [block, coolant], "LSODA", times, rtol=1e-11, atol=1e-11).y
    ours = model.temps_k(times, block, coolant, watts, ROOM, straight)
    assert np.asarray(ours) == pytest.approx(theirs, abs=2e-6)


@pytest.mark.parametrize("name", [name for name in CASES if "stopped" not in name])
def test_time_constants_are_those_of_the_matrix(name):
    # computed with numpy 2.4.6
    model = CASES[name][0]
    a, b = 1.0 / (model.resistance_k_w * model.block_j_k), 1.0 / (model.resistance_k_w * model.coolant_j_k)
    matrix = np.array([[-a, a], [b, -b - model.conductance_w_k / model.coolant_j_k]])
    theirs = sorted(-1.0 / np.linalg.eigvals(matrix))
    assert model.time_constants_s() == pytest.approx(theirs, rel=1e-12)


def test_a_stopped_loop_has_no_end_but_a_number():
    assert np.all(np.isfinite(CASES["both stopped"][0].time_constants_s()))
    assert np.isfinite(warming.time_constant_s(5000.0, 0.0))


def test_time_to_a_limit():
    # by hand: half way takes tau ln 2
    assert warming.time_to_limit_s(300.0, 320.0, 310.0, 100.0) == pytest.approx(69.31471806)
    limits = np.array([299.0, 300.0, 315.0, 320.0, 321.0])
    expected = [0.0, 0.0, 138.6294361, np.inf, np.inf]
    assert warming.time_to_limit_s(300.0, 320.0, limits, 100.0) == pytest.approx(expected)
    # falling: never up to a limit above, at once when already over one
    assert list(warming.time_to_limit_s(320.0, 300.0, np.array([310.0, 330.0]), 100.0)) == [0.0, np.inf]
    assert warming.time_to_limit_s(-320.0, -300.0, -310.0, 100.0) == pytest.approx(69.31471806)


def test_soak_is_half_an_hour_or_five_time_constants():
    # common practice, no source
    assert list(warming.soak_s(np.array([162.0, 474.0]))) == [1800.0, 2370.0]
    left = 1.0 - warming.approach_temp_k(0.0, 1.0, warming.soak_s(474.0), 474.0)
    assert left == pytest.approx(np.exp(-5.0))


def test_the_slope_tells_what_is_still_to_come():
    # closed form: over a tenth of the time constant the slope is 5 % too steep
    now, later = (warming.approach_temp_k(300.0, 320.0, t, 300.0) for t in (600.0, 630.0))
    assert warming.remaining_rise_k(later - now, 30.0, 300.0) == pytest.approx((320.0 - later) * 1.0517, rel=1e-4)


# Specific heats near 300 K in J/(kg K), from memory of Incropera and others 2007 and of plastics handbooks.
HANDBOOK = {"copper": 385, "brass": 380, "aluminium": 903, "nickel": 444, "steel": 434, "stainless steel": 477}
HANDBOOK |= {"zinc": 389, "silver": 235, "glass": 835, "acrylic": 1470, "PETG": 1200, "acetal": 1470, "EPDM": 2000}


@pytest.mark.parametrize("name", HANDBOOK)
def test_specific_heats(name):
    assert find_material(name).heat_capacity_j_kg_k == pytest.approx(HANDBOOK[name], rel=0.01)
