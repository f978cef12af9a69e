"""What is past a limit by rounding alone is not past it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.checks.slack import above, below

LIMITS = st.floats(1e-6, 1e6)


@given(LIMITS)
def test_rounding_is_no_fault(limit):
    assert not above(limit, limit)
    assert not above(limit * (1 + 1e-10), limit)
    assert not below(limit * (1 - 1e-10), limit)


@given(LIMITS, st.floats(1e-6, 1.0))
def test_more_than_rounding_is(limit, more):
    assert above(limit * (1 + more), limit)
    assert below(limit, limit * (1 + more))
    assert not above(limit, limit * (1 + more))


@pytest.mark.parametrize("value", [-1.0, 0.0, 1.0, math.inf])
def test_everything_is_above_no_limit_at_all(value):
    assert above(value, -math.inf)


def test_without_end_is_above_any_limit():
    assert above(math.inf, 1e9)
    assert not above(1.0, math.inf)
