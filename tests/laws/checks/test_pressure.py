"""The pressure of the pumps of one water: series adds, side by side does not, a reservoir holds the level."""

from pathlib import Path

import pytest

from headrace.checks.build import solve_build
from headrace.checks.pressure import shut_off_pa, static_pa
from headrace.checks.wetted import water_loops
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards
from headrace.physics.expansion import GRAVITY_M_S2

HERE = Path(__file__).parent
ONE_PA = 38e3  # the cards' curve at no flow, tested in water at 25 °C
DEFAULTS = '[defaults]\ntube = "soft-10-16"\nfitting = "collar-10-16"\nlength = "0.4 m"\n'
TEE = """[[card]]
id = "tee"
kind = "splitter"
port = [{ name = "a" }, { name = "b" }, { name = "c" }]
channel = [
  { from = "a", to = "b", loss = { shape = "90 mitre", bore = "9 mm" } },
  { from = "a", to = "c", loss = { shape = "90 mitre", bore = "9 mm" } },
]
"""


@pytest.fixture
def build(tmp_path):
    more = tmp_path / "more.toml"
    more.write_text("format = 1\n" + TEE)
    cards = load_cards([HERE / "parts.toml", more], {})
    return lambda text: solve_build(parse_build("format = 1\n" + text, "build.toml", cards))


def parts(**cards):
    return "".join(f'[[part]]\nid = "{id_}"\ncard = "{card}"\n' for id_, card in cards.items())


def order(*ids):
    return f"[[order]]\nthrough = {list(ids)}\n".replace("'", '"')


def run(from_, to):
    return f'[[run]]\nfrom = "{from_}"\nto = "{to}"\n'


def found_pa(built):
    (water,) = water_loops(built.loop)
    return shut_off_pa(built, water)


def test_one_pump_gives_its_own_pressure(build):
    text = DEFAULTS + parts(pump="pump-reservoir", cpu="block") + order("pump", "cpu")
    assert found_pa(build(text)) == pytest.approx(ONE_PA, rel=2e-3)


def test_without_a_pump_there_is_none(build):
    assert found_pa(build(DEFAULTS + parts(tank="reservoir", cpu="block") + order("tank", "cpu"))) is None


@pytest.mark.parametrize("tank", ["reservoir", "block"])
def test_pumps_in_series_add(build, tank):
    text = DEFAULTS + parts(tank=tank, one="pump", cpu="block", two="pump") + order("tank", "one", "cpu", "two")
    assert found_pa(build(text)) == pytest.approx(2 * ONE_PA, rel=2e-3)


def test_a_pump_after_a_pump_reservoir_adds(build):
    text = DEFAULTS + parts(one="pump-reservoir", cpu="block", two="pump") + order("one", "cpu", "two")
    assert found_pa(build(text)) == pytest.approx(2 * ONE_PA, rel=2e-3)


SIDE_BY_SIDE = [("split.b", "one.in"), ("split.c", "two.in"), ("one.out", "join.b"), ("two.out", "join.c")]


@pytest.mark.parametrize(("tank", "times"), [("reservoir", 1), (None, 2)])
def test_of_pumps_side_by_side_one_counts_where_a_reservoir_holds_the_level(build, tank, times):
    text = parts(one="pump", two="pump", split="tee", join="tee")
    text += parts(tank="reservoir") + run("tank.out", "split.a") + run("join.a", "tank.return") if tank else ""
    if tank is None:
        text = parts(one="pump", two="pump", split="tee", join="tee") + run("join.a", "split.a")
    text = DEFAULTS + text + "".join(run(*pair) for pair in SIDE_BY_SIDE)
    assert found_pa(build(text)) == pytest.approx(times * ONE_PA, rel=2e-3)


def test_heavier_coolant_is_pressed_harder(build):
    text = DEFAULTS + parts(pump="pump-reservoir", cpu="block") + order("pump", "cpu")
    glycol = '[coolant]\nbase = "ethylene glycol"\nfraction = "50 vol%"\n'
    assert found_pa(build(text + glycol)) > 1.05 * found_pa(build(text))


def test_standing_water_presses_by_its_height(build):
    text = DEFAULTS + '[[part]]\nid = "cpu"\ncard = "block"\nat_mm = [0, 0, 100]\n'
    text += '[[part]]\nid = "rad"\ncard = "radiator"\nat_mm = [0, 0, 412]\n' + order("cpu", "rad")
    loop = build(text).loop
    (water,) = water_loops(loop)
    assert static_pa(loop, ("cpu.in",), water) == pytest.approx(998.2 * GRAVITY_M_S2 * 0.3, rel=1e-3)
    assert static_pa(loop, ("rad.in",), water) == 0.0
    assert static_pa(loop, (), water) == 0.0


def test_a_part_without_place_may_stand_a_usual_loop_higher(build):
    text = DEFAULTS + parts(cpu="block", rad="radiator") + order("cpu", "rad")
    loop = build(text).loop
    (water,) = water_loops(loop)
    assert static_pa(loop, ("cpu.in",), water) == pytest.approx(998.2 * GRAVITY_M_S2 * 1.0, rel=1e-3)
