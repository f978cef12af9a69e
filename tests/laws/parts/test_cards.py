"""Cards: what is refused, what stays unknown, what `like` takes over."""

import pytest

from headrace.errors import BadInput
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml
from headrace.units import read_figure
from headrace.units.kinds import Kind

PUMP = """format = 1
[[card]]
id = "p"
kind = "pump"
port = [{ name = "in" }, { name = "out" }]
curve = { flow = "L/h", head = "kPa", points = [[0, 38], [750, 28.5], [1500, 0]] }
"""


def faults(text):
    with pytest.raises(BadInput) as caught:
        read_cards([parse_toml(text, "c.toml")])
    return [str(fault) for fault in caught.value.faults]


def test_a_good_card_reads_and_keeps_what_was_typed():
    text = PUMP + 'max_pressure = "50 kPa ± 5 %"\n'
    card = read_cards([parse_toml(text, "c.toml")])["p"]
    assert float(card.max_pressure_pa) == 50e3
    assert card.max_pressure_pa.text == "50 kPa ± 5 %"
    assert card.max_pressure_pa.sigma == pytest.approx(2500.0)
    assert card.max_temp_k is None


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[1500, 0]", "[1500, 29]", ["c.toml:6:", "pressure rises", "Head falls"]),
        ('kind = "pump"', 'kind = "pmup"', ["c.toml:4:8", 'Did you mean "pump"?']),
        ('head = "kPa"', 'head = "K"', ["c.toml:6:32", "temperature", "pressure"]),
        ('head = "kPa", ', "", ["c.toml:6:9", '"head" is missing']),
        ('id = "p"', 'id = "P p"', ["c.toml:3:6"]),
        ("[750, 28.5]", '[750, "x"]', ["c.toml:6:", "is not a number"]),
        ("format = 1", "format = 9", ["c.toml:1:10", "known is 1"]),
        ("format = 1", "", ['"format" is missing', "Write format = 1"]),
        ('{ name = "out" }', '{ name = "uot" }', ["between", 'Name two ports "in" and "out"']),
        ('{ name = "out" }', '{ name = "in" }', ["twice"]),
        ('{ name = "out" }', '{ name = "out", thread = "G 1/5" }', ["c.toml:5:", 'unknown thread "G 1/5"', "G1/"]),
        ('{ name = "out" }', '{ name = "out", axis = "up" }', ["known words"]),
        ('kind = "pump"', 'kind = "pump"\nwetted = ["coper"]', ['Did you mean "copper"?']),
        (
            'kind = "pump"',
            'kind = "pump"\nmax_presure = "50 kPa"',
            ['unknown key "max_presure"', 'Did you mean "max_pressure"?'],
        ),
        ('kind = "pump"', 'kind = "pump"\nmax_pressure = 50', ["has no unit", "Write"]),
        ('kind = "pump"', 'kind = "pump"\nmass = "-1 kg"', ["c.toml:5:", "below zero"]),
        ('kind = "pump"', 'kind = "pump"\nlike = "p"', ["is like itself: p -> p", "Break the circle"]),
        ('kind = "pump"', 'kind = "pump"\nlike = "q"', ['is like "q", which is no card']),
    ],
)
def test_a_bad_card_is_said_with_place_and_way_out(old, new, words):
    said = "\n".join(faults(PUMP.replace(old, new)))
    for word in words:
        assert word in said, said
    assert "Traceback" not in said


def test_all_faults_of_a_file_come_at_once():
    text = PUMP.replace('id = "p"', 'id = "p"\nmass = "1 furlong"\nprice = "cheap"\nstrange = 1')
    said = faults(text)
    assert len(said) == 3
    assert [line.split(":")[1] for line in said] == ["4", "5", "6"]


def test_a_circle_of_cards_is_named():
    text = (
        'format = 1\n[[card]]\nid = "a"\nlike = "b"\n[[card]]\nid = "b"\nlike = "c"\n[[card]]\nid = "c"\nlike = "a"\n'
    )
    assert any("a -> b -> c -> a" in line for line in faults(text))


def test_like_takes_over_what_a_card_does_not_state():
    text = PUMP + '[[card]]\nid = "q"\nlike = "p"\nmass = "1 kg"\n'
    cards = read_cards([parse_toml(text, "c.toml")])
    assert cards["q"].curve == cards["p"].curve
    assert float(cards["q"].mass_kg) == 1.0
    assert cards["p"].mass_kg is None


@pytest.mark.parametrize(
    ("loss", "words"),
    [
        ('{ flow = "L/h", loss = "kPa", points = [[100, 5], [200, 4]] }', "does not rise"),
        ('{ flow = "L/h", loss = "kPa", points = [[100, 1], [200, 16]] }', "flow^4.00"),
        ("{ points = [[100, 5]] }", "units are missing"),
        ("{ k = 1.2 }", "K without a bore"),
        ('{ k = 1.2, bore = "9 mm", kv = "1 m3/h" }', "exactly one way"),
        ('{ shape = "knot", bore = "9 mm" }', 'unknown shape "knot"'),
        ("{ }", "exactly one way"),
    ],
)
def test_a_loss_is_stated_in_one_way_and_rises(loss, words):
    text = f'format = 1\n[[card]]\nid = "f"\nkind = "filter"\nport = [{{ name = "in" }}, {{ name = "out" }}]\nloss = {loss}\n'
    assert any(words in line for line in faults(text))


@pytest.mark.parametrize("does", [("pump", "pump"), ("heat", None)])
def test_one_channel_works_and_does_what_its_kind_does(does):
    ways = ", ".join(f'{{ from = "in", to = "out"{f", does = {chr(34)}{d}{chr(34)}" if d else ""} }}' for d in does)
    assert any("channels that do" in line for line in faults(PUMP + f"channel = [{ways}]\n"))


def test_the_loss_of_a_card_goes_to_its_working_channel():
    text = PUMP.replace('kind = "pump"', 'kind = "block"\nloss = { k = 2, bore = "9 mm" }').split("curve =")[0]
    text += 'channel = [{ from = "in", to = "out", does = "heat" }]\n'
    (channel,) = read_cards([parse_toml(text, "c.toml")])["p"].channels()
    assert channel.loss is not None


def test_pump_curves_at_two_speeds_meet_by_affinity():
    """A curve measured at half speed is the same pump: Q / s, dp / s^2. Affinity laws, common practice, no source."""
    half = PUMP.replace(
        "points = [[0, 38], [750, 28.5], [1500, 0]]", 'speed = "50 %", points = [[0, 9.5], [375, 7.125], [750, 0]]'
    )
    one, two = (read_cards([parse_toml(text, "c")])["p"].fit() for text in (PUMP, half))
    flow = float(read_figure("500 L/h", Kind.FLOW))
    assert one.head_pa(flow) == pytest.approx(two.head_pa(flow), rel=1e-12)
