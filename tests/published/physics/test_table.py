"""Tables and two-part fits against scipy 1.17.1: `PchipInterpolator` and `nnls`, computed in the test."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import nnls

from headrace.physics.nonnegative import fit_two_parts
from headrace.physics.table import fit_pchip

steps = st.lists(st.tuples(st.floats(0.01, 10.0), st.floats(-10.0, 10.0)), min_size=2, max_size=12)
columns = st.lists(st.tuples(st.floats(0.01, 10.0), st.floats(0.01, 10.0)), min_size=2, max_size=12)


@given(steps)
def test_cubics_are_those_of_scipy(rows):
    x, y = np.cumsum([dx for dx, _ in rows]), np.array([y for _, y in rows])
    theirs = PchipInterpolator(x, y)
    at = np.linspace(x[0], x[-1], 101)
    assert fit_pchip(list(x), list(y)).value(at) == pytest.approx(theirs(at), rel=1e-9, abs=1e-9)


@given(columns, st.sampled_from([1.0, 1e9, 1e-9]))
def test_two_parts_are_those_of_scipy(rows, scale):
    first, second = np.array(rows).T
    (a, b), misfit = nnls(np.column_stack([first, second]), np.ones(len(rows)))
    ours = fit_two_parts(first * scale, second)
    assert ours[2] == pytest.approx(misfit, rel=1e-7, abs=1e-7)
    if np.linalg.cond(np.column_stack([first, second])) < 1e4:  # else many pairs fit equally well
        assert (ours[0] * scale, ours[1]) == pytest.approx((a, b), rel=1e-6, abs=1e-7)
