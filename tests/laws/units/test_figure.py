"""A figure keeps what was typed, and its uncertainty means what was written."""

import copy
import json
import pickle
from decimal import Decimal
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.units import ORIGINS, Figure, Kind, UnitFault, read_figure

SIGMAS = (  # text, kind, sigma in SI, shape
    ("0.15 K/W ± 8 %", Kind.RESISTANCE, 0.012, "lognormal"),
    ("0.15 K/W ± 0.01 K/W", Kind.RESISTANCE, 0.01, "normal"),
    ("0.15 ± 0.01 K/W", Kind.RESISTANCE, 0.01, "normal"),
    ("0.15 K/W +/- 8 %", Kind.RESISTANCE, 0.012, "lognormal"),
    ("0.15 K/W +- 8%", Kind.RESISTANCE, 0.012, "lognormal"),
    ("10 mm ± 0.1 mm (max)", Kind.LENGTH, 1e-4 / sqrt(3), "rectangular"),
    ("10 mm ± 1 % (max)", Kind.LENGTH, 1e-4 / sqrt(3), "rectangular"),
    ("60 % ± 5 %", Kind.FRACTION, 0.05, "normal"),
    ("60 ± 5 %", Kind.FRACTION, 0.05, "normal"),
    ("30 vol% ± 2 %", Kind.VOLUME_FRACTION, 0.02, "normal"),
    ("30 vol% ± 2 vol%", Kind.VOLUME_FRACTION, 0.02, "normal"),
    ("43.7 °C ± 0.5 K", Kind.TEMPERATURE, 0.5, "normal"),
    ("43.7 °C ± 0.5 °C", Kind.TEMPERATURE, 0.5, "normal"),
    ("110 °F ± 0.9 °F", Kind.TEMPERATURE, 0.5, "normal"),
    ("300 K ± 0.9 °F", Kind.TEMPERATURE, 0.5, "normal"),
    ("-2 kPa ± 10 %", Kind.PRESSURE, 200.0, "normal"),
    ("30 dBA ± 1 dB", Kind.SOUND, 1.0, "normal"),
    ("3/8 in ± 1/64 in", Kind.LENGTH, 0.0254 / 64, "normal"),
    ("0 mm ± 5 %", Kind.LENGTH, 0.0, "normal"),
    ("12 mm", Kind.LENGTH, None, "normal"),
)


@pytest.mark.parametrize(("text", "kind", "sigma", "shape"), SIGMAS)
def test_plus_minus_means_one_standard_uncertainty(text, kind, sigma, shape):
    figure = read_figure(text, kind)
    assert figure.shape == shape
    assert figure.sigma == (None if sigma is None else pytest.approx(sigma, rel=1e-12))
    assert (figure.half_width is not None) == (shape == "rectangular")


@given(st.floats(1e-3, 1e3), st.floats(0.0, 50.0))
def test_relative_sigma_is_the_share_typed(value, percent):
    figure = read_figure(f"{value!r} K/W ± {percent!r} %", Kind.RESISTANCE)
    assert figure.relative == pytest.approx(percent / 100, abs=1e-15)


@given(st.floats(1e-3, 1e3), st.floats(1e-3, 10.0))
def test_a_limit_is_sqrt_3_wider_than_its_sigma(value, half):
    figure = read_figure(f"{value!r} mm ± {half!r} mm (max)", Kind.LENGTH)
    assert figure.half_width == pytest.approx(half / 1000)
    assert figure.sigma * sqrt(3) == pytest.approx(figure.half_width)


def facts(figure):
    names = ("kind", "sigma", "shape", "half_width", "origin", "text", "unit", "exact")
    return float(figure), [getattr(figure, name) for name in names]


@pytest.mark.parametrize("text", ["49.90 EUR", "12 USD ± 10 % (max)", "12 CHF ± 1 CHF"])
@pytest.mark.parametrize("protocol", range(pickle.HIGHEST_PROTOCOL + 1))
def test_copies_and_pickles_keep_everything(text, protocol):
    figure = read_figure(text, Kind.MONEY).with_origin("copied")
    for twin in (copy.copy(figure), copy.deepcopy(figure), pickle.loads(pickle.dumps(figure, protocol))):
        assert isinstance(twin, Figure)
        assert facts(twin) == facts(figure)


@pytest.mark.parametrize("name", ["sigma", "origin", "text", "anything"])
def test_a_figure_does_not_change(name):
    figure = read_figure("12 mm ± 1 mm", Kind.LENGTH)
    with pytest.raises(AttributeError):
        setattr(figure, name, 1.0)
    with pytest.raises(AttributeError):
        delattr(figure, name)


def test_a_figure_computes_and_writes_as_a_float():
    figure = read_figure("12 mm ± 1 mm", Kind.LENGTH)
    assert figure == 0.012
    assert type(figure * 2) is float
    assert json.dumps(figure) == "0.012"
    assert f"{figure:.3f}" == "0.012"
    assert {figure: 1}[0.012] == 1


def test_origin_is_one_of_the_words():
    figure = read_figure("12 mm ± 1 mm", Kind.LENGTH)
    assert figure.origin is None
    for origin in ORIGINS:
        told = figure.with_origin(origin)
        assert (told.origin, told.sigma, told.text) == (origin, figure.sigma, figure.text)
    with pytest.raises(ValueError, match="no origin"):
        figure.with_origin("rumour")


@pytest.mark.parametrize("shape", ["normal", "lognormal", "rectangular"])
def test_another_sigma_replaces_the_old_one(shape):
    figure = read_figure("12 mm ± 1 mm (max)", Kind.LENGTH).with_sigma(0.002, shape)
    assert (figure.shape, figure.sigma) == (shape, pytest.approx(0.002))
    assert (figure.half_width is not None) == (shape == "rectangular")
    assert figure.with_sigma(None).sigma is None


def test_reading_a_figure_again_changes_nothing():
    figure = read_figure("12 mm ± 1 mm", Kind.LENGTH)
    assert read_figure(figure, Kind.LENGTH) is figure
    with pytest.raises(UnitFault, match='"12 mm ± 1 mm" is a length, a pressure is wanted'):
        read_figure(figure, Kind.PRESSURE)


def test_a_price_keeps_its_decimal_and_currency():
    price = read_figure("49.90 EUR", Kind.MONEY)
    assert (price.exact, str(price.exact), price.unit) == (Decimal("49.90"), "49.90", "EUR")
