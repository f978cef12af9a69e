"""Fans give strictly less at more air and follow the fan laws; screens and openings take strictly more, and oddly."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.physics import fan, grille, pump

drops = st.lists(st.floats(0.0, 15.0), min_size=2, max_size=7)
airflows = st.floats(-0.1, 0.2)
speeds = st.floats(0.05, 1.5)
densities = st.floats(0.7, 1.35)
counts = st.integers(1, 9)
velocities = st.floats(1e-3, 8.0)
exponents = st.floats(1.0, 2.0)


def any_fan(falls):
    pressures = 2.0 + np.cumsum([0.0, *falls])[::-1]
    return pump.fit_pump(list(np.arange(pressures.size) * 6e-3), list(pressures))


@given(drops, airflows, st.floats(1e-5, 0.1), st.floats(0.0, 1.5), densities, counts, st.integers(1, 3))
def test_fans_give_strictly_less_at_more_air(falls, flow, more, speed, density, side, behind):
    curve = any_fan(falls)
    less = fan.fan_dp_pa(curve, flow + more, speed, density, side, behind)
    assert less < fan.fan_dp_pa(curve, flow, speed, density, side, behind)


@given(drops, st.floats(-1.0, 3.0), speeds, densities, counts, st.integers(1, 3))
def test_fans_follow_the_fan_laws(falls, share, speed, density, side, behind):
    curve = any_fan(falls)
    flow = share * curve.last_flow_m3_s
    one = fan.fan_dp_pa(curve, flow)
    many = fan.fan_dp_pa(curve, flow * speed * side, speed, density, side, behind)
    assert many == pytest.approx(behind * density / 1.2 * speed**2 * one, rel=1e-9, abs=1e-9 * curve.shutoff_pa)


@given(drops, speeds, densities)
def test_free_delivery_meets_no_pressure(falls, speed, density):
    curve = any_fan(falls)
    free = fan.free_flow_m3_s(curve, speed)
    assert fan.fan_dp_pa(curve, free, speed, density) == pytest.approx(0.0, abs=1e-8 * curve.shutoff_pa)
    assert fan.free_flow_m3_s(curve, 2.0 * speed) == pytest.approx(2.0 * free)
    assert not fan.stalled(curve, free * 0.41, speed)
    assert fan.stalled(curve, free * 0.39, speed)


@given(st.floats(0.0, 3.0), st.floats(0.0, 10.0), speeds, st.floats(1e-3, 0.5), densities)
def test_a_faster_fan_in_thicker_air_takes_more(base, cubic, speed, more, density):
    law = pump.PowerLaw(base, cubic + 0.01)
    assert fan.fan_power_w(law, speed + more, density) > fan.fan_power_w(law, speed, density)
    assert fan.fan_power_w(law, speed, density * 1.01) > fan.fan_power_w(law, speed, density)
    assert fan.fan_power_w(law, speed) == pytest.approx(law.power_w(speed))
    assert fan.fan_power_w(law, 0.0, density) == base


LOSSES = {
    "screen": lambda x, n, rho: grille.screen_dp_pa(x, 4.0, n, density_kg_m3=rho),
    "opening": lambda x, n, rho: grille.opening_dp_pa(x * 0.01, 0.01 / n, rho),
}


@pytest.mark.parametrize("name", LOSSES)
@given(velocity=velocities, ratio=st.floats(1.0005, 3.0), exponent=exponents, density=densities)
def test_a_loss_is_odd_and_rises_strictly(name, velocity, ratio, exponent, density):
    loss = LOSSES[name]
    assert loss(-velocity, exponent, density) == -loss(velocity, exponent, density)
    assert loss(0.0, exponent, density) == 0.0
    assert 0.0 < loss(velocity, exponent, density) < loss(velocity * ratio, exponent, density)
    assert loss(velocity, exponent, density * 1.01) > loss(velocity, exponent, density)


@given(velocities, st.floats(0.1, 20.0), exponents, st.floats(0.3, 3.0))
def test_a_screen_takes_what_it_states_where_it_states_it(velocity, stated_dp_pa, exponent, elsewhere):
    assert grille.screen_dp_pa(velocity, stated_dp_pa, exponent, velocity) == pytest.approx(stated_dp_pa)
    moved = grille.screen_dp_pa(elsewhere, stated_dp_pa, exponent, velocity)
    assert grille.screen_dp_pa(velocity, moved, exponent, elsewhere) == pytest.approx(stated_dp_pa)


@given(drops, st.lists(st.tuples(airflows, st.floats(0.0, 1.5), densities, exponents), min_size=1, max_size=4))
def test_an_array_gives_what_its_elements_give(falls, rows):
    curve = any_fan(falls)
    flow, speed, density, exponent = np.array(rows).T
    law = pump.PowerLaw(0.3, 2.0)
    pairs = [
        (fan.fan_dp_pa(curve, flow, speed, density, 3, 2), [fan.fan_dp_pa(curve, *r[:3], 3, 2) for r in rows]),
        (fan.free_flow_m3_s(curve, speed), [fan.free_flow_m3_s(curve, r[1]) for r in rows]),
        (fan.fan_power_w(law, speed, density), [fan.fan_power_w(law, *r[1:3]) for r in rows]),
        (grille.screen_dp_pa(flow, 4.0, exponent), [grille.screen_dp_pa(r[0], 4.0, r[3]) for r in rows]),
        (grille.opening_dp_pa(flow, 0.01, density), [grille.opening_dp_pa(r[0], 0.01, r[2]) for r in rows]),
    ]
    for together, apart in pairs:
        assert together == pytest.approx(apart, rel=1e-13, abs=1e-300)
    assert list(fan.stalled(curve, flow, speed)) == [fan.stalled(curve, *r[:2]) for r in rows]
