"""Pump classes L and C on one loop, alone, slowed, in series and side by side; two cards in series and in parallel.

operating_points.csv: computed with scipy 1.17.1 (PCHIP through the points, brentq), five digits and more printed.
The pump curves are tilted by a millionth of their head to fall strictly, which is where the 2e-6 go.
"""

import csv
import json
from pathlib import Path

import pytest
from checkers.flow_cases import CLASS_L, L_MIN, WATER, loss_curve, points_pump, solve
from checkers.flow_checker import Branch, solve_nodes

with (Path(__file__).parent / "operating_points.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


def branch(name, start, end, *elements):
    return Branch(name, start, end, elements, *WATER)


def loop_of(given):
    """Branches of a row; the first one carries the flow asked for."""
    if "arrangement" in given:
        card = loss_curve(given["gpu_a"], given["gpu_b"])
        rest = branch("rest", 0, 1, points_pump(CLASS_L), loss_curve(0.75, 1.0))
        cards = [(1, 2), (2, 0)] if given["arrangement"] == "series" else [(1, 0), (1, 0)]
        return [rest, *(branch(f"gpu{i}", *ends, card) for i, ends in enumerate(cards))]
    system = branch("system", 1, 0, loss_curve(0.85, 0.9))
    pump = points_pump(given["pump_points_Lmin_kPa"], given.get("speed_ratio", 1.0))
    if "pumps_in_series" in given:
        return [system, branch("one", 0, 2, pump), branch("two", 2, 1, pump)]
    return [system, *(branch(f"pump{i}", 0, 1, pump) for i in range(given.get("pumps_in_parallel", 1)))]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in ROWS])
def test_operating_point(row):
    given = json.loads(row["inputs"])
    branches = loop_of(given)
    flow = solve(branches).flow_m3_s[0] / L_MIN
    assert row["mark"] == "computed with scipy 1.17.1"
    assert flow[0] == pytest.approx(float(row["value"]), rel=2e-6)
    assert flow == pytest.approx(solve_nodes(branches).flow / L_MIN, rel=1e-8)
    if given.get("arrangement") == "parallel":
        assert flow[1:] == pytest.approx([flow[0] / 2] * 2, rel=1e-9)
