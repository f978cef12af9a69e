"""One of the reference networks, solved live by EPANET 2.2 through wntr.

Answers   the flow of every link in L/min and the head of every node in m over the reservoir
Assumes   EPANET's own friction: 64/Re, Dunlop's cubic between Re 2000 and 4000, Swamee-Jain above; no inlet loss

Tubes are Darcy-Weisbach pipes with a minor loss, pumps three-point head curves (EPANET turns H0, H(q), H(2q) into
exactly H0 - B Q^2), loss curves general purpose valves: straight lines between points 0.02 L/min apart.
"""

import os
from contextlib import contextmanager

BASE_M = 100.0  # keeps every head above zero; static head cancels
FOOT_M = 0.3048
L_MIN = 1.0 / 60000.0


@contextmanager
def _inside(folder):
    """EPANET writes beside the process."""
    here = os.getcwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(here)


def solve_epanet(data, links, folder):
    """Flows by link name and heads by node name of the `links` of a networks.json."""
    import wntr

    fluid, gravity = data["fluid"], data["g_m_s2"]
    net = wntr.network.WaterNetworkModel()
    hydraulic = net.options.hydraulic
    hydraulic.headloss, hydraulic.inpfile_units, hydraulic.demand_model = "D-W", "LPM", "DDA"
    hydraulic.viscosity = fluid["mu_Pa_s"] / fluid["rho_kg_m3"] / (1.1e-5 * FOOT_M**2)  # relative to 1.1e-5 ft2/s
    hydraulic.accuracy, hydraulic.trials = 1e-9, 500
    net.options.time.duration = 0
    net.add_reservoir("RES", base_head=BASE_M)
    for node in sorted({n for raw in links for n in (raw["from_node"], raw["to_node"])} - {"RES"}):
        net.add_junction(node, base_demand=0.0, elevation=0.0)
    for raw in links:
        _add(net, raw, fluid["rho_kg_m3"] * gravity, data["tube_roughness_m"])
    with _inside(folder):
        results = wntr.sim.EpanetSimulator(net).run_sim(file_prefix="net", version=2.2)
    flow = {name: float(q) / L_MIN for name, q in results.link["flowrate"].iloc[0].items()}
    head = {name: float(h) - BASE_M for name, h in results.node["head"].iloc[0].items()}
    return flow, head


def _add(net, raw, pa_per_m, rough):
    name, ends = raw["name"], (raw["from_node"], raw["to_node"])
    if raw["kind"] == "tube":
        net.add_pipe(name, *ends, length=raw["L_m"], diameter=raw["D_m"], roughness=rough, minor_loss=raw["K"])
    elif raw["kind"] == "curve":
        flows = [0.02 * i for i in range(601)]
        points = [(q * L_MIN, (raw["a"] * q * q + raw["b"] * q) * 1e3 / pa_per_m) for q in flows]
        net.add_curve(f"loss-{name}", "HEADLOSS", points)
        net.add_valve(name, *ends, diameter=0.1, valve_type="GPV", initial_setting=f"loss-{name}")
    else:
        points = [(q * L_MIN, raw["H0_m"] - raw["B_m_per_Lmin2"] * q * q) for q in (0.0, 8.0, 16.0)]
        net.add_curve(f"head-{name}", "HEAD", points)
        net.add_pump(name, *ends, pump_type="HEAD", pump_parameter=f"head-{name}", speed=raw["speed"])
