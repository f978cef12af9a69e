"""Four loops against wntr 1.5.0 (EPANET 2.2): the stored results, EPANET run here and now, and the node checker.

networks.json describes them, networks.csv holds the stored results; the column `mark` says how each was computed.
EPANET knows no inlet loss; headrace takes Hagenbach's 1.25 once per run, which is all but 0.05 % of the difference.
Run with -s to see the worst deviations.
"""

import csv
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from checkers.epanet import solve_epanet
from checkers.flow_cases import L_MIN, load_networks, network_of, solve
from checkers.flow_checker import closure, solve_nodes
from checkers.flow_physics import Element

HERE = Path(__file__).parent
DATA, NETWORKS = load_networks(HERE / "networks.json")
HEAD_PA = DATA["fluid"]["rho_kg_m3"] * DATA["g_m_s2"]
WITHIN = 0.005
with (HERE / "networks.csv").open(encoding="utf-8") as file:
    STORED = list(csv.DictReader(file))


def worst(ours, theirs):
    return float(np.max(np.abs(np.asarray(ours) / np.asarray(theirs) - 1.0)))


def results(name):
    """Flow in L/min and pressure taken in kPa by link, pressure over the reservoir in kPa by node."""
    branches, nodes, _ = NETWORKS[name]
    balance = solve(branches)
    pressure = network_of(branches).node_pressure_pa(balance.dp_pa, [0])[0]
    flow = {b.id: q / L_MIN for b, q in zip(branches, balance.flow_m3_s[0], strict=True)}
    dp = {b.id: p / 1e3 for b, p in zip(branches, balance.dp_pa[0], strict=True)}
    return flow, dp, dict(zip(nodes, pressure / 1e3, strict=True))


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in STORED])
def test_stored_epanet_result(row):
    given = json.loads(row["inputs"])
    flow, dp, pressure = results(given["network"])
    if row["quantity"] == "flow":
        found = flow[given["link"]]
    elif row["quantity"] == "pump_dp":
        found = -dp[given["link"]]
    else:
        assert max(pressure, key=pressure.get) == given["node"]
        found = pressure[given["node"]]
    assert row["mark"].startswith("computed with wntr")
    assert found == pytest.approx(float(row["value"]), rel=WITHIN)


@pytest.mark.parametrize("name", NETWORKS)
def test_live_epanet_in_every_branch(name, tmp_path):
    links = NETWORKS[name][2]
    theirs, head = solve_epanet(DATA, links, tmp_path)
    flow, dp, pressure = results(name)
    apart = worst([flow[raw["name"]] for raw in links], [theirs[raw["name"]] for raw in links])
    plain = solve_nodes(without_inlets(NETWORKS[name][0])).flow / L_MIN
    checker = worst(plain, [theirs[raw["name"]] for raw in links])
    print(f"\n{name}: worst branch {apart:.3%} from EPANET; the checker without inlet losses {checker:.3%}")
    assert apart <= WITHIN
    assert checker <= 1e-3
    for raw in links:
        if raw["kind"] == "pump":
            added_kpa = (head[raw["to_node"]] - head[raw["from_node"]]) * HEAD_PA / 1e3
            assert -dp[raw["name"]] == pytest.approx(added_kpa, rel=WITHIN)
    for node, kpa in pressure.items():
        assert kpa == pytest.approx(head[node] * HEAD_PA / 1e3, rel=WITHIN, abs=0.05)


def without_inlets(branches):
    """The same branches with tubes as EPANET knows them."""
    return [
        replace(
            b,
            elements=tuple(
                Element(e.kind, {**e.numbers, "inlet": False}) if e.kind == "tube" else e for e in b.elements
            ),
        )
        for b in branches
    ]


@pytest.mark.parametrize("name", NETWORKS)
def test_node_checker_with_the_same_laws(name):
    branches = NETWORKS[name][0]
    flow, checked = solve(branches).flow_m3_s[0], solve_nodes(branches)
    mass, pressure = closure(branches, flow)
    apart = worst(flow, checked.flow)
    print(f"\n{name}: {apart:.1e} from {checked.method}, mass {mass:.1e}, pressure {pressure:.1e} Pa")
    assert checked.method == "scipy root"
    assert apart <= 1e-8
    assert mass <= 1e-9
    assert pressure <= 0.01
