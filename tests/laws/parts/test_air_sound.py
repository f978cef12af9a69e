"""Cards of what stands in the air and of what makes sound: forms, refusals, and how well their values are known.

All numbers on these cards are invented.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import BadInput
from headrace.parts.core import AirLoss
from headrace.parts.fields import read_level_change
from headrace.parts.loader import read_cards
from headrace.parts.spread import default_spreads, find_spread
from headrace.parts.tomltext import parse_toml
from headrace.units import Kind, UnitFault

PORTS = 'port = [{ name = "in" }, { name = "out" }]\n'
GEOMETRY = {
    "fins": '"louvred"',
    "tube_length": '"355 mm"',
    "tubes": "12",
    "passes": "2",
    "tube_height": '"2 mm"',
    "tube_depth": '"18 mm"',
    "tube_wall": '"0.25 mm"',
    "fin_height": '"7.2 mm"',
    "fin_pitch": '"1.5875 mm"',
    "fin_thickness": '"0.06 mm"',
    "fin_conductivity": '"360 W/(m K)"',
    "louvre_pitch": '"1.1 mm"',
    "louvre_angle": '"27 deg"',
    "louvre_length": '"5.8 mm"',
}
AIR_LOSS = 'air_loss = { air = "m3/h", loss = "Pa", points = [[60, 3.1], [120, 8.0]] }\n'
STRENGTH = 'strength = { air = "m3/h", strength = "W/K", points = [[40, 10], [80, 17]] }\n'
UA = 'ua = { air = "m3/h", flow = "L/min", ka = 2.2, ma = 0.6, kw = 30, mw = 0.25 }\n'
PUMP = PORTS + 'curve = { flow = "L/h", head = "kPa", points = [[0, 38], [750, 28.5], [1500, 0]] }\n'
SCREEN = 'face_loss = "4 Pa"\nface_velocity = "1 m/s"\n'


def read(kind, text=""):
    toml = parse_toml(f'format = 1\n[[card]]\nid = "x"\nkind = "{kind}"\n{text}', "c.toml")
    return read_cards([toml])["x"]


def faults(kind, text=""):
    with pytest.raises(BadInput) as caught:
        read(kind, text)
    return [str(fault) for fault in caught.value.faults]


def geometry(**changes):
    """The geometry as a table of its own, so that each key stands in its own line; None leaves a key out."""
    keys = {**GEOMETRY, **changes}
    return PORTS + "[card.geometry]\n" + "".join(f"{key} = {value}\n" for key, value in keys.items() if value)


# --- geometry ---------------------------------------------------------------------------------------------------------


def test_a_geometry_reads_in_si_and_hands_its_lengths_to_the_formulas():
    core = read("radiator", geometry(rows="2")).geometry
    assert (core.fins, core.tubes, core.rows, core.passes) == ("louvred", 12, 2, 2)
    assert float(core.fin_pitch_m) == pytest.approx(1.5875e-3, rel=1e-12)
    assert float(core.louvre_angle_rad) == pytest.approx(0.4712389, rel=1e-6)  # 27 pi / 180, by definition
    assert float(core.fin_conductivity_w_m_k) == 360.0
    lengths = core.core()
    assert (lengths.tubes, lengths.rows, lengths.passes) == (12, 2, 2)
    assert (lengths.tube_height_m, lengths.tube_depth_m, lengths.tube_wall_m) == (0.002, 0.018, 0.00025)
    assert (lengths.fin_height_m, lengths.fin_thickness_m) == pytest.approx((0.0072, 0.06e-3), rel=1e-12)
    assert (lengths.louvre_pitch_m, lengths.louvre_length_m) == (0.0011, 0.0058)


def test_plain_fins_have_no_louvres():
    plain = dict.fromkeys(("louvre_pitch", "louvre_angle", "louvre_length"), None)
    assert read("radiator", geometry(fins='"plain"', **plain)).geometry.core().louvre_pitch_m is None
    (said,) = faults("radiator", geometry(fins='"plain"'))
    assert "plain fins have no louvres" in said
    assert 'or write fins = "louvred"' in said


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"louvre_pitch": None}, ["louvred fins without louvre_pitch", 'louvre_pitch = "1.1 mm"', 'fins = "plain"']),
        ({"louvre_angle": '"90 deg"'}, ["c.toml:19:16", "less than 90 deg"]),
        ({"louvre_angle": '"-5 deg"'}, ["c.toml:19:16", "is below zero"]),
        ({"louvre_length": '"7.2 mm"'}, ["c.toml:20:17", 'louvre_length "7.2 mm"', 'less than fin_height "7.2 mm"']),
        ({"tube_wall": '"1 mm"'}, ["c.toml:13:13", 'tube_wall "1 mm"', 'less than half of tube_height "2 mm"']),
        ({"tube_height": '"18 mm"'}, ['tube_height "18 mm"', 'less than tube_depth "18 mm"']),
        ({"fin_thickness": '"2 mm"'}, ['less than fin_pitch "1.5875 mm"', "Leave the air a way"]),
        ({"passes": "13"}, ["13 passes for 12 tubes", "limit 12"]),
        ({"tubes": "12.5"}, ["c.toml:9:9", "not a whole number"]),
        ({"fin_pitch": '"0 mm"'}, ['"0 mm" is zero']),
        ({"fins": '"wavy"'}, ["known words"]),
        ({"fin_pich": '"1 mm"'}, ['unknown key "fin_pich"', 'Did you mean "fin_pitch"?']),
        ({"fin_conductivity": '"360 W/K"'}, ["is a thermal conductance", "a thermal conductivity is wanted"]),
        ({"tube_length": None}, ['"tube_length" is missing']),
    ],
)
def test_a_geometry_that_cannot_be_is_said(changes, words):
    said = "\n".join(faults("radiator", geometry(**changes)))
    for word in words:
        assert word in said, said


def test_all_that_does_not_fit_in_a_geometry_is_said_at_once():
    said = faults("radiator", geometry(tube_wall='"1 mm"', louvre_length='"9 mm"', passes="20", louvre_pitch=None))
    assert len(said) == 4, said


@pytest.mark.parametrize("forms", [STRENGTH + UA, STRENGTH + "+", UA + "+", STRENGTH + UA + "+"])
def test_a_radiator_states_its_strength_in_one_form_at_most(forms):
    text = forms.replace("+", geometry().removeprefix(PORTS))
    (said,) = faults("radiator", PORTS + text)
    assert "strength is stated" in said
    assert "Give points, a UA law or the geometry" in said
    assert read("radiator", PORTS).strength is None


# --- air loss, screens ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ("[[60, 3], [120, 3]]", "does not rise"),
        ("[[60, 3], [120, 2]]", "does not rise"),
        ("[[60, 3], [120, 30]]", "flow^3.32"),
        ("[[60, -3], [120, 3]]", "above zero"),
        ("[[0, 0]]", "no point besides zero"),
        ("[]", "at least 1"),
    ],
)
def test_an_air_loss_rises(points, words):
    (said,) = faults("radiator", PORTS + AIR_LOSS.replace("[[60, 3.1], [120, 8.0]]", points))
    assert words in said
    assert "c.toml:6:" in said


@given(st.floats(0.0, 5e-4), st.floats(1e-4, 0.05), st.floats(20.0, 200.0), st.floats(1.3, 3.0))
def test_an_air_loss_on_a_law_is_that_law(a, b, first, step):
    """dp = a V^2 + b V in Pa and m3/h: two points of it give it back, in SI."""
    points = [(v, a * v**2 + b * v) for v in (first, first * step)]
    fit = AirLoss.model_validate({"air": "m3/h", "loss": "Pa", "points": points}).fit()
    flow = first * 1.1 / 3600.0
    assert fit.dp_pa(flow) == pytest.approx(a * (flow * 3600) ** 2 + b * flow * 3600, rel=1e-5)


@pytest.mark.parametrize("kind", ["air-filter", "grille"])
def test_a_screen_states_its_loss_at_one_velocity(kind):
    screen = read(kind, SCREEN)
    assert (float(screen.face_loss_pa), float(screen.face_velocity_m_s), screen.exponent) == (4.0, 1.0, 1.6)
    assert screen.channels() == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (SCREEN.replace("4 Pa", "0 Pa"), "is zero"),
        (SCREEN.replace("4 Pa", "-4 Pa"), "is below zero"),
        (SCREEN.replace("1 m/s", "1 m3/h"), "a velocity is wanted"),
        (SCREEN + "exponent = 2.5\n", "2.5 is out of reason, limit at most 2. Write 2 or less"),
        (SCREEN + "exponent = 0.9\n", "0.9 is out of reason, limit at least 1. Write 1 or more"),
        ('face_loss = "4 Pa"\n', '"face_velocity" is missing'),
    ],
)
def test_a_bad_screen_is_said(text, words):
    (said,) = faults("grille", text)
    assert words in said


# --- sound and heat capacity ------------------------------------------------------------------------------------------


def test_the_sound_of_a_pump_is_at_full_speed_unless_it_says_otherwise():
    sound = read("pump", PUMP + 'sound = { level = "26 dBA ± 3 dB", distance = "0.6 m" }\n').sound
    assert (float(sound.speed_frac), sound.exponent, sound.mounting) == (1.0, 45.0, None)
    assert sound.level_db.sigma == 3.0
    sound = read("pump", PUMP + 'sound = { level = "26 dBA ± 2 dBA", speed = "80 %", distance = "1 m" }\n').sound
    assert (float(sound.speed_frac), sound.level_db.sigma) == (0.8, 2.0)


@pytest.mark.parametrize(
    ("sound", "words"),
    [
        ('{ level = "26 dBA" }', '"distance" is missing'),
        ('{ level = "26 dB", distance = "0.6 m" }', 'Write "26 dBA"'),
        ('{ level = "26 dBA", distance = "0 m" }', "is zero"),
        ('{ level = "26 dBA", distance = "0.6 m", speed = "0 %" }', "is zero"),
        ('{ level = "26 dBA", distance = "0.6 m", speed = "4800 rpm" }', "a fraction is wanted"),
        ('{ level = "26 dBA", distance = "0.6 m", mounting = "sft" }', 'Did you mean "soft"?'),
        ('{ level = "26 dBA", distance = "0.6 m", exponent = -45 }', "limit at least 0. Write 0 or more"),
    ],
)
def test_a_bad_sound_of_a_pump_is_said(sound, words):
    (said,) = faults("pump", PUMP + f"sound = {sound}\n")
    assert words in said


def test_a_pump_curve_at_standstill_is_no_curve():
    (said,) = faults("pump", PUMP.replace("points", 'speed = "0 %", points'))
    assert '"0 %" is zero' in said


def test_every_card_may_state_its_heat_capacity():
    assert float(read("pump", PUMP + 'heat_capacity = "0.15 kJ/K"\n').heat_capacity_j_k) == 150.0
    assert "is zero" in faults("obstacle", 'heat_capacity = "0 J/K"\n')[0]
    assert "a heat capacity is wanted" in faults("obstacle", 'heat_capacity = "150 J/(kg K)"\n')[0]


# --- spreads ----------------------------------------------------------------------------------------------------------


def test_every_default_is_a_share_or_says_its_unit():
    shares = {kind for kind, width in default_spreads().items() if width.kind is Kind.FRACTION}
    assert all(0.0 < float(default_spreads()[kind]) <= 0.5 for kind in shares)
    others = {kind: (float(width), width.kind) for kind, width in default_spreads().items() if kind not in shares}
    assert others == {  # as in spreads.csv: common practice, no source
        "fan sound": (1.5, Kind.SOUND),
        "pump sound": (3.0, Kind.SOUND),
        "pump mounting": (2.5, Kind.SOUND),
        "room": (0.5, Kind.TEMP_DIFFERENCE),
    }


FAN_SOUND = 'size = "120 mm"\nsound = { level = "20 dBA", speed = "1000 rpm", distance = "0.6 m" }\n'


@pytest.mark.parametrize(
    ("kind", "text", "key", "said"),
    [
        ("radiator", geometry(), "geometry", "± 20 % (assumed)"),
        ("radiator", geometry(spread='"10 %"'), "geometry", "± 10 %"),
        ("radiator", PORTS + AIR_LOSS, "air_loss", "± 15 % (assumed)"),
        ("radiator", PORTS + AIR_LOSS.replace("points", 'spread = "8 %", points'), "air_loss", "± 8 %"),
        ("fan", FAN_SOUND, "sound", "± 1.5 dB (assumed)"),
        ("fan", FAN_SOUND.replace("20 dBA", "20 dBA ± 1 dB"), "sound", "± 1.0 dB"),
        ("pump", PUMP + 'sound = { level = "26 dBA", distance = "0.6 m" }\n', "sound", "± 3.0 dB (assumed)"),
        ("grille", SCREEN, None, "± 30 % (assumed)"),
        ("grille", SCREEN.replace("4 Pa", "4 Pa ± 1 Pa"), None, "± 25 %"),
        ("block", PORTS + 'resistance = { node = "inlet", value = "0.15 K/W ± 8 %" }\n', "resistance", "± 8 %"),
        ("block", PORTS + 'resistance = { node = "inlet", value = "0.15 K/W" }\n', "resistance", "± 20 % (assumed)"),
    ],
)
def test_a_spread_is_the_stated_one_or_named_assumed(kind, text, key, said):
    card = read(kind, text)
    assert str(find_spread(getattr(card, key) if key else card)) == said


def test_a_card_without_a_law_has_no_spread():
    assert find_spread(read("pump", PUMP)) is None


@pytest.mark.parametrize(("text", "change_db"), [("7.5 dB", 7.5), (" 3dB ", 3.0), ("0 dB", 0.0)])
def test_a_level_change_is_read_in_db(text, change_db):
    assert float(read_level_change(text)) == change_db
    assert read_level_change(text).text == text


@pytest.mark.parametrize("text", ["7.5 dBA", "7.5", "-3 dB", "dB", "3 K", "1e999 dB", "7,5 dB", "9999 dB"])
def test_what_is_no_level_change_is_refused(text):
    with pytest.raises(UnitFault, match="no difference of sound levels"):
        read_level_change(text)
