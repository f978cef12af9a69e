"""The command line as a person meets it: exit codes, JSON alone on stdout, bad input said and nothing written."""

import json
import subprocess
import sys

import pytest
from checkers.small_build import BUILD, CARDS

from headrace.cli.main import main


@pytest.fixture
def build(tmp_path):
    folder = tmp_path / "desk"
    (folder / "parts").mkdir(parents=True)
    (folder / "build.toml").write_text(BUILD, encoding="utf-8")
    (folder / "parts" / "own.toml").write_text(CARDS, encoding="utf-8")
    return folder


def files(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def run(capsys, *words):
    code = main([str(word) for word in words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_solve_says_flow_coolant_chip_and_how_well_it_closed(build, capsys):
    code, out, err = run(capsys, "solve", build)
    assert (code, err) == (0, "")
    for word in ("flow ", "L/h", "differs by", "cpu", "K/W", "share", "closed: ", "90 % bands", "chance of keeping"):
        assert word in out, out


def test_solve_json_has_the_keys_of_the_design_in_si(build, capsys):
    code, out, _ = run(capsys, "solve", build, "--json")
    found = json.loads(out)
    assert code == 0
    assert found["closure"]["mass_rel"] <= 1e-9
    assert found["closure"]["pressure_pa"] <= 0.01
    assert found["closure"]["energy_rel"] <= 1e-6
    for key in (
        "state",
        "flow_m3_s",
        "dp_pa",
        "coolant_temp_k",
        "part_temp_k",
        "margin_k",
        "heat_w",
        "air_flow_m3_s",
        "air_in_temp_k",
        "notes",
    ):
        assert key in found
    assert 300 < found["coolant_temp_k"]["cpu.out"] < 320
    assert set(found["part_temp_k"]) == {"cpu"}
    code, out, _ = run(capsys, "solve", build, "--json", "--state", "all")
    assert isinstance(json.loads(out), list)


def test_settings_move_the_answer(build, capsys):
    def found(*words):
        return json.loads(run(capsys, "solve", build, "--json", *words)[1])

    def chip(*words):
        return found(*words)["part_temp_k"]["cpu"]

    assert chip("--room", "34 °C") == pytest.approx(chip() + 10, abs=0.3)
    assert chip() < chip("--set", "cpu.heat=300 W")
    assert found()["flow_m3_s"]["cpu"] < found("--set", "pump.speed=100%")["flow_m3_s"]["cpu"]


def test_a_limit_exceeded_exits_1_and_json_stays_whole(build, capsys):
    code, out, _ = run(capsys, "solve", build, "--json", "--set", "cpu.heat=600 W")
    assert code == 1
    assert json.loads(out)["margin_k"]["cpu"] < 0


def test_too_little_flow_is_a_limit_exceeded(build, capsys):
    text = BUILD + '[limits]\nflow = "20 L/min"\n'
    (build / "build.toml").write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "solve", build)
    assert code == 1
    assert "BELOW the agreed" in out


def test_one_state_without_an_answer_does_not_hide_the_others(build, capsys):
    more = '[[state]]\nname = "off"\nroom = "24 °C"\nheat = { cpu = "280 W" }\nspeed = { pump = "0 %" }\n'
    (build / "build.toml").write_text(BUILD + more, encoding="utf-8")
    code, out, err = run(capsys, "solve", build, "--state", "all")
    assert code == 2
    assert "state load" in out
    assert 'state "off", part "cpu": gives 280 W to water that does not flow' in err
    one, two = json.loads(run(capsys, "solve", build, "--state", "all", "--json")[1])
    assert one["part_temp_k"]
    assert two["state"] == "off"
    assert two["faults"]


def test_heat_nobody_stated_is_never_a_pass(build, capsys):
    (build / "build.toml").write_text(BUILD.replace('heat = { cpu = "280 W" }\n', ""), encoding="utf-8")
    found = json.loads(run(capsys, "check", build, "--json")[1])
    skipped = {skip["check"] for skip in found["skipped"] if "gives no heat for cpu" in skip["reason"]}
    assert {"HEAT-01", "HEAT-02"} <= skipped


def test_explain_opens_down_to_formula_source_and_place(build, capsys):
    code, out, _ = run(capsys, "explain", build, "dp.cpu")
    assert code == 0
    for word in ("dp.cpu =", "dp = a (rho/rho_ref) Q |Q|", "[forchheimer-1901]", "Sources", "Forchheimer"):
        assert word in out, out
    names = json.loads(run(capsys, "explain", build, "--json")[1])
    assert {"coolant_rise", "flow.cpu", "part_temp.cpu", "threshold.collar_gap"} <= set(names)


def test_every_name_opens_and_every_source_has_a_citation(build, capsys):
    from headrace.report.explain import citations

    def keys(node):
        return [*node["sources"], *(key for child in node["inputs"] for key in keys(child))]

    for name in json.loads(run(capsys, "explain", build, "--json")[1]):
        code, out, _ = run(capsys, "explain", build, name, "--json")
        node = json.loads(out)
        assert code == 0
        assert node["formulas"] or node["said"], name
        assert set(keys(node)) <= set(citations()), name


def test_parts_lists_and_shows(build, capsys):
    assert "soft" in run(capsys, "parts", "tube")[1]
    code, out, _ = run(capsys, "parts", "pump", "--build", build)
    assert code == 0
    assert "curve" in out
    assert json.loads(run(capsys, "parts", "pump", "--build", build, "--json")[1])["id"] == "pump"
    assert json.loads(run(capsys, "parts", "--schema")[1])["properties"]
    assert json.loads(run(capsys, "check", "--schema")[1])["properties"]


BAD = [
    (("solve", "{}/none"), "no such file"),
    (("solve", "{}"), "no build.toml in this folder"),
    (("solve", "{desk}", "--state", "laod"), 'Did you mean "load"?'),
    (("solve", "{desk}", "--room", "30"), 'Write "30 °C"'),
    (("solve", "{desk}", "--set", "pump.speed=60"), "has no unit"),
    (("explain", "{desk}", "flow.cpx"), 'Did you mean "flow.cpu"?'),
    (("parts", "zzz"), "no card is called"),
    (("new", "{desk}"), "already and not empty"),
    (("new", "{}/x", "--example", "nothing"), "no such example"),
    (("check",), "no build folder named"),
]


@pytest.mark.parametrize(("words", "said"), BAD)
def test_bad_words_exit_2_with_a_message_and_write_nothing(build, capsys, words, said):
    before = files(build.parent)
    filled = [word.replace("{desk}", str(build)).replace("{}", str(build.parent)) for word in words]
    code, out, err = run(capsys, *filled)
    assert code == 2
    assert out == ""
    assert said in err
    assert "Traceback" not in err
    assert files(build.parent) == before


BROKEN = {
    "wrong unit": (BUILD.replace('air = "120 m3/h"', 'air = "120 kPa"'), "is a pressure"),
    "missing part": (BUILD.replace('"cpu", "rad"]', '"cpu", "radd"]'), 'there is no part "radd"'),
    "unknown key": (BUILD.replace("limit =", "limmit ="), 'Did you mean "limit"?'),
    "loop not closed": (BUILD.replace('"cpu", "rad"]', '"cpu", "rad"]\nclosed = false'), "has no closed path"),
    "negative length": (BUILD.replace('"0.5 m"', '"-0.5 m"'), "below zero"),
    "duplicate id": (BUILD.replace('id = "rad"', 'id = "cpu"'), "is there twice"),
    "no state": (BUILD[: BUILD.index("[[state]]")], "no state to solve"),
    "syntax": (BUILD + "x = [1,", "build.toml:"),
    "no air": (BUILD.replace('"120 m3/h"', '"0 m3/h"'), "0 W/K of radiators"),
    "too high": (BUILD.replace('room = "24 °C"', 'room = "24 °C"\naltitude = "50 km"'), "altitude"),
    "no speed": (
        BUILD.replace('air = "120 m3/h"', 'fans = 3\nair_per_fan = "40 m3/h"\nair_at = "1000 rpm"'),
        "no fan speed in state",
    ),
    "how many fans": (
        BUILD.replace('air = "120 m3/h"', 'air_per_fan = "40 m3/h"\nair_at = "1000 rpm"'),
        "number of its fans is not known",
    ),
    "no number": (BUILD.replace('card = "block"', 'card = "block"\nat_mm = [nan, 0, 0]'), "out of all reason"),
    "one part": (BUILD.replace('["vessel", "pump", "cpu", "rad"]', "[]"), "at least 2 are wanted"),
    "odd name": (BUILD.replace('id = "cpu"', 'id = "c\\tpu"'), "is no name"),
    "empty": ("", '"format" is missing'),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_build_exits_2_without_a_traceback(build, capsys, name):
    text, said = BROKEN[name]
    (build / "build.toml").write_text(text, encoding="utf-8")
    before = files(build)
    code, out, err = run(capsys, "solve", build)
    assert (code, out) == (2, "")
    assert said in err, err
    assert files(build) == before
    code, out, _ = run(capsys, "solve", build, "--json")
    assert code == 2
    assert json.loads(out)["faults"]


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"#" * 10_000_000, "10.0 MB"),
        (bytes(range(256)), "is not UTF-8"),
        (b"format = 1\x00", "is a binary file"),
    ],
)
def test_files_that_are_no_text_exit_2(build, capsys, raw, said):
    (build / "build.toml").write_bytes(raw)
    code, _, err = run(capsys, "check", build)
    assert code == 2
    assert said in err


def test_what_a_person_wrote_does_not_steer_the_terminal(build, capsys):
    text = BUILD.replace('name = "small"', 'name = "[red]x[/red] \\u001b[31m"')
    (build / "build.toml").write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "solve", build)
    assert code == 0
    assert "[red]x[/red]" in out
    assert "\x1b" not in out


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('bore = "10 mm"\noutside', 'bore = "0 mm"\noutside'),
        ('loss = { k = 0.5, bore = "10 mm" }', 'loss = { k = 0.5, bore = "0 mm" }'),
        ('loss = { k = 0.5, bore = "10 mm" }', 'loss = { kv = "0 m3/h" }'),
    ],
)
def test_a_zero_that_has_no_meaning_is_refused(build, capsys, old, new):
    assert old in CARDS
    (build / "parts" / "own.toml").write_text(CARDS.replace(old, new), encoding="utf-8")
    code, _, err = run(capsys, "solve", build)
    assert code == 2
    assert "must be above zero" in err


def test_a_curve_that_falls_and_a_card_like_itself_are_said_with_their_file(build, capsys):
    own = build / "parts" / "own.toml"
    own.write_text(
        CARDS.replace("[6, 30.1]", "[6, 3.1]").replace('kind = "radiator"', 'kind = "radiator"\nlike = "radiator"'),
        encoding="utf-8",
    )
    code, _, err = run(capsys, "solve", build)
    assert code == 2
    assert "own.toml:" in err
    assert "does not rise" in err
    assert "is like itself" in err


def test_as_a_process_it_has_no_colour_in_a_pipe_and_survives_a_closed_one(build):
    words = [sys.executable, "-m", "headrace.cli.main", "solve", str(build)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert "\x1b[" not in done.stdout
    closed = subprocess.run(
        f"{sys.executable} -m headrace.cli.main explain {build} | head -1",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in closed.stderr
