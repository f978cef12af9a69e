"""The build file: what is refused and how it is said; nothing is lost, everything at once."""

import pytest
from checkers.small_build import BUILD, cards, small

from headrace.errors import BadInput
from headrace.loop.loader import MORE, parse_build
from headrace.loop.route import stated_route


def faults(text):
    with pytest.raises(BadInput) as caught:
        parse_build(text, "build.toml", cards())
    return [str(fault) for fault in caught.value.faults if fault.found != MORE]


def test_an_order_expands_to_runs_round_the_loop():
    ends = [(run.from_port, run.to_port) for run in small().runs]
    assert ends == [("vessel.out", "pump.in"), ("pump.out", "cpu.in"), ("cpu.out", "rad.in"), ("rad.out", "vessel.in")]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('length = "0.5 m"', 'length = "-0.5 m"', ["build.toml:9:10", "below zero"]),
        ('length = "0.5 m"', "length = 500", ["build.toml:9:10", "has no unit", 'Write "500 mm"']),
        ('length = "0.5 m"', 'length = "0,5 m"', ['Write "0.5 m"']),
        ('length = "0.5 m"', 'length = "5 kPa"', ["is a pressure"]),
        ('card = "block"', 'card = "blok"', ["build.toml:21:8", 'Did you mean "block"?']),
        ('"cpu", "rad"]', '"cpu", "rat"]', ["build.toml:29:11", 'there is no part "rat"', 'Did you mean "rad"?']),
        ('id = "rad"', 'id = "cpu"', ["is there twice", "first at build.toml:19:1"]),
        ('limit = "90 °C"', 'limt = "90 °C"', ["build.toml:22:1", 'unknown key "limt"', 'Did you mean "limit"?']),
        ('air = "120 m3/h"', 'air = "120 m3/h"\nmount = "sideways"', ["known words"]),
        ('heat = { cpu = "280 W" }', 'heat = { gpu = "280 W" }', ["build.toml:39:10", 'there is no part "gpu"']),
        ('heat = { cpu = "280 W" }', 'heat = { cpu = "280 W", rad = "5 W" }', ['"rad" is no block']),
        ('pump = "60 %"', 'pump = "160 %"', ["build.toml:40:"]),
        ('pump = "60 %"', 'pump = "2880 rpm"', ["no card states the full speed", "Write it in %"]),
        ('name = "load"', 'name = "all"', ["means every state"]),
        ('room = "24 °C"', 'room = "25 °C ± 300 K"', ["build.toml:38:8", "is hardly known, limit ± 10 K"]),
        ('room = "24 °C"', 'room = "25 °C ± 10.1 K (max)"', ["limit ± 10 K"]),
        ('room = "24 °C"', 'room = "-40.1 °C"', ["a room lies between"]),
        ('room = "24 °C"', 'room = "60.1 °C"', ["a room lies between"]),
        ('heat = { cpu = "280 W" }', 'heat = { cpu = "280 W ± 300 %" }', ["build.toml:39:16", "limit ± 100 %"]),
        ('room = "24 °C"', 'room = "24 K"', ["build.toml:38:8", "a room lies between", 'Write for example "24 °C ']),
        ('room = "24 °C"', "", ['state "load"', '"room" is missing']),
        ('base = "water"', 'base = "ethanol"', ["build.toml:5:8", "known words"]),
        ('base = "water"', 'base = "propylene glycol"', ["without a fraction", "25 vol%"]),
        ('tube = "tube"', 'tube = "pump"', ['card "pump" is a pump', "Name the card of a tube"]),
        ("[[stack]]", "[[stak]]", ['unknown key "stak"', 'Did you mean "stack"?']),
        ("[[stack]]", "[stack]", ["Write [[stack]] with two brackets"]),
        ('radiator = "rad"', 'radiator = "cpu"', ['"cpu" is no radiator']),
        ("format = 1", "format = true", ["build.toml:1:10", "known is 1"]),
        ("format = 1", 'format = "1"', ["build.toml:1:10", '"1" is text', "Write format = 1, without quotes"]),
        ("format = 1", "format = 2", ["build.toml:1:10", "A newer Headrace may read it"]),
        ('length = "0.5 m"', "length = 0.35", ["has no unit", 'Write "0.35 m"']),
        ('length = "0.5 m"', 'length = "0.35"', ["has no unit", 'Write "0.35 m"']),
        ('length = "0.5 m"', "length = nan", ['"nan" is not a finite number']),
        ('length = "0.5 m"', "length = inf", ['"inf" is not a finite number']),
        ('name = "small"', "name = 5", ["build.toml:2:8", "text in quotes"]),
    ],
)
def test_a_bad_build_is_said_with_place_and_way_out(old, new, words):
    assert old in BUILD
    said = "\n".join(faults(BUILD.replace(old, new)))
    for word in words:
        assert word in said, said


def test_all_faults_come_at_once_in_the_order_of_the_file():
    text = (
        BUILD.replace('base = "water"', 'bse = "water"')
        .replace('limit = "90 °C"', 'limit = "90"')
        .replace('"rad"]', '"rod"]')
    )
    said = faults(text)
    assert [line.split(":")[1] for line in said] == ["5", "22", "29"], said


def test_a_table_that_did_not_read_is_not_called_unknown_again():
    said = faults(BUILD.replace('card = "block"', "card = 5"))
    assert len(said) == 1, said
    assert 'part "cpu": card' in said[0]


def test_a_run_is_not_called_like_a_part():
    said = faults(BUILD + '[[run]]\nid = "cpu"\nfrom = "vessel.fill"\nto = "rad.in"\n')
    assert any("is called like a part" in line for line in said)


def test_a_port_takes_one_thing():
    text = BUILD + '[[run]]\nfrom = "cpu.out"\nto = "vessel.fill"\n'
    (said,) = faults(text)
    assert 'port "cpu.out" is used twice' in said
    assert "splitter" in said


def test_a_run_to_nowhere_is_said():
    (said,) = faults(BUILD + '[[run]]\nfrom = "cpu.uot"\nto = "vessel.fill"\n')
    assert '"cpu" has no port "uot"' in said
    assert 'Did you mean "out"?' in said


def test_stacks_that_breathe_each_other_in_a_ring_are_refused():
    more = '[[part]]\nid = "rad2"\ncard = "radiator"\n[[stack]]\nid = "top"\nradiator = "rad2"\nair = "100 m3/h"\ninlet = { from = "front" }\n'
    ring = BUILD.replace('air = "120 m3/h"', 'air = "120 m3/h"\ninlet = { from = "top" }') + more
    assert any("own exhaust" in line for line in faults(ring))
    parse_build(BUILD + more, "build.toml", cards())


def test_thresholds_are_overridden_and_checked():
    loop = small(more='[thresholds]\ncollar_gap = "1.5 mm"\n')
    assert loop.thresholds("collar_gap") == pytest.approx(1.5e-3)
    assert loop.thresholds["collar_gap"].overridden
    assert 'Did you mean "collar_gap"?' in faults(BUILD + '[thresholds]\ncolar_gap = "1 mm"\n')[0]
    assert "has no unit" in faults(BUILD + "[thresholds]\ncollar_gap = 1\n")[0]


@pytest.mark.parametrize("text", ['"nan"', '"inf"', '"-1"', '"0"', '"1e9"', '"much"'])
def test_a_factor_that_would_switch_a_check_off_is_refused(text):
    (said,) = faults(BUILD + f"[thresholds]\nstart_allowance = {text}\n")
    assert 'The usual one is "1.5"' in said or 'Write for example "1.5"' in said


def test_a_run_says_whether_its_length_was_drawn_stated_or_assumed():
    path = '[[run]]\nfrom = "vessel.fill"\nto = "cpu.in"\npath_mm = [[0, 0, 0], [100, 0, 0], [100, 100, 0]]\nbend_radius = "30 mm"\n'
    text = BUILD.replace('length = "0.5 m"\n', "").replace(
        'through = ["vessel", "pump", "cpu", "rad"]', 'through = ["vessel", "pump"]\nclosed = false'
    )
    loop = parse_build(text + path, "build.toml", cards())
    first, second = stated_route(loop).paths.values()
    assert (second.origin, first.origin) == ("assumed", "path")
    # 200 mm less the corner saving of one 90 degree bend of R 30: 12.876 mm, computed with own script from 2 R tan(45) - R pi/2
    assert first.length_m == pytest.approx(0.200 - 0.012876, abs=1e-6)
    assert len(first.bends) == 1


@pytest.mark.parametrize("room", ["-40 °C", "-40 °F", "60 °C", "140 °F", "25 °C ± 10 K"])
def test_the_ends_of_a_room_belong_to_it(room):
    (state,) = parse_build(BUILD.replace('room = "24 °C"', f'room = "{room}"'), "build.toml", cards()).states
    assert state.room_k.text == room


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ('coolant = "45 K"', ["out of reason", "limit 0.0 to 150.0 °C", "another unit"]),
        ('coolant = "151 °C"', ["out of reason"]),
        ('noise = "30 dBA"\nnoise_at = "1 mm"', ["noise_at", "limit 0.05 to 20.00 m", 'Write for example "1 m"']),
        ('noise = "30 dBA"\nnoise_at = "21 m"', ["out of reason"]),
        ("noise_at = 1", ['Write "1 m"']),
        ("noise_at = 600", ['Write "600 mm"']),
    ],
)
def test_a_limit_out_of_reason_is_refused(limits, words):
    (said,) = faults(BUILD + f"[limits]\n{limits}\n")
    for word in words:
        assert word in said, said


@pytest.mark.parametrize("limits", ['coolant = "0 °C"', 'coolant = "302 °F"', 'noise_at = "20 m"', 'noise_at = "5 cm"'])
def test_the_ends_of_a_limit_belong_to_it(limits):
    loop = parse_build(BUILD + f"[limits]\n{limits}\n", "build.toml", cards())
    key, _, text = limits.partition(" = ")
    assert getattr(loop.limits, {"coolant": "coolant_k", "noise_at": "noise_at_m"}[key]).text == text.strip('"')


@pytest.mark.parametrize(
    ("old", "new", "more"),
    [
        ('limit = "90 °C"', 'limit = "90"', True),
        ('tube = "tube"', "tube = 5", True),
        ('base = "water"', 'base = "ethanol"', False),  # the coolant names nothing
        ('"cpu", "rad"]', '"cpu", "rat"]', False),
    ],
)
def test_the_last_line_says_when_more_may_follow(old, new, more):
    assert old in BUILD
    with pytest.raises(BadInput) as caught:
        parse_build(BUILD.replace(old, new), "build.toml", cards())
    said = [str(fault) for fault in caught.value.faults]
    assert ("build.toml: more may follow once these are cured." in said) is more
    assert not more or said[-1].endswith("once these are cured.")
