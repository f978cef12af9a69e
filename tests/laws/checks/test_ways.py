"""Which way the water goes, what shares it and what hangs on an outlet, where the loop files are too small."""

from pathlib import Path

import pytest

from headrace.checks.build import solve_build
from headrace.checks.current import feeds
from headrace.checks.finding import Finding, Severity, Skipped
from headrace.checks.rules import collar_gap, metal_step, outlet_current, pump_feed
from headrace.checks.wetted import water_loops, wetted
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def cards():
    return load_cards([HERE / "parts.toml"], {})


@pytest.fixture
def build(cards):
    return lambda text: solve_build(parse_build("format = 1\n" + text, "build.toml", cards))


def parts(**cards):
    return "".join(f'[[part]]\nid = "{id_}"\ncard = "{card}"\n' for id_, card in cards.items())


DEFAULTS = '[defaults]\ntube = "soft-10-16"\nfitting = "collar-10-16"\nlength = "0.4 m"\n'
COOLED = '[[stack]]\nid = "top"\nradiator = "rad"\nair = "120 m3/h"\n'
STOPPED = '[[state]]\nname = "stopped"\nroom = "24 °C"\nspeed = { pump = "0 %" }\n'


def test_a_pump_that_stands_still_is_judged_as_the_file_is_written(build):
    loop = parts(tank="reservoir", pump="pump", rad="radiator") + COOLED + STOPPED
    wrong = build(DEFAULTS + loop + '[[order]]\nthrough = ["tank", "rad", "pump"]\n')
    right = build(DEFAULTS + loop + '[[order]]\nthrough = ["tank", "pump", "rad"]\n')
    assert wrong.solutions
    assert [finding.found for finding in pump_feed.run(wrong)] == ['radiator "rad"']
    assert list(pump_feed.run(right)) == []


@pytest.mark.parametrize(("fans", "each"), [(4, 0.44), (5, 0.66)])
def test_fans_on_two_headers_share_and_the_odd_one_counts_on_both(build, fans, each):
    text = (
        parts(rad="radiator", board="board")
        + f'[[stack]]\nid = "top"\nradiator = "rad"\nfan = "fan-120"\nfans = {fans}\n'
    )
    text += '[[lead]]\npart = "top"\nto = "board.fan-header"\n[[lead]]\npart = "top"\nto = "board.pump-header"\n'
    assert [feed.draws[0].current_a for feed in feeds(build(text).loop)] == pytest.approx([each, each])


def test_what_is_known_to_be_too_much_is_found_beside_what_is_unknown(build):
    text = parts(big="pump-23-w", some="vague-pump", board="board")
    text += '[[lead]]\npart = "big"\nto = "board.fan-header"\n[[lead]]\npart = "some"\nto = "board.fan-header"\n'
    (found,) = outlet_current.run(build(text))
    assert isinstance(found, Finding)
    assert found.check.severity is Severity.BEFORE_POWER


def test_loops_that_share_no_water_stand_apart(build):
    text = parts(a="reservoir", b="block", c="reservoir", d="block", lone="block")
    text += '[[run]]\nfrom = "a.out"\nto = "b.in"\n[[joint]]\nfrom = "d.in"\nto = "c.out"\n'
    loop = build(DEFAULTS + text).loop
    assert water_loops(loop) == (frozenset("ab"), frozenset("cd"))
    first, second = (wetted(loop, water) for water in water_loops(loop))
    assert [wet.card.id for wet in first] == ["reservoir", "block", "collar-10-16", "soft-10-16"]
    assert [wet.card.id for wet in second] == ["reservoir", "block"]


def test_aluminium_that_is_refused_already_is_not_named_again(build):
    text = parts(pump="pump-reservoir", cpu="block", rad="radiator-aluminium")
    text += '[[order]]\nthrough = ["pump", "cpu", "rad"]\n[coolant]\nadditives = ["inhibitor", "biocide"]\n'
    assert list(metal_step.run(build(DEFAULTS + text))) == []


def test_a_port_that_looks_an_unknown_way_is_skipped_whichever_of_the_two_it_is(cards):
    block = cards["block"]
    for blind in (0, 1):
        ports = tuple(p.model_copy(update={"axis": None}) if i == blind else p for i, p in enumerate(block.port))
        own = {**cards, "block": block.model_copy(update={"port": ports})}
        text = "format = 1\n" + DEFAULTS + parts(cpu="block") + '[[run]]\nfrom = "cpu.in"\nto = "cpu.out"\n'
        (result,) = collar_gap.run(solve_build(parse_build(text, "build.toml", own)))
        assert isinstance(result, Skipped)
        assert "axis" in result.reason


@pytest.mark.parametrize("apart_mm", [20, 21, 22, 23, 24])
@pytest.mark.parametrize("axis", ["+x", "-x", "+y", "-y", "+z", "-z"])
def test_height_along_the_axis_never_makes_room(cards, axis, apart_mm):
    along, across = "xyz".index(axis[1]), ("xyz".index(axis[1]) + 1) % 3
    block, gaps = cards["block"], []
    for lift in (0.0, 0.05, -0.4):
        at = [0.0, 0.0, 0.0]
        at[along], at[across] = lift, apart_mm / 1000
        ports = (
            block.port[0].model_copy(update={"axis": axis, "at_m": (0.0, 0.0, 0.0)}),
            block.port[1].model_copy(update={"axis": axis, "at_m": tuple(at)}),
        )
        own = {**cards, "block": block.model_copy(update={"port": ports})}
        text = "format = 1\n" + DEFAULTS + parts(cpu="block") + '[[run]]\nfrom = "cpu.in"\nto = "cpu.out"\n'
        gaps.append([finding.found for finding in collar_gap.run(solve_build(parse_build(text, "build.toml", own)))])
    assert gaps[0] == gaps[1] == gaps[2]
    assert bool(gaps[0]) is (apart_mm < 22)  # two collars of 21 mm and 1 mm between them
