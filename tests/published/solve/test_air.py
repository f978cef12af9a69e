"""Three fans on a core of 360 mm, system curves, case air, own exhaust and thin air, all through `solve`.

air.csv: the mark of each row says with what it was computed; the tolerances stand beside each value. The core is the
louvred one of 12 tubes and 16 fins per inch of `checkers.air_builds.GEO`; the fan, 120 mm at 2000 rpm, is invented.
The file counts rho cp of air at 25 °C where `solve` counts that of the air coming in: the airflow stated for
case air and own exhaust is therefore the one that carries the same W/K.
"""

import csv
import json
from pathlib import Path

import pytest
from checkers.air_builds import by_hand, joints, load, part, stack, vent

from headrace.fluids.air import Air

M3_H = 1.0 / 3600.0
SCRIPT, SCIPY = "computed with own script (numpy 2.4.6, scipy 1.17.1)", "computed with scipy 1.17.1"
PUMP = "points = [[0, 38], [4, 37], [8, 33.5], [12, 28], [16, 20], [20, 9.5], [22.5, 0]]"
FOUR_LITRES = "points = [[0, 38], [4, 17.1], [8, 0]]"  # 14.2 kPa of the block and 2.9 kPa of the radiator at 4 L/min
NO_WALL = '[thresholds]\nassumed_case_wall = "0.000001 W/K"\n'

with (Path(__file__).parent / "air.csv").open(encoding="utf-8") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


def rows(start):
    return [pytest.param(row, id=id_) for id_, row in ROWS.items() if id_.startswith(start)]


def assert_meets(row, value, mark):
    assert row["mark"] == mark
    assert value == pytest.approx(float(row["value"]), rel=float(row["rel_tol"]))


def geo(air, state):
    """The core at 4 L/min of water that comes in at 35 °C and air at 25 °C."""
    build = by_hand({"pump": "pump", "cpu": "block", "rad": "geometry"}, air, state)
    solution = build.with_cards((PUMP, FOUR_LITRES)).solved()[1]
    (radiator,) = solution.radiators
    assert 60000.0 * solution.pump_flow_m3_s == pytest.approx(4.0, rel=0.02)
    assert radiator.air_in_temp_k == pytest.approx(298.15)
    assert radiator.coolant_in_k == pytest.approx(308.15, abs=1.0)
    return radiator


@pytest.mark.parametrize("row", rows("op_"))
def test_three_fans_on_a_core(row):
    given = json.loads(row["inputs"])
    strength = float(ROWS[row["id"].rpartition("_")[0] + "_G"]["value"])
    fans = stack(fan="fan", mount=given["arrangement"].replace("_", "-"))
    radiator = geo(fans, load(heat=10.0 * strength, room=25.0, pump="100 %", top=f"{given['rpm']} rpm"))
    found = {"m3/h": radiator.air_flow_m3_s / M3_H, "W/K": radiator.strength_w_k}
    assert_meets(row, found[row["unit"]], SCRIPT)


def test_thin_air_cools_less():
    row = ROWS["R360_1500m_G"]
    state = load(heat=10.0 * float(row["value"]), room=25.0, pump="100 %", altitude="1500 m")
    assert_meets(row, geo(stack(air="180 m3/h"), state).strength_w_k, SCRIPT)


@pytest.mark.parametrize("row", rows("sys_"))
def test_fans_against_a_system_curve(row):
    # dp = 0.0020 v^2 + 0.06 v of each place, in air of 1.2 kg/m3 as at 21 °C: two points say both terms
    given = json.loads(row["inputs"])
    series, places = given["n_series"], given["n_parallel"]
    points = ", ".join(f"[{v * places}, {0.0020 * v * v + 0.06 * v:.10g}]" for v in (45, 90))
    fans = stack(fan="fan", fans=series * places, mount="push-pull" if series == 2 else "push")
    build = by_hand({"pump": "pump", "cpu": "block", "rad": "points"}, fans, load(room=21.0, top="2000 rpm"))
    build = build.with_cards(("points = [[60, 3.1], [120, 8]]", f"points = [{points}]"), ("fan_places = 3\n", ""))
    (air,) = build.solved()[1].air
    assert_meets(row, air.air_flow_m3_s / M3_H, SCIPY)


def as_warm(stated_m3_h, rho_cp, room_c, inlet_c):
    """Airflow in m3/h that carries, as it comes in, what the file's airflow carries at its rho cp."""
    air = Air.at(0.0, 0.45, room_c + 273.15)
    return (
        stated_m3_h * rho_cp / float(air.density_kg_m3(inlet_c + 273.15) * air.heat_capacity_j_kg_k(inlet_c + 273.15))
    )


def test_exhaust_and_parts_warm_the_case():
    row = ROWS["case_T"]
    given = json.loads(row["inputs"])
    room, watts = given["T_amb_C"], given["P_intake_radiator_W"]
    into, beside = (
        as_warm(given[name], given["rho_cp_J_m3K"], room, room) for name in ("V_intake_m3_h", "V_other_intake_m3_h")
    )
    text = part("p2", "pump") + part("gpu", "block") + part("rad2", "law")
    text += joints(("p2.out", "gpu.in"), ("gpu.out", "rad2.in"), ("rad2.out", "p2.in"))
    text += stack(air=f"{into!r} m3/h", out="case") + vent("v", air=f"{beside!r} m3/h", blows="in")
    text += stack("low", "rad2", air="150 m3/h", inlet='{ from = "case" }')
    state = load(heat=watts, room=room, p2="60 %", case_heat=f"{given['P_case_W']} W")
    build = by_hand({"pump": "pump", "cpu": "block", "rad": "points"}, text, state, more=NO_WALL)
    solution = build.solved()[1]
    assert_meets(row, solution.case_k - 273.15, SCRIPT)
    exhaust = next(r for r in solution.radiators if r.part == "rad2")
    assert exhaust.air_in_temp_k == pytest.approx(solution.case_k, abs=1e-9)


@pytest.mark.parametrize("row", rows("recirc_"))
def test_own_exhaust_warms_the_air_coming_in(row):
    given = json.loads(row["inputs"])
    airflow = as_warm(given["V_m3_h"], given["rho_cp"], given["T_amb_C"], float(row["value"]))
    fans = stack(air=f"{airflow!r} m3/h", recirculated=f"{100 * given['recirculated_fraction']:g} %")
    build = by_hand(
        {"pump": "pump", "cpu": "block", "rad": "points"}, fans, load(heat=given["P_W"], room=given["T_amb_C"])
    )
    assert_meets(row, build.solved()[1].radiators[0].air_in_temp_k - 273.15, SCRIPT)
