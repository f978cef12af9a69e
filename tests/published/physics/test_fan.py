"""Fans, screens and openings against fans.csv, a library and closed forms; each row's `mark` says where it is from.

The airflow rows: computed with scipy 1.17.1 (cubics through the points, brentq). The rows of case air and of
recirculation are heat balances, here met with the formulas of heat.py.
"""

import csv
import json
from pathlib import Path

import fluids
import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from headrace.physics import fan, grille, heat, pump

HOUR = 3600.0
# a 120 mm fan at 2000 rpm: common practice, no source
POINTS = [(0, 29.0), (15, 25.5), (30, 21.5), (45, 19.5), (60, 17.5), (75, 14.0), (90, 8.5), (105, 0.0)]
FLOWS, PRESSURES = [v / HOUR for v, _ in POINTS], [p for _, p in POINTS]

with (Path(__file__).parent / "fans.csv").open(encoding="utf-8") as file:
    ROWS = [pytest.param(row, id=row["id"]) for row in csv.DictReader(file)]


def fan_of(points):
    return pump.fit_pump([v / HOUR for v, _ in points], [p for _, p in points])


def operating(g):
    """Airflow of a set against a system stated for one slot."""
    curve, side, behind = fan_of(g["fan"]["points_m3h_Pa"]), g["n_parallel"], g["n_series"]

    def residual(flow):
        slot = flow / side
        added = fan.fan_dp_pa(curve, flow / HOUR, 1.0, g["rho"], side, behind)
        return added - (0.0020 * slot**2 + 0.06 * slot)

    return brentq(residual, 1.0, 105.0 * side, xtol=1e-12)


def case_air(g):
    watts, flow = g["P_intake_radiator_W"] + g["P_case_W"], g["V_intake_m3_h"] + g["V_other_intake_m3_h"]
    return g["T_amb_C"] + heat.rise_k(watts, g["rho_cp_J_m3K"] * flow / HOUR)


def recirculated(g):
    """Inlet air that is a mixture of room air and of what it has become itself."""
    rise, share = heat.rise_k(g["P_W"], g["rho_cp"] * g["V_m3_h"] / HOUR), g["recirculated_fraction"]

    def residual(inlet):
        return heat.mixed(np.array([share, 1.0 - share]), np.array([inlet + rise, g["T_amb_C"]])) - inlet

    return brentq(residual, 0.0, 100.0, xtol=1e-12)


def free_at_speed(g):
    curve = fan_of([(0, 20), (g["V"], 0)])
    return fan.free_flow_m3_s(curve, at_speed(g)) * HOUR


def at_speed(g):
    return g["rpm2"] / g["rpm1"]


QUANTITIES = {
    "fan_curve": lambda g: fan.fan_dp_pa(fan_of(g["points_m3h_Pa"]), 0.0),
    "operating_airflow": operating,
    "fan_law_flow": free_at_speed,
    "fan_law_pressure": lambda g: fan.fan_dp_pa(fan_of([(0, g["p"]), (100, 0)]), 0.0, at_speed(g)),
    "fan_law_power": lambda g: fan.fan_power_w(pump.fit_power([1.0], [g["P"]]), at_speed(g)),
    "case_air_temperature": case_air,
    "intake_air_temperature": recirculated,
}


@pytest.mark.parametrize("row", ROWS)
def test_fans(row):
    value = QUANTITIES[row["quantity"]](json.loads(row["inputs"]))
    assert value == pytest.approx(float(row["value"]), rel=2e-6)


@pytest.mark.parametrize(("side", "behind"), [(1, 1), (3, 1), (1, 2), (3, 2)])
@pytest.mark.parametrize("speed", [0.4, 1.0, 1.3])
@pytest.mark.parametrize("density", [0.9, 1.2])
def test_a_set_is_the_curve_of_its_points_by_the_fan_laws(side, behind, speed, density):
    # computed with scipy 1.17.1; the fit is tilted by a millionth of the pressure at no flow to fall strictly
    slot = np.linspace(0.0, 0.999, 40) * FLOWS[-1]
    theirs = behind * density / 1.2 * speed**2 * PchipInterpolator(FLOWS, PRESSURES)(slot)
    ours = fan.fan_dp_pa(fan_of(POINTS), slot * speed * side, speed, density, side, behind)
    assert ours == pytest.approx(theirs, abs=1.1e-6 * theirs[0])


def test_free_delivery():
    # where the points end at no pressure it is their last airflow
    assert fan.free_flow_m3_s(fan_of(POINTS)) * HOUR == pytest.approx(105.0, rel=2e-6)
    assert fan.free_flow_m3_s(fan_of(POINTS), np.array([0.0, 0.5])) * HOUR == pytest.approx([0.0, 52.5], rel=2e-6)
    # points taken on to where the air is driven through: the zero of the cubics, computed with scipy 1.17.1
    driven = [*POINTS, (120, -12.0)]
    theirs = brentq(PchipInterpolator([v for v, _ in driven], [p for _, p in driven]), 60, 119)
    assert fan.free_flow_m3_s(fan_of(driven)) * HOUR == pytest.approx(theirs, rel=2e-6)
    # points that stop short: beyond them end slope and quadratic fall, the root of that parabola in closed form
    curve = fan_of([(0, 20.0), (25, 18.75), (50, 15.0)])
    end, slope = float(curve.head_pa(curve.last_flow_m3_s)), -curve.curve.high_slope
    beyond = (np.sqrt(slope**2 + 4.0 * curve.resistance_pa_s2_m6 * end) - slope) / (2.0 * curve.resistance_pa_s2_m6)
    assert fan.free_flow_m3_s(curve) == pytest.approx(curve.last_flow_m3_s + beyond, rel=1e-9)


def test_a_curve_that_ends_level_still_has_a_free_delivery():
    # the cubics end with slope 0 here, so the fall beyond is only the quadratic one
    curve = fan_of([(0, 30.0), (30, 10.0), (60, 9.9)])
    free = fan.free_flow_m3_s(curve)
    assert curve.last_flow_m3_s < free < 3.0 * curve.last_flow_m3_s
    assert fan.fan_dp_pa(curve, free) == pytest.approx(0.0, abs=1e-9)


def test_a_stall_dip_is_levelled_and_named():
    # a dip as axial fans have it: common practice, no source
    dip = fan_of([(0, 29.0), (30, 18.0), (45, 19.5), (60, 17.5), (105, 0.0)])
    assert dip.notes == ("a pressure that rises with flow was levelled",)
    assert fan.fan_dp_pa(dip, 45.0 / HOUR) == pytest.approx(18.0, rel=2e-6)


def test_stall_lies_below_two_fifths_of_free_delivery():
    # common practice, no source
    curve = fan_of(POINTS)
    flows = np.array([0.0, 41.9, 42.1, 90.0]) / HOUR
    assert list(fan.stalled(curve, flows)) == [True, True, False, False]
    assert list(fan.stalled(curve, flows / 2.0, 0.5)) == [True, True, False, False]
    assert not np.any(fan.stalled(curve, np.array([-1e-3, 0.0]), 0.0))  # a stopped fan does not stall


def test_power_splits_into_electronics_and_air():
    # fan laws by hand: 0.3 W stay, 2.7 W fall with the cube of speed and with density
    law = pump.PowerLaw(0.3, 2.7)
    assert fan.fan_power_w(law, 0.6, 0.9) == pytest.approx(0.3 + 2.7 * 0.216 * 0.75)
    assert fan.fan_power_w(law, 1.0) == pytest.approx(3.0)


@pytest.mark.parametrize("flow", [5e-3, 0.02, 0.08])
@pytest.mark.parametrize("density", [0.9, 1.2])
def test_an_opening_is_an_orifice_in_a_wide_wall(flow, density):
    # computed with fluids 1.3.1: an orifice of 80 mm in a duct of 8 m, no expansion
    area = grille.round_face_m2(0.08)
    dp = grille.opening_dp_pa(flow, area, density)
    meter = fluids.flow_meter.flow_meter_discharge(8.0, 0.08, 101325.0 + dp, 101325.0, density, 0.6, 1.0)
    assert meter / density == pytest.approx(flow, rel=1e-6)


def test_a_sharp_edge_lets_six_tenths_through():
    # computed with fluids 1.3.1: corner taps, small orifice, much flow
    theirs = fluids.flow_meter.C_Reader_Harris_Gallagher(1.0, 0.12, 1.2, 1.8e-5, 0.5, taps="corner")
    assert pytest.approx(theirs, rel=0.02) == grille.DISCHARGE


@pytest.mark.parametrize(
    ("velocity", "exponent", "density", "expected"),
    [(2.0, 1.0, 1.2, 8.0), (2.0, 2.0, 1.2, 16.0), (-2.0, 1.5, 0.9, -8.485281374), (0.5, 2.0, 1.2, 1.0)],
)
def test_a_screen_by_hand(velocity, exponent, density, expected):
    # 4 Pa at 1 m/s, common practice, no source; the rest by hand
    assert grille.screen_dp_pa(velocity, 4.0, exponent, density_kg_m3=density) == pytest.approx(expected)
    stated_at_half = grille.screen_dp_pa(velocity, 4.0 * 0.5**exponent, exponent, 0.5, density)
    assert stated_at_half == pytest.approx(expected)


def test_faces():
    assert grille.frame_face_m2(0.12) == pytest.approx(0.0144)
    assert grille.round_face_m2(0.1) == pytest.approx(7.853981634e-3)
