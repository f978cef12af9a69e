"""Words on the command line that cannot be used: said as every other fault, in JSON too, and nothing ever as a traceback."""

import json

import pytest
from checkers.small_build import BUILD, CARDS

from headrace.cli import run_solve
from headrace.cli.main import main


@pytest.fixture
def build(tmp_path):
    folder = tmp_path / "desk"
    (folder / "parts").mkdir(parents=True)
    (folder / "build.toml").write_text(BUILD, encoding="utf-8")
    (folder / "parts" / "own.toml").write_text(CARDS, encoding="utf-8")
    return folder


def run(capsys, *words):
    code = main([str(word) for word in words])
    out = capsys.readouterr()
    return code, out.out, out.err


WRONG = [
    (["solv"], 'there is no command "solv"', 'Did you mean "solve"?'),
    ([], "no command is named", "Write: headrace COMMAND FOLDER"),
    (["solve"], "no build folder is named", "Write: headrace solve FOLDER"),
    (["solve", "BUILD", "--rom", "24 °C"], 'unknown option "--rom"', 'Did you mean "--room"?'),
    (["solve", "BUILD", "--room", "24", "°C"], '"°C" is one word too many', '--room "24 °C"'),
    (["solve", "BUILD", "--room"], "has no value", "--room="),
    (["solve", "BUILD", "--s", "x"], "may be --state or --set", "Write it out"),
    (["solve", "BUILD", "--cases=3"], "takes no value", "Write --cases alone"),
    (["explain", "BUILD", "--depth", "x"], '"x" is no whole number', "--depth 3"),
    (["explain", "BUILD", "--depth", "0"], "0 opens nothing", "--depth 3"),
    (["solve", "BUILD", "--room", ""], "is empty", "leave it out"),
    (["simulate", "BUILD", "--event", ""], "is empty", "leave it out"),
    (["simulate", "BUILD", "--csv", " "], "is empty", "leave it out"),
    (["new", ""], "is empty", "leave it out"),
    (["new", "BUILD/new", "--name", ""], "is empty", "leave it out"),
    (["solve", "BUILD", "--room", "24 °C", "--set", "room=25 °C"], "both name the room", "Leave one of them out"),
    (["simulate", "BUILD", "--for", "10 years"], "is out of reason", '--for "10 min"'),
    (["solve", "BUILD", "--set", "room=25 °C ± 11 K"], "is hardly known", "24 °C"),
]


@pytest.mark.parametrize(("words", "found", "fix"), WRONG)
def test_a_bad_word_is_a_fault_with_a_way_out(build, capsys, words, found, fix):
    words = [word.replace("BUILD", str(build)) for word in words]
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert found in err
    assert fix in err
    assert "usage" not in err
    code, out, err = run(capsys, *words[:1], "--json", *words[1:]) if words else run(capsys, "--json")
    (fault,) = json.loads(out)["faults"]
    assert (code, err) == (2, "")
    if words:
        assert found in fault["found"]
        assert fix in fault["fix"]


@pytest.mark.parametrize("room", ["-40 °C", "60 °C"])
def test_both_ends_of_a_room_belong_to_it(build, capsys, room):
    code, out, _ = run(capsys, "solve", build, "--room", room, "--json")
    assert code != 2
    assert "coolant_temp_k" in json.loads(out)


@pytest.mark.parametrize("words", [["solve"], ["simulate"], ["simulate", "--to", "load"]])
def test_a_bad_room_is_blamed_on_the_option_that_names_it(build, capsys, words):
    code, _, err = run(capsys, words[0], build, *words[1:], "--room", "99 °C")
    assert code == 2
    assert err.startswith("--room: ")
    assert "--set" not in err


@pytest.mark.parametrize(
    ("name", "offered"), [("solve", True), ("simulate", False), ("order", False), ("explain", False)]
)
def test_all_states_are_offered_only_where_all_are_taken(capsys, name, offered):
    with pytest.raises(SystemExit):
        main([name, "--help"])
    text = " ".join(capsys.readouterr().out.split())
    assert ("all of them: all" in text) is offered
    assert '"all"' not in text


def test_what_nobody_foresaw_is_one_sentence_and_exit_3(build, capsys, monkeypatch):
    def fail(words):
        raise ZeroDivisionError("float division\nby zero")

    monkeypatch.setattr(run_solve, "run", fail)
    monkeypatch.delenv("HEADRACE_TRACE", raising=False)
    code, out, err = run(capsys, "solve", build)
    assert (code, out) == (3, "")
    assert err.count("\n") == 1
    assert "a fault of Headrace itself: ZeroDivisionError float division by zero" in err
    code, out, err = run(capsys, "solve", build, "--json")
    assert (code, err) == (3, "")
    assert "ZeroDivisionError" in json.loads(out)["faults"][0]["found"]
    monkeypatch.setenv("HEADRACE_TRACE", "1")
    code, out, err = run(capsys, "solve", build, "--json")
    assert code == 3
    assert json.loads(out)["faults"]
    assert "Traceback" in err
    assert "in fail" in err
