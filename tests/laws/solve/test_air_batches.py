"""Laws of a batch of variants of one state with its air: a row is what it is alone, and no row feels another."""

from random import Random

import numpy as np
import pytest
from checkers.air_builds import FORMS, airflow, by_hand, load, ring_of, stack
from checkers.air_cases import answers, random_build
from hypothesis import given
from hypothesis import strategies as st

from headrace.loop.route import stated_route
from headrace.solve.balance import balance
from headrace.solve.prepared import Prepared
from headrace.solve.variants import Variants

ROW_REL = 1e-9
builds = st.integers(0, 2**32 - 1).map(random_build).filter(answers)
GONE_K = 600.0
forms, speeds = st.sampled_from(FORMS), st.floats(500.0, 2000.0)


def rows_of(prepared, rng, count):
    """Variants of a state, and what differs between them: conditions, speeds and the factors on losses."""
    nominal = prepared.nominal()

    def around(low, high, *shape):
        return np.array([rng.uniform(low, high) for _ in range(count * int(np.prod(shape)))]).reshape(count, *shape)

    elements = sum(len(passage.elements) for passage in prepared.assembly.passages)
    network = prepared.air_model.network
    return Variants(
        room_k=nominal.room_k + around(-5.0, 5.0),
        heat_w=nominal.heat_w * around(0.5, 1.3, nominal.heat_w.shape[1]),
        speed_hz=nominal.speed_hz * around(0.6, 1.0, nominal.speed_hz.shape[1]),
        pump_frac={
            element: prepared.pump_speed_frac(pump) * around(0.7, 1.0)
            for pump, element in prepared.pump_elements.items()
        },
        loss=around(0.8, 1.3, elements),
        air_loss=None if network is None else around(0.8, 1.3, sum(map(len, network.labels))),
        strength=around(0.8, 1.2, len(prepared.air_model.cores)),
        viscosity=around(0.9, 1.1),
    )


def columns(found):
    air = found.air
    return (found.mass_flow_kg_s, found.node_k, found.heat.heat_w, air.flow_m3_s, air.air_in_k, air.case_k[:, None])


def assert_same(one, other, rows, others):
    """The rows are equal; one whose coolant is no liquid any more may be given up sooner or later."""
    liquid = np.max(one.node_k[rows], axis=1) < GONE_K
    liquid &= np.max(other.node_k[others], axis=1) < GONE_K
    rows, others = rows[liquid], others[liquid]
    assert list(one.closed[rows]) == list(other.closed[others])
    for mine, theirs in zip(columns(one), columns(other), strict=True):
        mine, theirs = mine[rows], theirs[others]
        most = np.max(np.abs(theirs), initial=1e-12)
        assert np.max(np.abs(mine - theirs), initial=0.0) <= ROW_REL * most


def prepared_of(build):
    loop = build.loop()
    return Prepared.of(loop, stated_route(loop), loop.state())


@given(builds, st.integers(2, 6), st.randoms(use_true_random=False))
def test_a_row_of_a_batch_is_the_row_alone_and_their_order_does_not_matter(build, count, rng):
    prepared = prepared_of(build)
    variants = rows_of(prepared, Random(rng.random()), count)
    batch = balance(prepared, variants)
    for row in range(count):
        alone = balance(prepared, variants.take(np.array([row])))
        assert_same(batch, alone, np.array([row]), np.array([0]))
    order = np.array(rng.sample(range(count), count))
    assert_same(balance(prepared, variants.take(order)), batch, np.arange(count), order)


@pytest.mark.parametrize("bad", [np.nan, np.inf])
@given(build=builds, rng=st.randoms(use_true_random=False))
def test_a_row_that_cannot_close_is_marked_and_disturbs_no_other(bad, build, rng):
    assert_spoils_no_other(build, Random(rng.random()), bad)


@pytest.mark.parametrize(("seed", "heat_w"), [(163, 1e6), (357, 1e6)])
def test_a_row_of_mad_heat_is_marked_and_disturbs_no_other(seed, heat_w):
    assert_spoils_no_other(random_build(seed), Random(seed % 5), heat_w)


def assert_spoils_no_other(build, rng, bad):
    prepared = prepared_of(build)
    variants = rows_of(prepared, rng, 4)
    good = np.array([0, 1, 3])
    heat_w = variants.heat_w.copy()
    heat_w[2] = bad
    batch = balance(prepared, Variants(**{**vars(variants), "heat_w": heat_w}))
    assert not batch.closed[2]
    assert_same(batch, balance(prepared, variants), good, good)


@given(forms, st.floats(50.0, 400.0), speeds, st.floats(20.0, 100.0))
def test_a_row_is_what_the_file_with_these_numbers_gives(form, heat, speed, pump):
    nominal = by_hand(ring_of(form), stack(fan="fan"), load(pump="100 %", top="2000 rpm"))
    prepared = prepared_of(nominal)
    (element,) = prepared.pump_elements.values()
    start = prepared.nominal()
    heat_w = np.where(start.heat_w > 0.0, heat, 0.0)
    row = Variants(
        room_k=start.room_k,
        heat_w=heat_w,
        speed_hz=np.array([[speed / 60.0]]),
        pump_frac={element: np.array([pump / 100.0])},
    )
    batch = balance(prepared, row)
    written = by_hand(
        ring_of(form), stack(fan="fan"), load(heat=heat, pump=f"{pump!r} %", top=f"{speed!r} rpm")
    ).solved()[1]
    assert batch.closed[0]
    assert batch.heat.heat_w[0, 0] == pytest.approx(written.heat_w["rad"], rel=ROW_REL)
    assert batch.air.flow_m3_s[0, 0] == pytest.approx(airflow(written), rel=ROW_REL)
    names = prepared.assembly.nodes
    assert dict(zip(names, batch.node_k[0], strict=True)) == pytest.approx(written.coolant_temp_k, rel=ROW_REL)
