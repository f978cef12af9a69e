"""What is past a limit by rounding alone is not past it."""

import math

import pytest
from checkers.rule_files import HERE, build_of
from hypothesis import given
from hypothesis import strategies as st

from headrace.checks.slack import above, below
from headrace.checks.states import find_worst

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


@pytest.mark.parametrize(("value", "found"), [(1.0 + 1e-12, False), (1.0 + 1e-6, True)])
def test_no_state_is_found_for_rounding(value, found):
    build = build_of(HERE / "HEAT-03" / "fail-coolant.toml")
    assert (find_worst(build, lambda _: {"here": value}, 1.0) is not None) is found
    assert (find_worst(build, lambda _: {"here": 1.0}, value, least=True) is not None) is found
