"""Stacks, vents and what goes with them in a build file: what is refused, what is taken when nothing is said.

All numbers are invented.
"""

from pathlib import Path

import pytest
from checkers.small_build import BUILD, cards
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import BadInput
from headrace.loop.loader import MORE, load_build, parse_build
from headrace.loop.override import override_state
from headrace.loop.schema import build_schema
from headrace.parts.block import Block
from headrace.parts.loader import load_catalogue
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.vessel import Reservoir

CARDS = {**load_catalogue(), **cards()}
EXAMPLES = Path(__file__).parents[3] / "examples"
AIR = 'air = "120 m3/h"'  # the last line of the stack "front" in BUILD
SECOND = '[[part]]\nid = "rad2"\ncard = "radiator"\n'
BOARD = '[[part]]\nid = "board"\ncard = "board"\n'
VENT = '[[vent]]\nid = "rear"\nfan = "fan-120"\nfans = 2\nblows = "out"\n'
SLOTS = '[[vent]]\nid = "slots"\narea = "60 cm2"\n'


def build(stack="", more=""):
    """The small build with lines added to its stack and tables after it."""
    return parse_build(BUILD.replace(AIR, f"{AIR}\n{stack}") + more, "build.toml", CARDS)


def faults(stack="", more=""):
    with pytest.raises(BadInput) as caught:
        build(stack, more)
    return [str(fault) for fault in caught.value.faults if fault.found != MORE]


# --- stacks -----------------------------------------------------------------------------------------------------------


def test_a_stack_that_says_nothing_breathes_room_air_and_blows_into_the_room():
    (stack,) = build().stacks
    assert (stack.behind, stack.screens, stack.out) == ((), (), "room")
    assert float(stack.recirculated_frac) == 0.0
    assert [(inlet.from_, float(inlet.share_frac), float(inlet.plus_k)) for inlet in stack.inlets] == [("room", 1, 0)]


def test_what_a_stack_says_is_kept():
    text = (
        'behind = ["rad2"]\nscreens = ["filter-mesh", "grille-stamped"]\nrecirculated = "10 %"\nout = "case"\n'
        'inlet = [{ from = "case", share = "70 %" }, { share = "20 %", plus = "1 K" }]\n'
    )
    (stack,) = build(text, SECOND).stacks
    assert stack.radiators == ("rad", "rad2")
    assert stack.behind[0].card is CARDS["radiator"]
    assert [screen.id for screen in stack.screens] == ["filter-mesh", "grille-stamped"]
    assert (float(stack.recirculated_frac), stack.out) == (0.1, "case")
    assert [(inlet.from_, float(inlet.share_frac)) for inlet in stack.inlets] == [("case", 0.7), ("room", 0.2)]


@pytest.mark.parametrize(
    ("mount", "fans", "all_fans", "abreast"),
    [("push", None, 2, 2), ("pull", None, 2, 2), ("push-pull", None, 4, 2), ("push-pull", 2, 2, 1), ("push", 1, 1, 1)],
)
def test_fans_count_all_fans(mount, fans, all_fans, abreast):
    more = '[[part]]\nid = "two"\ncard = "radiator-240-30"\n[[stack]]\nid = "top"\nradiator = "two"\n'
    more += f'mount = "{mount}"\n' + (f"fans = {fans}\n" if fans is not None else "")
    stack = build(more=more).stacks[1]
    assert (stack.fans, stack.fans_abreast) == (all_fans, abreast)


def test_fans_of_a_radiator_that_states_no_places_are_unknown():
    (stack,) = build('mount = "push-pull"').stacks
    assert (stack.fans, stack.fans_abreast) == (None, None)


@pytest.mark.parametrize(
    ("stack", "words"),
    [
        ('behind = ["cpu"]', ["build.toml:35:10", '"cpu" is no radiator']),
        ('behind = ["rad"]', ['"rad" stands in two places', "A radiator stands once"]),
        ('behind = ["rad3"]', ['there is no part "rad3"', 'Did you mean "rad"?']),
        ('screens = ["fan-120"]', ["build.toml:35:11", 'card "fan-120" is a fan', "Name the card of a screen"]),
        ('screens = ["filter-mess"]', ['Did you mean "filter-mesh"?']),
        ('recirculated = "95 %"', ["build.toml:35:16", "limit 90 %", "cannot breathe only its own exhaust"]),
        ('recirculated = "100 %"', ["limit 90 %"]),
        ('out = "outside"', ["known words"]),
        ('mount = "push-pull"\nfans = 3', ["build.toml:36:8", "3 fans in push-pull", "an even number is wanted"]),
        ('fans = 3\nmount = "push-pull"', ["build.toml:35:8", "3 fans in push-pull"]),
        ('inlet = { from = "front" }', ["build.toml:35:18", "breathes its own exhaust", 'recirculated = "10 %"']),
        ('inlet = { from = "top" }', ["build.toml:35:18", 'there is no stack "top"', "case"]),
        ('inlet = { from = "room", shre = "20 %" }', ['unknown key "shre"', 'Did you mean "share"?']),
        ('inlet = [{ from = "rom", share = "50 %" }]', ["build.toml:35:19", 'Did you mean "room"?']),
        (
            'inlet = [{ share = "60 %" }, { from = "case", share = "50 %" }]',
            ["shares of 110 %", "limit 100 %", "Lower"],
        ),
        ('inlet = [{ share = "10 %" }, { share = "5 %" }]', ['"room" is there twice', "one table for each source"]),
        ("inlet = []", ["at least 1"]),
        ('inlet = "room"', ["'room' is not a table"]),
    ],
)
def test_a_bad_stack_is_said(stack, words):
    said = "\n".join(faults(stack))
    for word in words:
        assert word in said, said


def test_the_faults_of_one_stack_come_at_once():
    said = faults(
        'mount = "push-pull"\nfans = 3\nrecirculated = "95 %"\nout = "out"\n'
        'inlet = [{ share = "60 %" }, { from = "case", share = "50 %" }]'
    )
    assert [line.split(":")[1] for line in said] == ["36", "37", "38", "39"], said


def test_a_radiator_of_another_stack_does_not_stand_behind():
    more = SECOND + '[[stack]]\nid = "top"\nradiator = "rad2"\nbehind = ["rad"]\n'
    (said,) = faults(more=more)
    assert 'stack "top": "rad" stands in two places' in said


@given(st.lists(st.integers(0, 60), min_size=1, max_size=4))
def test_shares_add_up_to_the_whole_at_most(shares):
    more = "".join(f'[[part]]\nid = "r{i}"\ncard = "radiator"\n' for i in range(3))
    more += "".join(f'[[stack]]\nid = "s{i}"\nradiator = "r{i}"\n' for i in range(3))
    tables = ", ".join(
        f'{{ from = "{source}", share = "{share} %" }}'
        for source, share in zip(("case", "s0", "s1", "s2"), shares, strict=False)
    )
    if sum(shares) > 100:
        assert f"shares of {sum(shares)} %" in faults(f"inlet = [{tables}]", more)[0]
    else:
        assert len(build(f"inlet = [{tables}]", more).stacks[0].inlets) == len(shares)


@given(st.sets(st.tuples(st.integers(0, 3), st.integers(0, 3)).filter(lambda pair: pair[0] != pair[1]), max_size=7))
def test_stacks_breathe_one_another_in_no_ring(pairs):
    """Refused is every stack that its own air comes back to, and no other. Floyd and Warshall's closure, by definition."""
    text = ""
    for i in range(4):
        sources = [f'{{ from = "s{j}", share = "25 %" }}' for here, j in sorted(pairs) if here == i]
        inlet = f"inlet = [{', '.join(sources)}]\n" if sources else ""
        text += f'[[part]]\nid = "r{i}"\ncard = "radiator"\n[[stack]]\nid = "s{i}"\nradiator = "r{i}"\n{inlet}'
    reach = set(pairs)
    for k in range(4):
        reach |= {(i, j) for i in range(4) for j in range(4) if (i, k) in reach and (k, j) in reach}
    ring = [i for i in range(4) if (i, i) in reach]
    if ring:
        said = faults(more=text)
        assert [line.split('"')[1] for line in said] == [f"s{i}" for i in ring]
        assert all("through other stacks" in line for line in said)
    else:
        assert len(build(more=text).stacks) == 5


def test_case_air_closes_no_ring():
    more = SECOND + '[[stack]]\nid = "top"\nradiator = "rad2"\ninlet = { from = "case" }\nout = "case"\n'
    assert len(build('inlet = { from = "case" }\nout = "case"', more).stacks) == 2


# --- vents ------------------------------------------------------------------------------------------------------------


def test_a_vent_has_fans_or_is_an_opening():
    more = VENT + SLOTS + '[[vent]]\nid = "front-in"\nair = "60 m3/h"\nblows = "in"\nscreens = "filter-mesh"\n'
    rear, slots, front = build(more=more).vents
    assert (rear.fan.id, rear.fans, rear.blows, rear.area_m2) == ("fan-120", 2, "out", None)
    assert (slots.fan, slots.fans, slots.blows) == (None, 0, None)
    assert float(slots.area_m2) == pytest.approx(60e-4)
    assert (front.fan, front.fans, [screen.id for screen in front.screens]) == (None, 1, ["filter-mesh"])
    assert float(front.air_m3_s) == pytest.approx(60 / 3600)


@pytest.mark.parametrize(
    ("vent", "words"),
    [
        ('id = "a"\nfan = "fan-120"', ['vent "a"', "which way its fans blow", 'Write blows = "in"']),
        ('id = "a"\nair = "60 m3/h"', ["which way its fans blow"]),
        ('id = "a"\nblows = "in"', ["neither fans nor an opening", 'area = "60 cm2"']),
        ('id = "a"\nfan = "fan-120"\nblows = "in"\narea = "60 cm2"', ["build.toml:46:8", "an area beside fans"]),
        ('id = "a"\narea = "60 cm2"\nblows = "in"', ["build.toml:45:9", "blows of an opening", "Leave blows out"]),
        ('id = "a"\narea = "60 cm2"\nfans = 2', ["fans of an opening"]),
        ('id = "a"\narea = "0 cm2"', ["is zero"]),
        ('id = "a"\narea = "60 cm"', ["an area is wanted"]),
        (
            'id = "a"\nfan = "filter-mesh"\nblows = "in"',
            ['card "filter-mesh" is an air-filter', "Name the card of a fan"],
        ),
        ('id = "a"\narea = "60 cm2"\nscreens = ["fan-120"]', ["Name the card of a screen"]),
        (
            'id = "a"\nfan = "fan-120"\nblows = "in"\nfans = 0',
            ["fans: 0 is out of reason, limit at least 1", "Write 1 or more"],
        ),
        ('id = "front"\narea = "60 cm2"', ['vent "front": is there twice', "first at build.toml:31:1"]),
        ('id = "pump"\narea = "60 cm2"', ["is called like a pump", "rename"]),
        ('id = "case"\narea = "60 cm2"', ['"case" means the air of the case']),
    ],
)
def test_a_bad_vent_is_said(vent, words):
    said = "\n".join(faults(more=f"[[vent]]\n{vent}\n"))
    for word in words:
        assert word in said, said


def test_leads_and_speeds_may_name_a_vent_with_fans():
    more = BOARD + VENT + '[[lead]]\npart = "rear"\nto = "board.fan-1"\n'
    more += '[[state]]\nname = "two"\nroom = "24 °C"\nspeed = { rear = "50 %" }\nfans_out = { rear = 2, front = 0 }\n'
    loop = build(more=more)
    assert loop.leads[0].part == "rear"
    state = loop.state("two")
    assert float(state.speed["rear"]) == 0.5
    assert state.fans_out == {"rear": 2, "front": 0}


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('[[lead]]\npart = "slots"\nto = "board.fan-1"', ['vent "slots" has no fan', "It is an opening"]),
        ('[[lead]]\npart = "rere"\nto = "board.fan-1"', ['no pump, stack or vent "rere"', 'Did you mean "rear"?']),
        ('speed = { slots = "100 rpm" }', ['vent "slots" has no fan']),
        ('speed = { rere = "100 rpm" }', ['no pump, stack or vent "rere"']),
        ('speed = { rear = "9000 rpm" }', ['state "two": rear', "above full speed", "limit 1850 rpm"]),
        ('speed = { front = "50 %" }', ["no card states the full speed"]),
        ("fans_out = { rear = 3 }", ['state "two": rear: 3 fans out', "limit 2"]),
        ("fans_out = { rear = -1 }", ["fans_out.rear", "-1 is out of reason, limit at least 0"]),
        ("fans_out = { rear = 1.5 }", ["1.5 is not a whole number"]),
        ("fans_out = { slots = 1 }", ['vent "slots" has no fan']),
        ("fans_out = { pump = 1 }", ['"pump" is a pump', 'speed = { pump = "0 %" }']),
        ("fans_out = { cpu = 1 }", ['no pump, stack or vent "cpu"']),
        ('case_heat = "90 K"', ["a heat or power is wanted"]),
        ("case_heat = 90", ["90 has no unit"]),
    ],
)
def test_what_names_no_fan_is_said(table, words):
    state = "" if table.startswith("[[") else '[[state]]\nname = "two"\nroom = "24 °C"\n'
    said = "\n".join(faults(more=BOARD + VENT + SLOTS + state + table + "\n"))
    for word in words:
        assert word in said, said


def test_a_stack_with_a_fault_is_not_called_unknown_where_it_is_named():
    more = BOARD + '[[lead]]\npart = "front"\nto = "board.fan-1"\n'
    more += '[[state]]\nname = "two"\nroom = "24 °C"\nspeed = { front = "500 rpm" }\nfans_out = { front = 1 }\n'
    text = BUILD.replace('radiator = "rad"', 'radiator = "rat"') + more
    with pytest.raises(BadInput) as caught:
        parse_build(text, "build.toml", CARDS)
    (said,) = caught.value.faults
    assert 'there is no part "rat"' in str(said)
    (said,) = faults('out = "outside"', more)
    assert "known words" in said


# --- states, limits, parts --------------------------------------------------------------------------------------------


def test_settings_know_case_heat_and_vents():
    loop = build(more=VENT + SLOTS)
    assert loop.state().case_heat_w is None
    state = override_state(loop, loop.state(), ["case_heat=90 W", "rear.speed=800 rpm"])
    assert (float(state.case_heat_w), float(state.speed["rear"])) == (90.0, pytest.approx(800 / 60))
    for setting, words in (
        ("slots.speed=800 rpm", 'there is no "slots.speed" to set'),
        ("rear.speed=2000 rpm", "above full speed"),
        ("case_heat=90", "has no unit"),
    ):
        with pytest.raises(BadInput, match=words):
            override_state(loop, loop.state(), [setting])


def test_background_and_mounting_are_kept():
    text = BUILD.replace('card = "pump"', 'card = "pump"\nmounting = "soft"') + '[limits]\nbackground = "16 dBA"\n'
    loop = parse_build(text, "build.toml", CARDS)
    assert (loop.part("pump").mounting, loop.part("cpu").mounting) == ("soft", None)
    assert float(loop.limits.background_db) == 16.0


def test_only_a_pump_is_mounted():
    with pytest.raises(BadInput, match='part "cpu": card "block" is no pump'):
        parse_build(BUILD.replace('card = "block"', 'card = "block"\nmounting = "soft"'), "build.toml", CARDS)


def test_a_level_change_among_the_thresholds_is_in_db():
    assert build().thresholds("soft_mount") == 7.5
    assert build(more='[thresholds]\nsoft_mount = "5 dB"\n').thresholds("soft_mount") == 5.0
    (said,) = faults(more='[thresholds]\nsoft_mount = "5 dBA"\n')
    assert 'Write for example "5 dB"' in said
    assert build().thresholds("assumed_case_leak") == pytest.approx(30e-4)


def test_the_schema_takes_one_inlet_or_a_list_and_knows_vents():
    definitions = build_schema()["$defs"]
    forms = definitions["StackEntry"]["properties"]["inlet"]["anyOf"]
    assert {form.get("type", "table") for form in forms} == {"array", "table"}
    assert {"id", "fan", "blows", "area"} <= set(definitions["VentEntry"]["properties"])
    assert definitions["RunEntry"]["properties"]["from_with"]["anyOf"][0] == {"type": "string"}


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.iterdir()))
def test_examples_say_what_sound_and_warming_need(name):
    loop = load_build(EXAMPLES / name)
    for part in loop.parts:
        if isinstance(part.card, Pump | Block | Radiator | Reservoir):
            assert part.card.mass_kg is not None, part.id
            assert part.card.volume_m3 is not None, part.id
        if isinstance(part.card, Pump):
            assert part.card.sound is not None
            assert part.card.sound.mounting == part.mounting, "the level is that of the pump as it is mounted here"
    assert (loop.limits.background_db is not None) == (name in ("quiet-studio", "studio-cured"))


# --- out of reason ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["air", "air_per_fan"])
def test_more_air_than_any_stack_moves_is_refused(key):
    more = f'{SECOND}[[stack]]\nid = "top"\nradiator = "rad2"\n{key} = "{{}}"\n'
    (said,) = faults(more=more.format("150 m3/s"))
    assert '"150 m3/s" is out of reason, limit 0 to 50000 m³/h' in said
    assert "another unit" in said
    build(more=more.format("50000 m3/h"))


def test_air_from_a_vent_comes_through_the_case():
    (said,) = faults('inlet = { from = "rear" }', VENT)
    assert '"rear" is a vent' in said
    assert 'Write from = "case".' in said


def test_a_lead_to_a_board_that_is_not_there_says_so():
    (said,) = faults(more='[[lead]]\npart = "pump"\nto = "bord.fan-1"\n' + BOARD)
    assert 'there is no part "bord"' in said
    assert 'Did you mean "board"?' in said
    (said,) = faults(more='[[lead]]\npart = "pump"\nto = "cpu.fan-1"\n' + BOARD)
    assert '"cpu" is no board, power supply or hub' in said
