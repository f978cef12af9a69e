"""The four reference networks and variants of them against general libraries, friction told apart from solver.

With the same laws only the solvers differ. EPANET runs here and now (wntr 1.5.0, EPANET 2.2, its engine and not wntr's
files), scipy's root finder too (scipy 1.17.1). pandapipes holds scipy back, so its flows are stored; `make bench`
compares with it live, and times all of them. Run with -s to see the worst deviations.
"""

import numpy as np
import pytest

from benchmarks.against_epanet import Engine
from benchmarks.against_scipy import Root
from benchmarks.laws import RoughTube, like_tube
from benchmarks.networks import L_MIN, Ours, load_cases, vary, worst_apart
from headrace.physics.friction import TRANSITION_RE

CASES = {case.name: case for case in load_cases()}
VARIANTS = 25

# network, piece, L/min: computed with pandapipes 0.16.0, its default friction, then Colebrook's; all digits stand
PANDAPIPES = (
    ("N1_series", "pump", 5.24161939, 5.16684252),
    ("N2_parallel2", "pump", 7.25780999, 7.05212241),
    ("N2_parallel2", "gpuA", 3.82587819, 3.72165669),
    ("N2_parallel2", "gpuB", 3.4319318, 3.33046572),
    ("N3_parallel3_bypass", "pump", 8.29274408, 8.1742012),
    ("N3_parallel3_bypass", "cpu", 2.31579405, 2.28700115),
    ("N3_parallel3_bypass", "gpu", 2.91111272, 2.86251747),
    ("N3_parallel3_bypass", "mem", 1.47399809, 1.45253913),
    ("N3_parallel3_bypass", "bypass", 1.59183921, 1.57214345),
    ("N4_pumps_series", "pump1", 5.01948336, 4.95499323),
)


def both(name, rival, laws):
    """Flows of all variants, ours as one batch and theirs one by one."""
    case = CASES[name]
    variation = vary(case, VARIANTS)
    theirs = [rival.flow_m3_s(*variant) for variant in zip(variation.speed, variation.length, strict=True)]
    return Ours.of(case, laws).varied_m3_s(variation), np.array(theirs)


def told(name, what, apart):
    print(f"\n{name}: {apart:.1e} from {what}")
    return apart


@pytest.mark.parametrize("name", CASES)
def test_epanet_with_the_same_laws(name):
    ours, theirs = both(name, Engine.of(CASES[name]), "EPANET")
    assert told(name, "EPANET, same laws", worst_apart(ours, theirs)) <= 1e-4  # it rounds 8 / (pi^2 g) to four digits


@pytest.mark.parametrize("name", CASES)
def test_epanet_with_our_own_friction(name):
    ours, theirs = both(name, Engine.of(CASES[name]), "own")
    re = CASES[name].tube_re(ours)
    rows = np.all((re < TRANSITION_RE.low) | (re > TRANSITION_RE.high), axis=1)
    assert np.sum(rows) >= VARIANTS // 3
    assert told(name, "EPANET, own friction", worst_apart(ours[rows], theirs[rows])) <= 5e-3


@pytest.mark.parametrize("name", CASES)
def test_scipy_root_with_the_same_laws(name):
    ours, theirs = both(name, Root.of(CASES[name]), "own")
    assert told(name, "scipy root", worst_apart(ours, theirs)) <= 1e-7


@pytest.mark.parametrize(("name", "piece", "rough", "colebrook"), PANDAPIPES)
def test_stored_pandapipes_result(name, piece, rough, colebrook):
    case = CASES[name]
    at = [p.name for p in case.pieces].index(piece)
    assert Ours.of(case, "pandapipes").flow_m3_s()[at] / L_MIN == pytest.approx(rough, rel=2e-8)
    assert Ours.of(case).flow_m3_s()[at] / L_MIN == pytest.approx(colebrook, rel=5e-3)


@pytest.mark.parametrize("name", CASES)
def test_a_variant_of_a_batch_is_the_network_itself(name):
    case = CASES[name]
    variation = vary(case, 3)
    variation.speed[1], variation.length[1] = 1.0, 1.0
    assert Ours.of(case).varied_m3_s(variation)[1] == pytest.approx(Ours.of(case).flow_m3_s(), rel=1e-9)


def test_the_tube_that_stands_for_a_part_takes_what_the_part_takes():
    a, b, bore, (density, viscosity) = 2.7e12, 3.4e7, 0.05, (995.65, 7.972e-4)
    length, k = like_tube(a, b, bore, density, viscosity)
    flow = np.array([-8e-5, 1e-6, 5e-5, 2e-4])
    smooth = RoughTube(length, bore, 1e-300)  # so smooth that only 64 / Re is left
    head = 8.0 * density * flow * np.abs(flow) / (np.pi**2 * bore**4)
    taken = smooth.dp_pa(flow, density, viscosity) + k * head
    assert taken == pytest.approx(a * flow * np.abs(flow) + b * flow, rel=1e-4)
