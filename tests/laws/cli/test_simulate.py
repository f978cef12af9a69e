"""`headrace simulate` as a person meets it: tables, JSON in SI, CSV, exit codes, and what it says to bad words."""

import csv
import json

import numpy as np
import pytest
from checkers.course_checker import card_text
from checkers.small_build import BUILD

from headrace.cli.main import main
from headrace.solve import course as course_module

IDLE = '[[state]]\nname = "idle"\nroom = "20 °C"\nheat = { cpu = "30 W" }\nspeed = { pump = "60 %" }\n'
LIMITS = '[limits]\ncoolant = "45 °C"\n'
EVENTS = ["warm-up", "cool-down", "load step", "pump stops", "all fans of front stop", "room rises 5 K"]


@pytest.fixture
def build(tmp_path):
    folder = tmp_path / "desk"
    (folder / "parts").mkdir(parents=True)
    (folder / "build.toml").write_text(BUILD + IDLE + LIMITS, encoding="utf-8")
    (folder / "parts" / "own.toml").write_text(card_text(), encoding="utf-8")
    return folder


def run(capsys, *words):
    code = main([str(word) for word in words])
    out = capsys.readouterr()
    return code, out.out, out.err


def found(capsys, *words):
    code, out, _ = run(capsys, "simulate", *words, "--json")
    return code, json.loads(out)


def test_without_an_event_every_event_has_a_row(build, capsys):
    code, out, err = run(capsys, "simulate", build)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    for event in EVENTS:
        assert any(line.startswith(event) for line in lines), event
    for word in ("time constant", "a soak runs 30 min", "caution: a stopped pump can boil", "boils after", "note:"):
        assert word in out, word


def test_json_of_all_events_is_in_si(build, capsys):
    code, everything = found(capsys, build)
    assert code == 0
    assert [event["event"] for event in everything["events"]] == EVENTS
    assert everything["state"] == "load"
    assert 30.0 < everything["time_constant_s"] < 600.0
    assert everything["soak_s"] == max(1800.0, 5 * everything["time_constant_s"])
    stop = everything["events"][3]
    assert stop["end"] is None
    assert stop["cautions"]
    assert 5.0 < stop["boils_s"] < 120.0
    assert 0.0 < stop["to_limit_s"]["coolant"] < stop["to_limit_s"]["chip.cpu"] < stop["boils_s"]
    assert everything["events"][0]["to_limit_s"]["coolant"] is None


def test_json_of_one_event_holds_its_course(build, capsys):
    code, event = found(capsys, build, "--event", "warm-up", "--for", "10 min", "--every", "30 s")
    assert code == 0
    assert event["time_s"] == [30.0 * i for i in range(21)]
    for key in ("coolant_temp_k", "heat_w", "room_k"):
        assert len(event[key]) == 21
    assert list(event["part_temp_k"]) == ["cpu"]
    assert event["coolant_temp_k"][0] == pytest.approx(297.15)
    assert event["horizon_s"] == 600.0
    assert event["notes"]
    steady = json.loads(run(capsys, "solve", build, "--json")[1])
    assert event["end"]["coolant_temp_k"] == pytest.approx(max(steady["coolant_temp_k"].values()))
    assert event["end"]["part_temp_k"] == pytest.approx(steady["part_temp_k"])
    assert event["coolant_temp_k"][-1] == pytest.approx(event["end"]["coolant_temp_k"], abs=0.3)


def test_a_load_step_goes_where_it_is_told(build, capsys):
    code, down = found(capsys, build, "--to", "idle")
    assert code == 0
    assert (down["event"], down["state"], down["to"]) == ("load step", "load", "idle")
    assert down["coolant_temp_k"][0] > down["coolant_temp_k"][-1]
    assert down["room_k"][-1] == pytest.approx(293.15)
    _, up = found(capsys, build, "--event", "load step")
    assert (up["state"], up["to"]) == ("idle", "load")
    _, text, _ = run(capsys, "simulate", build, "--to", "idle", "--state", "load", "--room", "30 °C")
    assert "load step to idle" in text
    _, warm = found(capsys, build, "--to", "idle", "--room", "30 °C")
    assert warm["room_k"] == pytest.approx([303.15] * len(warm["room_k"]))


def test_settings_move_the_event(build, capsys):
    _, small = found(capsys, build, "--event", "warm-up")
    _, large = found(capsys, build, "--event", "warm-up", "--set", "cpu.heat=400 W")
    assert large["end"]["coolant_temp_k"] > small["end"]["coolant_temp_k"] + 2.0


def test_a_room_may_rise_at_once_or_slowly(build, capsys):
    _, once = found(capsys, build, "--event", "room rises 8 K", "--for", "2 h")
    _, slow = found(capsys, build, "--event", "Room rises by 8 K in 1 h", "--for", "2 h")
    assert once["room_k"][0] == pytest.approx(305.15)
    assert slow["room_k"][0] == pytest.approx(297.15)
    assert once["end"]["coolant_temp_k"] == pytest.approx(slow["end"]["coolant_temp_k"])
    assert slow["coolant_temp_k"][-1] == pytest.approx(once["coolant_temp_k"][-1], abs=0.02)
    assert slow["to_limit_s"].keys() == once["to_limit_s"].keys()
    _, text, _ = run(capsys, "simulate", build, "--event", "room rises 8 K in 1 h")
    assert " room" in text.split("Course")[1].splitlines()[1]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--event", "warm-up"), 0),
        (("--event", "pump stops"), 1),  # passes every limit on its way to 100 °C
        (("--event", "room rises 20 K"), 1),
        ((), 0),  # the table of all events tells of stops, it does not judge them
        (("--room", "40 °C"), 1),  # the steady state itself is over its limit
    ],
)
def test_exit_1_is_a_limit_passed(build, capsys, words, code):
    assert run(capsys, "simulate", build, *words)[0] == code
    assert run(capsys, "simulate", build, *words, "--json")[0] == code


def test_what_the_steady_state_passes_is_said_once(build, capsys):
    _, out, _ = run(capsys, "simulate", build, "--room", "40 °C")
    assert "already so in the steady state: hottest coolant over 45.0 °C" in out
    rows = {line.partition("  ")[0]: line for line in out.splitlines()}
    assert "hottest coolant 45.0 °C" in rows["room rises 5 K"]
    assert "so before" in rows["room rises 5 K"], "over already, and warmer yet"
    assert "so before" not in rows["cool-down"], "over already, and cooling"
    _, out, _ = run(capsys, "simulate", build, "--room", "40 °C", "--event", "cool-down")
    assert "so before" in out


def test_csv_is_evenly_spaced_and_no_cell_is_a_formula(build, capsys, tmp_path):
    path = tmp_path / "all.csv"
    assert run(capsys, "simulate", build, "--csv", path, "--every", "20 s", "--for", "5 min")[0] == 0
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["time_s", "coolant_temp_k", "part_temp_k cpu", "heat_w", "room_k", "event"]
    assert list(dict.fromkeys(row["event"] for row in rows)) == EVENTS
    assert [float(row["time_s"]) for row in rows[:16]] == [20.0 * i for i in range(16)]
    cells = [cell for row in rows for cell in (*row, *row.values())]
    assert not [cell for cell in cells if cell[:1] in "=+@\t\r" or (cell[:1] == "-" and not _number(cell))]
    assert 290 < float(rows[5]["coolant_temp_k"]) < 400


def _number(text):
    try:
        return np.isfinite(float(text))
    except ValueError:
        return False


BAD = [
    (("--event", "warmup"), 'Did you mean "warm-up"?'),
    (("--event", "pump-9 stops"), 'there is no event "pump-9 stops" in state "load"'),
    (("--event", "room rises 5 L"), 'Write --event "room rises 5 K"'),
    (("--event", "room rises 90 K"), "is out of reason"),
    (("--event", "room rises 8 K in 5 K"), 'Write --event "room rises 5 K" or'),
    (("--event", "room rises 39 K"), "Take a smaller rise."),
    (("--to", "idel"), 'Did you mean "idle"?'),
    (("--to", "idle", "--event", "warm-up"), 'Write --event "load step"'),
    (("--event", "load step", "--state", "idle"), "Write --to STATE"),
    (("--state", "laod"), 'Did you mean "load"?'),
    (("--state", "all"), "an event starts from one state"),
    (("--for", "10"), "has no unit"),
    (("--for", "soon"), "--for soon"),
    (("--for", "0 s"), "is out of reason"),
    (("--for", "90 days"), "is out of reason"),
    (("--every", "5 kPa"), "is a pressure"),
    (("--every", "0.01 s", "--for", "2 h"), "Take a longer --every"),
    (("--set", "pump.speed=60"), "has no unit"),
    (("--csv", "{desk}/build.toml"), "is there already"),
    (("--csv", "{desk}/none/x.csv"), "there is no folder"),
]


@pytest.mark.parametrize(("words", "said"), BAD)
def test_bad_words_exit_2_with_a_message_and_write_nothing(build, capsys, words, said):
    before = {path: path.read_bytes() for path in build.rglob("*") if path.is_file()}
    code, out, err = run(capsys, "simulate", build, *(word.replace("{desk}", str(build)) for word in words))
    assert (code, out) == (2, "")
    assert said in err, err
    assert "Traceback" not in err
    assert {path: path.read_bytes() for path in build.rglob("*") if path.is_file()} == before


def test_a_state_without_a_steady_one_says_why(build, capsys):
    code, _, err = run(capsys, "simulate", build, "--set", "pump.speed=0%")
    assert code == 2
    assert "gives 280 W to water that does not flow" in err
    # but switching it on can be followed: it is the pump that never started
    code, event = found(capsys, build, "--set", "pump.speed=0%", "--event", "warm-up")
    assert code == 1
    assert event["end"] is None
    assert event["boils_s"] > 0.0


def test_a_build_with_nothing_joined_is_refused(build, capsys):
    head, tail = BUILD.index("[[order]]"), BUILD.index("[[stack]]")
    (build / "build.toml").write_text(BUILD[:head] + BUILD[tail:], encoding="utf-8")
    code, _, err = run(capsys, "simulate", build)
    assert code == 2
    assert "nothing is joined" in err


def test_a_room_as_hot_as_rooms_get_is_not_warmed_further(build, capsys):
    code, everything = found(capsys, build, "--room", "58 °C")
    assert code == 1
    assert [event["event"] for event in everything["events"]] == EVENTS[:-1]


def test_stopped_by_hand_it_leaves_without_a_trace(build, capsys, tmp_path, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(course_module, "expm", stopped)
    path = tmp_path / "x.csv"
    code, out, err = run(capsys, "simulate", build, "--csv", path)
    assert (code, out) == (130, "")
    assert err == "simulate: stopped before the end; nothing was written\n"
    assert not path.exists()
