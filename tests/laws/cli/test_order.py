"""`headrace order` and `headrace solve --cases` as a person meets them: exits, JSON alone on stdout, bad input."""

import json
import re

import pytest
from checkers.small_build import BUILD, CARDS

from headrace.cli import run_order
from headrace.cli.main import main

TWO = BUILD.replace('"cpu", "rad"]', '"cpu", "gpu", "rad"]').replace(
    'heat = { cpu = "280 W" }', 'heat = { cpu = "280 W", gpu = "150 W" }'
)
TWO += '[[part]]\nid = "gpu"\ncard = "block"\nlimit = "90 °C"\n'
OTHER = {"v2": "vessel", "p2": "pump", "c2": "block", "r2": "radiator"}  # a second loop


@pytest.fixture
def build(tmp_path):
    folder = tmp_path / "desk"
    (folder / "parts").mkdir(parents=True)
    (folder / "build.toml").write_text(TWO, encoding="utf-8")
    (folder / "parts" / "own.toml").write_text(CARDS, encoding="utf-8")
    return folder


def run(capsys, *words):
    code = main([str(word) for word in words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_order_says_what_it_moves_and_what_it_assumes(build, capsys):
    code, out, err = run(capsys, "order", build)
    assert (code, err) == (0, "")
    for word in ("now: pump → cpu → gpu → rad", "The order matters here", "6 orders", "(now)", "keeps its place"):
        assert word in out, out
    assert "Series or parallel: cpu, gpu" in out


def test_order_json_is_si_and_sorted(build, capsys):
    code, out, err = run(capsys, "order", build, "--json")
    found = json.loads(out)
    assert (code, err) == (0, "")
    assert found["state"] == "load"
    assert found["nominal"]["order"] == ["vessel", "pump", "cpu", "gpu", "rad"]
    assert len(found["orders"]) == 6
    for row in found["orders"]:
        assert {"order", "part_temp_k", "moves_k", "hottest_k", "flow_m3_s", "margin_k"} <= set(row)
    least = [min(row["margin_k"].values()) for row in found["orders"]]
    assert least == pytest.approx(sorted(least, reverse=True), abs=1e-6)
    (present,) = [row for row in found["orders"] if row["present"]]
    assert present["order"] == found["nominal"]["order"]
    (beside,) = found["parallel"]
    assert beside["present"] == "series"
    assert beside["parallel"]["flow_m3_s"] > beside["series"]["flow_m3_s"]


def test_all_orders_are_shown_when_asked_for(build, capsys):
    more = '[[part]]\nid = "gpu2"\ncard = "block"\n'
    text = TWO.replace('"gpu", "rad"]', '"gpu", "gpu2", "rad"]') + more
    (build / "build.toml").write_text(text, encoding="utf-8")
    short, whole = run(capsys, "order", build)[1], run(capsys, "order", build, "--all")[1]
    assert "24 orders" in short
    assert "more with --all" in short
    assert "more with --all" not in whole
    assert whole.count(" → ") > short.count(" → ")
    assert short.count("gpu2 → rad (now)") == whole.count("gpu2 → rad (now)") == 1


def test_order_exits_1_when_the_build_passes_a_limit_in_that_state(build, capsys):
    code, out, _ = run(capsys, "order", build, "--json", "--set", "cpu.heat=900 W")
    assert code == 1
    assert json.loads(out)["orders"]
    code, out, _ = run(capsys, "order", build, "--set", "cpu.heat=900 W")
    assert code == 1
    assert "ABOVE its limit of 90.0 °C" in out


def test_what_the_best_order_gains_is_told_as_cooling(build, capsys):
    out = run(capsys, "order", build, "--set", "gpu.heat=600 W", "--set", "cpu.heat=300 W")[1]
    assert re.search(r"The best one cools the tightest chip, (cpu|gpu), by [0-9.]+ K\.", " ".join(out.split())), out


def test_each_loop_of_a_build_has_its_own_flow_and_coolant(build, capsys):
    more = "".join(f'[[part]]\nid = "{id_}"\ncard = "{card}"\n' for id_, card in OTHER.items())
    more += f'[[order]]\nthrough = {json.dumps(list(OTHER))}\n[[stack]]\nid = "top"\nradiator = "r2"\nair = "90 m3/h"\n'
    text = TWO.replace('gpu = "150 W" }', 'gpu = "150 W", c2 = "50 W" }').replace('"60 %" }', '"60 %", p2 = "40 %" }')
    (build / "build.toml").write_text(text + more, encoding="utf-8")
    rows = json.loads(run(capsys, "order", build, "--json")[1])["orders"]
    solved = json.loads(run(capsys, "solve", build, "--json")[1])
    for pump, parts in (("pump", ("vessel", "pump", "cpu", "gpu", "rad")), ("p2", OTHER)):
        (now,) = [row for row in rows if row["loop"] == pump and row["present"]]
        temps = solved["coolant_temp_k"].items()
        assert now["flow_m3_s"] == pytest.approx(solved["flow_m3_s"][pump])
        assert now["hottest_k"] == pytest.approx(max(k for port, k in temps if port.partition(".")[0] in parts))


def test_no_order_to_compare_is_no_fault(build, capsys):
    (build / "build.toml").write_text(
        BUILD.replace('"cpu", "rad"]', '"rad"]').replace('heat = { cpu = "280 W" }', ""), "utf-8"
    )
    code, out, _ = run(capsys, "order", build, "--json")
    assert code == 0
    assert json.loads(out)["orders"] == []
    assert "no order to compare" in run(capsys, "order", build)[1]


@pytest.mark.parametrize("command", [("order",), ("solve", "--cases")])
def test_bad_input_exits_2(build, capsys, command):
    for words, said in (
        (("--state", "laod"), 'Did you mean "load"?'),
        (("--room", "30"), 'Write "30 °C"'),
        (("--set", "pump.speed=0 %"), "to water that does not flow"),
    ):
        code, out, err = run(capsys, command[0], build, *command[1:], *words)
        assert (code, out) == (2, "")
        assert said in err
        code, out, _ = run(capsys, command[0], build, *command[1:], *words, "--json")
        assert code == 2
        assert json.loads(out)["faults"]


def test_long_work_says_how_far_it_is_on_stderr_alone(capsys):
    run_order._tell(50, 100)
    run_order._tell(75, 400)
    run_order._tell(100, 400)
    out = capsys.readouterr()
    assert (out.out, out.err) == ("", "100 of 400 orders solved, Ctrl-C stops here\n")


def test_cases_stand_side_by_side(build, capsys):
    code, out, err = run(capsys, "solve", build, "--cases")
    assert (code, err) == (0, "")
    for word in ("as it is", "pump out", "no answer", "dusty fins", "room 32.0 °C", "at 1500 m", "propylene glycol"):
        assert word in out, out
    assert "no row here is a permission" in " ".join(out.split())


def test_cases_as_json(build, capsys):
    code, out, _ = run(capsys, "solve", build, "--cases", "--json")
    found = json.loads(out)
    assert code == 0
    rows = {row["case"]: row for row in found["cases"]}
    assert rows["pump out"]["faults"]
    assert rows["room 32.0 °C"]["hottest_diff_k"] == pytest.approx(8.0, abs=0.3)
    code, out, _ = run(capsys, "solve", build, "--cases", "--json", "--state", "all")
    assert [state["state"] for state in json.loads(out)] == ["load"]


def test_cases_exit_as_the_state_itself_does(build, capsys):
    text = TWO + '[limits]\ncoolant = "45 °C"\n'
    (build / "build.toml").write_text(text, encoding="utf-8")
    assert run(capsys, "solve", build)[0] == run(capsys, "solve", build, "--cases")[0] == 0
    code, out, _ = run(capsys, "solve", build, "--cases", "--room", "35 °C")
    assert code == 1
    assert "coolant over" in out


def test_one_state_without_an_answer_does_not_hide_the_cases_of_the_others(build, capsys):
    more = '[[state]]\nname = "off"\nroom = "24 °C"\nheat = { cpu = "280 W" }\nspeed = { pump = "0 %" }\n'
    (build / "build.toml").write_text(TWO + more, encoding="utf-8")
    code, out, err = run(capsys, "solve", build, "--cases", "--state", "all")
    assert code == 2
    assert "cases of state load" in out
    assert 'state "off", part "cpu": gives 280 W to water that does not flow' in err
