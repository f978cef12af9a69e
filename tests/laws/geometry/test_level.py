"""Water in a box: the share below the surface is the share filled, and a box turned over shows its air."""

import math

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from headrace.geometry.level import surface_m
from headrace.geometry.posture import POSTURES, Posture
from headrace.geometry.solid import Box

SIZES = st.tuples(*[st.floats(0.02, 0.5)] * 3)
CORNERS = st.tuples(*[st.floats(-0.5, 0.5)] * 3)
SHARES = st.floats(0.02, 0.98)
TILTS = st.builds(Posture.tilted, st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))


def box_of(corner, size):
    return Box(corner, tuple(c + s for c, s in zip(corner, size, strict=True)))


@given(CORNERS, SIZES, SHARES, st.sampled_from(sorted(POSTURES)))
def test_along_an_axis_the_level_is_the_share_of_the_edge(corner, size, share, name):
    box, posture = box_of(corner, size), POSTURES[name]
    ends = sorted(posture.height_m(point) for point in (box.low, box.high))
    assert surface_m(box, posture, share) == pytest.approx(ends[0] + share * (ends[1] - ends[0]), abs=1e-9)


@settings(max_examples=50)
@given(CORNERS, SIZES, SHARES, TILTS)
def test_the_share_below_the_surface_is_the_share_filled(corner, size, share, posture):
    box = box_of(corner, size)
    level = surface_m(box, posture, share)
    steps = (np.arange(24) + 0.5) / 24
    x, y, z = (low + s * steps for low, s in zip(box.low, size, strict=True))
    heights = posture.up[0] * x[:, None, None] + posture.up[1] * y[None, :, None] + posture.up[2] * z[None, None, :]
    assert float(np.mean(heights < level)) == pytest.approx(share, abs=0.05)  # the cells the surface cuts


@given(CORNERS, SIZES, SHARES, TILTS)
def test_turned_over_the_air_is_where_the_water_was(corner, size, share, posture):
    box = box_of(corner, size)
    over = Posture("over", tuple(-u for u in posture.up))
    assert surface_m(box, over, 1.0 - share) == pytest.approx(-surface_m(box, posture, share), abs=1e-6)


@given(CORNERS, SIZES, TILTS)
def test_half_full_the_surface_goes_through_the_middle(corner, size, posture):
    box = box_of(corner, size)
    assert surface_m(box, posture, 0.5) == pytest.approx(posture.height_m(box.middle), abs=1e-6)


@given(CORNERS, SIZES, SHARES, st.floats(0.0, 0.5), TILTS)
def test_more_water_never_stands_lower(corner, size, share, more, posture):
    box = box_of(corner, size)
    assert surface_m(box, posture, min(share + more, 1.0)) >= surface_m(box, posture, share) - 1e-9
    assert math.isfinite(surface_m(box, posture, 1.0))
