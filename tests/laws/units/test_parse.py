"""What is read, what is refused, and that nothing else can happen."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import HeadraceError, Place
from headrace.units import Figure, Kind, UnitFault, read_either, read_figure, read_unit
from headrace.units.table import LOOSE, STRICT

KINDS = st.sampled_from(list(Kind))
SPELLINGS = [(kind, spelling) for kind in Kind for spelling in STRICT[kind]]


def refusal(text, *kinds):
    with pytest.raises(UnitFault) as caught:
        read_either(text, *kinds)
    return caught.value


def outcome(read, *args):
    try:
        return read(*args)
    except UnitFault as fault:
        return fault


def is_sentence(text):
    return text[:1].isupper() and text.endswith((".", "?"))


SPAN_FIX = 'Write one number and its unit, such as "10 mm"; a span is its middle ± half of it (max).'
REFUSED = (
    ("2 furlong", Kind.LENGTH, '"furlong" is no unit known here', "Use one of m, mm, cm, µm, in, ft."),
    ("12 kPaa", Kind.PRESSURE, '"kPaa" is no unit known here', 'Did you mean "kPa"?'),
    ("12 kPa", Kind.LENGTH, '"12 kPa" is a pressure', 'Write it like "10 mm".'),
    ("12", Kind.LENGTH, "12 has no unit", 'Write "12 mm".'),
    (12, Kind.LENGTH, "12 has no unit", 'Write "12 mm".'),
    (0.6, Kind.FRACTION, "0.6 has no unit", 'Write "60 %".'),
    ("0,5 L", Kind.VOLUME, '"0,5 L" holds a comma', 'Write "0.5 L".'),
    ("1,200 rpm", Kind.SPEED, '"1,200 rpm" holds a comma', 'Write "1200 rpm" or "1.200 rpm", whichever is meant.'),
    ("1 200 rpm", Kind.SPEED, '"1 200 rpm" holds two numbers', 'Write "1200 rpm" if it is one.'),
    ("25 C", Kind.TEMPERATURE, '"C" is not how a temperature is written', 'Write "25 °C".'),
    ("5 °C", Kind.TEMP_DIFFERENCE, '"°C" is not how a temperature difference is written', 'Write "5 K".'),
    ("200 lph", Kind.FLOW, '"lph" is not how a flow is written', 'Write "200 L/h".'),
    ("3 MPA", Kind.PRESSURE, '"MPA" is no unit known here', 'Did you mean "MPa"?'),
    ("3 m", Kind.PRESSURE, '"m" is not how a pressure is written', 'Write "3 mH2O".'),
    ("30 %", Kind.VOLUME_FRACTION, '"%" is not how a volume fraction is written', 'Write "30 vol%".'),
    ("30 vol%", Kind.MASS_FRACTION, '"30 vol%" is a volume fraction', 'Write it like "10 mass%".'),
    ("30 dB", Kind.SOUND, '"dB" is not how a sound level is written', 'Write "30 dBA".'),
    ("1 - 2 mm", Kind.LENGTH, '"1 - 2 mm" holds more than one number', SPAN_FIX),
    ("12 x 3 mm", Kind.LENGTH, '"12 x 3 mm" holds more than one number', SPAN_FIX),
    ("3 nL", Kind.MASS, '"nL" is no unit known here', "Use one of kg, g, mg, lb, oz."),
    ("-3 mm", Kind.LENGTH, '"-3 mm" is below zero', 'Write "3 mm".'),
    ("−3 mm", Kind.LENGTH, '"−3 mm" is below zero', 'Write "3 mm".'),
    ("€49.90", Kind.MONEY, '"€49.90" names no currency', 'Write "49.90 EUR".'),
    ("12 mm ± 5", Kind.LENGTH, "± 5 has no unit", 'Write "± 5 mm".'),
    ("12 mm ± 1 kPa", Kind.LENGTH, '"± 1 kPa" is a pressure', 'Write it like "± 1 mm".'),
    ("40 °C ± 5 %", Kind.TEMPERATURE, "± 5 % of a temperature has no meaning", 'Write "± 1 K".'),
    ("nan mm", Kind.LENGTH, '"nan mm" is not a finite number', 'Write a number and a unit, such as "10 mm".'),
    ("", Kind.LENGTH, "nothing is written", 'Write a number and a unit, such as "10 mm".'),
)


@pytest.mark.parametrize(("text", "kind", "found", "fix"), REFUSED)
def test_a_refusal_says_what_was_found_and_what_to_write(text, kind, found, fix):
    fault = refusal(text, kind)
    assert (fault.found, fault.fix) == (found, fix)


@pytest.mark.parametrize("unit", ["gal/min", "gpm (UK)", "imp gpm"])
def test_a_gallon_must_be_named(unit):
    assert "US gpm" in refusal(f"3 {unit}", Kind.FLOW).fix


def test_gauge_and_absolute_pressure_are_not_mixed():
    assert "Add the pressure of the surrounding air" in refusal("40 psig", Kind.ABS_PRESSURE).fix
    assert "Take off the pressure of the surrounding air" in refusal("2 bara", Kind.PRESSURE).fix
    assert refusal("40 psig", Kind.PRESSURE).fix == 'Write "40 psi".'


def test_a_unit_that_begins_with_a_digit_keeps_its_distance():
    assert read_figure("20 1/s ± 5 %", Kind.SPEED).sigma == pytest.approx(1.0)
    assert read_figure("1200 1/min", Kind.SPEED) == 20.0
    refusal("201/s", Kind.SPEED)


@pytest.mark.parametrize("text", [None, True, [], {}, float("nan"), float("inf"), b"12 mm", "1e999 m"])
def test_what_is_no_text_is_refused_with_a_sentence(text):
    assert is_sentence(refusal(text, Kind.LENGTH).fix)


@pytest.mark.parametrize(
    "text", ["120 %", "-1 %", "-274 °C", "-1 K", "1/0 in", "1 3/2 in", "12 mm ± -1 mm", "1 mm ± 1 ± 1"]
)
def test_impossible_numbers_are_refused_by_every_kind(text):
    for kind in Kind:
        if kind is Kind.TEMP_DIFFERENCE and text == "-1 K":
            continue
        assert refusal(text, kind).found


SAME = (
    ("200 L/h", "200 l/h", Kind.FLOW),
    ("200 L/h", "200 L/H", Kind.FLOW),
    ("3 m³/h", "3 m3/h", Kind.FLOW),
    ("3 m³/h", "3 m^3 / h", Kind.FLOW),
    ("3 US gpm", "3 gpm (US)", Kind.FLOW),
    ("12 mm", "12mm", Kind.LENGTH),
    ("12 mm", "  12\u00a0mm ", Kind.LENGTH),
    ("12 mm", ".012e0 m", Kind.LENGTH),
    ("5 cm³", "5 ml", Kind.VOLUME),
    ("43 °C", "43 deg C", Kind.TEMPERATURE),
    ("43 °C", "43°c", Kind.TEMPERATURE),
    ("43 °C", "43 ℃", Kind.TEMPERATURE),
    ("-5 kPa", "−5 KPa", Kind.PRESSURE),
    ("1 mPa s", "1 mPa·s", Kind.VISCOSITY),
    ("3900 J/(kg K)", "3.9 kJ/(kg·K)", Kind.SPECIFIC_HEAT),
    ("0.15 K/W", "0.15 C/W", Kind.RESISTANCE),
    ("30 vol%", "30 vol %", Kind.VOLUME_FRACTION),
    ("1200 rpm", "20 1/s", Kind.SPEED),
    ("30 dBA", "30 dB(A)", Kind.SOUND),
)


@pytest.mark.parametrize(("one", "other", "kind"), SAME)
def test_spellings_that_mean_the_same(one, other, kind):
    assert read_figure(one, kind) == pytest.approx(read_figure(other, kind), rel=1e-15)


@pytest.mark.parametrize(
    ("small", "large", "kind"),
    [("1 mW", "1 MW", Kind.HEAT), ("1 mPa s", "1 MPa s", Kind.VISCOSITY), ("1 mA", "1 MA", Kind.CURRENT)],
)
def test_milli_is_never_taken_for_mega(small, large, kind):
    read_figure(small, kind)
    big = outcome(read_figure, large, kind)
    assert is_sentence(big.fix) if isinstance(big, UnitFault) else big > 1e8 * read_figure(small, kind)


@pytest.mark.parametrize("kind", Kind)
def test_no_forgiven_spelling_hides_an_exact_one(kind):
    for spelling, unit in STRICT[kind].items():
        assert LOOSE[kind].get(spelling.casefold(), unit) == unit


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.MONEY])
def test_every_spelling_reads_as_a_figure_and_as_a_header(kind):
    for spelling, unit in STRICT[kind].items():
        figure = read_figure(f"0.5 {spelling}", kind)
        assert figure == unit.to_si(0.5)
        assert figure.unit == unit.text
        assert read_unit(spelling, kind) == unit


@pytest.mark.parametrize("text", ["", "  ", None, 3, "furlong", "12", "mm mm"])
def test_a_bad_header_is_refused_with_a_sentence(text):
    with pytest.raises(UnitFault) as caught:
        read_unit(text, Kind.LENGTH)
    assert is_sentence(caught.value.fix)


def test_either_kind_says_which():
    assert read_either("1300 rpm", Kind.SPEED, Kind.FRACTION).kind is Kind.SPEED
    assert read_either("60 %", Kind.SPEED, Kind.FRACTION).kind is Kind.FRACTION
    assert refusal("12 mm", Kind.SPEED, Kind.FRACTION).limit == "a rotation speed or a fraction is wanted"
    assert refusal("12", Kind.SPEED, Kind.FRACTION).fix == 'Write "12 rpm" or "12 %".'


def test_a_refusal_is_of_the_tree_and_becomes_a_fault_of_a_file():
    fault = refusal("12", Kind.LENGTH)
    assert isinstance(fault, HeadraceError)
    assert isinstance(fault, ValueError)
    text = str(fault.at(Place("build.toml", 12), 'tube "a"'))
    assert text == 'build.toml:12: tube "a": 12 has no unit, a length is wanted. Write "12 mm".'


PIECES = st.sampled_from(
    ["12", "0.5", "1 1/2", "-3", "3/8", "1e9", "1e400", " ", "±", "+-", "(max)", "%", ",", ".", "/", "nan", '"', "\n"],
)
UNITS = st.sampled_from([spelling for _, spelling in SPELLINGS] + ["EUR", "lph", "gal", "C", "°", "€", "gph", "psig"])
TEXTS = (
    st.text(max_size=30) | st.lists(PIECES | UNITS, max_size=7).map("".join) | st.lists(PIECES | UNITS).map(" ".join)
)


def test_an_endless_integer_is_refused():
    assert refusal(10**5000, Kind.LENGTH).found == '"inf" is not a finite number'


@given(TEXTS, st.lists(KINDS, min_size=1, max_size=3))
def test_any_text_gives_a_figure_or_a_refusal_with_a_sentence(text, kinds):
    figure = outcome(read_either, text, *kinds)
    if isinstance(figure, UnitFault):
        assert figure.found
        assert is_sentence(figure.fix), figure.fix
        assert "\n" not in str(figure)
    else:
        assert isinstance(figure, Figure)
        assert abs(figure) < float("inf")
        assert figure.kind in kinds
        assert figure >= 0.0 or not figure.kind.positive
        assert figure.sigma is None or 0.0 <= figure.sigma < float("inf")


@given(TEXTS, KINDS)
def test_any_header_gives_a_unit_or_a_refusal_with_a_sentence(text, kind):
    unit = outcome(read_unit, text, kind)
    assert is_sentence(unit.fix) if isinstance(unit, UnitFault) else unit.kind is kind


@given(st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.lists(st.integers()), st.binary()), KINDS)
def test_anything_but_text_is_refused(value, kind):
    assert is_sentence(refusal(value, kind).fix)


@pytest.mark.parametrize("text", ["280 W ± 101 %", "280 W ± 300 % (max)", "280 W ± 1e9 %"])
def test_an_uncertainty_above_the_whole_is_refused(text):
    fault = refusal(text, Kind.HEAT)
    assert "is more than the whole" in fault.found
    assert fault.limit == "limit ± 100 %"
    assert is_sentence(fault.fix)


def test_an_uncertainty_of_the_whole_is_read():
    assert read_figure("280 W ± 100 %", Kind.HEAT).sigma == pytest.approx(280.0)
