"""What headers and plugs bear. No number here was read in its standard: each says where it is remembered from."""

import pytest

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding
from headrace.loop.loader import parse_build
from headrace.loop.thresholds import usual_thresholds
from headrace.parts.loader import load_cards
from headrace.parts.tables import connectors

# plug, A at 12 V when nobody states more, the most any of its kind bears, what it is made up of
BEARS = (
    ("fan header", 1.0, 3.0, "12 W / 12 V"),  # from memory of board manuals
    ("pump header", 2.0, 3.0, "2 to 3 A by the board"),  # from memory of board manuals
    ("drive plug", 3 * 1.5, 3 * 1.5, "three 12 V contacts of 1.5 A"),  # from memory of the Serial ATA power connector
    ("peripheral plug", 5.0, 10.0, "one contact; thin wire, good crimp"),  # from memory of wire tables
)
CARDS = """
format = 1
[[card]]
id = "pump-as-asked"
kind = "pump"
port = [{{ name = "in" }}, {{ name = "out" }}]
curve = {{ flow = "L/h", head = "kPa", points = [[0, 38], [1500, 0]] }}
current = "{ampere:.3f} A"
[[card]]
id = "feeder"
kind = "{kind}"
outlet = [{{ name = "outlet", plug = "{plug}"{limit} }}]
{more}
"""
BUILD = """
format = 1
[[part]]
id = "pump"
card = "pump-as-asked"
[[part]]
id = "feeder"
card = "feeder"
[[lead]]
part = "pump"
to = "feeder.outlet"
"""


@pytest.fixture
def findings(tmp_path):
    def find(id_, ampere, plug, *, kind="board", limit="", more=""):
        path = tmp_path / "cards.toml"
        path.write_text(CARDS.format(ampere=ampere, plug=plug, kind=kind, limit=limit, more=more), encoding="utf-8")
        build = solve_build(parse_build(BUILD, "build.toml", load_cards([path], {})))
        rule = next(rule for rule in RULES if id_ == rule.CHECK.id)
        return [result for result in rule.run(build) if isinstance(result, Finding)]

    return find


@pytest.mark.parametrize(("plug", "bears_a", "most_a", "_made_of"), BEARS)
def test_the_table_of_connectors_is_as_remembered(plug, bears_a, most_a, _made_of):
    row = connectors()[plug]
    assert (row.bears_a, row.most_a) == (bears_a, most_a)
    assert row.mark.startswith("from memory of ")


def test_no_other_connector_is_known():
    assert set(connectors()) == {plug for plug, *_ in BEARS}


@pytest.mark.parametrize(("plug", "bears_a", "most_a", "_made_of"), BEARS)
def test_a_plug_of_unknown_limit_bears_what_its_kind_does(findings, plug, bears_a, most_a, _made_of):
    assert findings("POWER-05", bears_a, plug) == []
    (found,) = findings("POWER-05", bears_a + 0.01, plug)
    assert found.limit == bears_a


@pytest.mark.parametrize(("plug", "bears_a", "most_a", "_made_of"), BEARS)
def test_no_card_makes_contacts_stronger(findings, plug, bears_a, most_a, _made_of):
    boast = ', max_current = "20 A"'
    assert findings("POWER-05", most_a, plug, limit=boast) == []
    (found,) = findings("POWER-05", most_a + 0.01, plug, limit=boast)
    assert found.limit == most_a


def test_a_hub_on_a_drive_plug_bears_4_5_a_in_all(findings):
    hub = {"kind": "fan-hub", "more": 'fed_by = "drive plug"'}
    assert findings("POWER-09", 4.5, "fan header", **hub) == []
    (found,) = findings("POWER-09", 4.51, "fan header", **hub)
    assert found.limit == pytest.approx(3 * 1.5)


def test_a_23_w_pump_needs_a_supply_of_its_own_to_fill(findings):
    (found,) = findings("POWER-08", 23 / 12, "pump header")  # 1.92 A; half as much again at the start, common practice
    assert "2.88 A" in found.fix
    assert findings("POWER-08", 23 / 12, "drive plug", kind="power-supply") == []


@pytest.mark.parametrize(
    ("name", "value_si"),
    [
        ("splitter_fans", 4),  # four fans of 0.22 A on 1 A; common practice, no source
        ("cable_reserve", 0.05),  # common practice, no source
        ("service_runs", 2),  # one in, one out; common practice, no source
        ("two_people", 15),  # "two people above 15 kg", common practice, no source
    ],
)
def test_what_the_trade_does(name, value_si):
    assert usual_thresholds()(name) == pytest.approx(value_si)
    assert usual_thresholds()[name].mark == "common practice, no source"
