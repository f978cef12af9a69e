"""Edits of a file: only the value meant changes."""

import json

import pytest
import tomlkit
from checkers.small_build import BUILD, cards, small
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import BadInput
from headrace.loop.edit import save_text, set_value
from headrace.loop.override import override_state
from headrace.loop.schema import build_schema, card_schema

ODD = "# head\r\nformat = 1   # one\r\n\r\n[a]\r\nb = 'x'\t# tab\r\nc = [1,   2, # two\r\n 3]\r\n\r\n\r\n[[d]]\r\ne = { f = 1 , g = 2 }\r\n"


@pytest.mark.parametrize("text", [BUILD, ODD, "", "# only a comment\n"])
def test_round_trip_is_byte_exact(text):
    assert tomlkit.dumps(tomlkit.parse(text)) == text


@given(st.text(max_size=20).filter(lambda t: "\r" not in t))
def test_only_the_line_meant_differs(value):
    after = set_value(BUILD, ("part", 2, "limit"), value)
    old, new = BUILD.split("\n"), after.split("\n")
    assert [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if a != b] in ([21], [])
    assert tomlkit.parse(after)["part"][2]["limit"] == value


def test_comments_and_line_ends_survive():
    after = set_value(ODD, ("a", "b"), "y")
    assert after == ODD.replace("'x'", '"y"')


def test_saving_replaces_the_file_whole_and_leaves_no_scraps(tmp_path):
    path = tmp_path / "build.toml"
    save_text(path, "one")
    save_text(path, "two\r\nlines")
    assert path.read_bytes() == b"two\r\nlines"
    assert [p.name for p in tmp_path.iterdir()] == ["build.toml"]


def test_settings_change_one_state_and_leave_the_loop_alone():
    loop = small()
    state = override_state(loop, loop.state(), ["pump.speed=100%", "cpu.heat = 200 W", "room=30 °C"])
    assert (float(state.speed["pump"]), float(state.heat_w["cpu"]), float(state.room_k)) == (1.0, 200.0, 303.15)
    assert float(loop.state().speed["pump"]) == 0.6


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ("pump.sped=60%", 'Did you mean "pump.speed"?'),
        ("pump.speed", "is no setting"),
        ("pump.speed=60", "has no unit"),
        ("pump.speed=fast", "--set pump.speed=fast"),
        ("pump.speed=3000 rpm", "Write it in %"),
        ("front.speed=50%", "Write it in rpm"),
        ("cpu.heat=5 K", "is a temperature"),
        ("room=24 K", "a room lies between"),
        ("altitude=50000 m", "is no altitude"),
        ("rad.heat=5 W", 'there is no "rad.heat"'),
    ],
)
def test_a_bad_setting_is_said(setting, words):
    loop = small()
    with pytest.raises(BadInput, match=words.replace("?", r"\?").replace(".", r"\.")):
        override_state(loop, loop.state(), [setting])


def test_the_schemas_are_json_and_know_the_keys_of_the_files():
    build, card = build_schema(), card_schema()
    json.dumps([build, card])
    assert {"part", "run", "order", "stack", "state"} <= set(build["properties"])
    assert "at_mm" in build["$defs"]["PartEntry"]["properties"]
    assert "bore" in card["$defs"]["Tube"]["properties"]
    assert cards()
