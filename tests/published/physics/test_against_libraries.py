"""Physics against fluids and ht over grids; every reference number is computed live with the library named."""

from math import pi

import fluids
import ht
import numpy as np
import pytest

from headrace.physics import effectiveness, friction, minor, valve

RE = (50.0, 700.0, 1900.0, 2300.0, 3000.0, 4000.0, 7000.0, 2e4, 1e5, 1e6)
ROUGH = (0.0, 1.5e-4, 1e-3, 1e-2)


@pytest.mark.parametrize("re", RE)
@pytest.mark.parametrize("rough_rel", ROUGH)
def test_friction_factor_is_churchills(re, rough_rel):
    theirs = fluids.friction.Churchill_1977(re, rough_rel)
    assert friction.friction_factor(re, rough_rel) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("re", [4000.0, 6000.0, 1e4, 3e4, 1e5, 1e6])
@pytest.mark.parametrize("rough_rel", [0.0, 1.5e-4, 1e-3])
def test_friction_factor_lies_near_colebrook(re, rough_rel):
    assert friction.friction_factor(re, rough_rel) == pytest.approx(fluids.friction.Colebrook(re, rough_rel), rel=0.03)


@pytest.mark.parametrize("re", [1.0, 100.0, 1500.0])
def test_laminar_tube_is_poiseuille(re):
    # closed form dp = 128 mu L Q / (pi D^4)
    flow, bore, viscosity, density = re * pi * 0.01 * 1e-3 / 4.0 / 1000.0, 0.01, 1e-3, 1000.0
    exact = 128.0 * viscosity * 1.7 * flow / (pi * bore**4)
    assert friction.friction_dp_pa(flow, 1.7, bore, 0.0, density, viscosity) == pytest.approx(exact, rel=1e-4)


@pytest.mark.parametrize(("re", "k", "within"), [(20.0, 1.25, 1e-9), (1500.0, 1.25, 1e-3), (1e4, 0.0661, 1e-4)])
def test_inlet_takes_hagenbachs_share_while_laminar(re, k, within):
    # 1.25 from memory of Shah and London; 0.0661 = 1.25 (2300 / 1e4)^2, what our fading leaves
    assert friction.inlet_k(re) == pytest.approx(k, abs=within)


@pytest.mark.parametrize("ratio", [3.0, 5.0, 10.0, 40.0, 100.0])
def test_critical_reynolds_numbers(ratio):
    theirs = fluids.friction.helical_transition_Re_Srinivasan(0.01, 2.0 * ratio * 0.01)
    assert friction.critical_re(ratio * 0.01, 0.01) == pytest.approx(theirs, rel=1e-12)
    theirs = fluids.friction.helical_transition_Re_Schmidt(0.01, 2.0 * ratio * 0.01)
    assert friction.critical_re(ratio * 0.01, 0.01, "schmidt") == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("degrees", [15.0, 45.0, 90.0, 135.0, 180.0])
@pytest.mark.parametrize("ratio", [1.0, 3.0, 6.0])
@pytest.mark.parametrize("factor", [0.02, 0.032, 0.06])
def test_bend_is_rennels_without_the_friction_of_its_arc(degrees, ratio, factor):
    theirs = fluids.fittings.bend_rounded(Di=0.01, angle=degrees, fd=factor, rc=ratio * 0.01, method="Rennels")
    arc = factor * np.radians(degrees) * ratio
    assert friction.bend_k(np.radians(degrees), ratio, factor) + arc == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("name", sorted(minor.fittings()))
@pytest.mark.parametrize("re", [80.0, 900.0, 4000.0, 6e4])
@pytest.mark.parametrize("bore_m", [0.008, 0.0127, 0.05])
def test_fittings_against_the_library(name, re, bore_m):
    law = minor.fittings()[name]
    inches = bore_m / 0.0254
    laminar, turbulent = minor.fitting_k(name, bore_m)
    theirs = fluids.fittings.Darby3K(NPS=inches, Re=re, K1=law.darby[0], Ki=law.darby[1], Kd=law.darby[2])
    assert laminar / re + turbulent == pytest.approx(theirs, rel=1e-12)
    if law.hooper is not None:
        laminar, turbulent = minor.fitting_k(name, bore_m, "2-K")
        theirs = fluids.fittings.Hooper2K(Di=inches, Re=re, K1=law.hooper[0], Kinfty=law.hooper[1])
        assert laminar / re + turbulent == pytest.approx(theirs, rel=1e-12)


DARBY_NAMES = {
    "90 elbow threaded": "Elbow, 90°, threaded, standard, (r/D = 1)",
    "90 elbow long radius": "Elbow, 90°, threaded, long radius, (r/D = 1.5)",
    "90 bend r/D 2": "Elbow, 90°, (r/D = 2)",
    "90 bend r/D 4": "Elbow, 90°, (r/D = 4)",
    "90 mitre": "Elbow, 90°, mitered, 1 weld, (90°)",
    "45 elbow": "Elbow, 45°, threaded standard, (r/D = 1)",
    "tee through branch": "Tee, Through-branch, (as elbow), threaded, (r/D = 1)",
    "tee run through": "Tee, Run-through, threaded, (r/D = 1)",
    "ball valve open": "Valve, Ball valve, standard, β = 1",
}


@pytest.mark.parametrize(("ours", "theirs"), DARBY_NAMES.items())
def test_coefficients_are_those_of_the_library(ours, theirs):
    assert minor.fittings()[ours].darby == pytest.approx(fluids.fittings.Darby[theirs])


@pytest.mark.parametrize("beta", [0.3, 0.5, 0.65, 0.75, 0.9])
def test_steps_against_the_library(beta):
    theirs = fluids.fittings.contraction_sharp(1.0, beta, fd=0.02, Re=1e6, method="Rennels")
    assert minor.contraction_k(beta) == pytest.approx(theirs, rel=1e-12)
    assert minor.expansion_k(beta) == pytest.approx(fluids.fittings.diffuser_sharp(beta, 1.0), rel=1e-12)
    # laminar forms of Hooper, the library's narrowing on the large bore's velocity turned to the small one's
    laminar = fluids.fittings.diffuser_sharp(beta, 1.0, Re=600.0, method="Hooper")
    assert minor.step_k(beta, 600.0, True) == pytest.approx(laminar, rel=2e-3)
    laminar = fluids.fittings.contraction_sharp(1.0, beta, Re=600.0, fd=0.1, method="Hooper")
    assert minor.step_k(beta, 600.0 / beta, False) == pytest.approx(laminar, rel=2e-3)


@pytest.mark.parametrize("beta", [0.5, 0.75, 0.9])
@pytest.mark.parametrize("widening", [True, False])
def test_a_step_is_turbulent_well_above_the_transition(beta, widening):
    turbulent = minor.expansion_k(beta) if widening else minor.contraction_k(beta)
    assert minor.step_k(beta, 3e4, widening) == pytest.approx(turbulent, rel=0.03)


def test_kv():
    assert valve.kv_from_cv(3.0) == pytest.approx(fluids.control_valve.Cv_to_Kv(3.0), rel=1e-4)
    assert valve.kv_dp_pa(0.8 / 3600.0, 0.8, 1000.0) == pytest.approx(1e5)


ARRANGEMENTS = (
    ("crossflow", effectiveness.crossflow, 1e-9),
    ("counterflow", effectiveness.counterflow, 1e-12),
    ("parallel", effectiveness.parallel, 1e-12),
    ("crossflow, mixed Cmax", effectiveness.max_mixed, 1e-12),
    ("crossflow, mixed Cmin", effectiveness.min_mixed, 1e-12),
)


@pytest.mark.parametrize(("theirs", "ours", "bound"), ARRANGEMENTS)
@pytest.mark.parametrize("cr", [0.02, 0.1, 0.3, 0.6, 0.9, 1.0])
def test_effectiveness_against_ht(theirs, ours, bound, cr):
    for ntu in (0.01, 0.2, 0.7, 1.5, 3.0, 6.0, 12.0, 20.0):
        expected = ht.effectiveness_from_NTU(NTU=ntu, Cr=cr, subtype=theirs)
        assert ours(ntu, cr) == pytest.approx(expected, abs=bound)


def test_crossflow_against_the_gamma_function_form():
    # Mason's series term by term with scipy's regularised incomplete gamma functions
    from scipy.special import gammainc

    n = np.arange(1, 400)
    for ntu in (1e-4, 0.3, 2.0, 8.0, 20.0, 60.0):
        for cr in (1e-3, 0.25, 0.7, 1.0):
            series = np.sum(gammainc(n, ntu) * gammainc(n, cr * ntu)) / (cr * ntu)
            assert effectiveness.crossflow(ntu, cr) == pytest.approx(series, abs=1e-11)
