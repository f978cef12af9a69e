"""What `solve` and `explain` say of air and sound: report, JSON and exit code. Builds and numbers are invented."""

import io
import json
import re

import pytest
from checkers.small_build import BUILD, CARDS
from rich.console import Console

from headrace.cli.main import main
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.report.explain import value_text
from headrace.report.fit import GLUE
from headrace.report.solution import report_solution
from headrace.report.text import print_report
from headrace.report.tree import Cell, Column, Line, Section, Table
from headrace.solve.band import Band
from headrace.solve.explain.explained import LEVEL_STEP, Explained
from headrace.solve.steady import solve

LIMITS = '[limits]\nnoise = "{} dBA"\nnoise_at = "0.6 m"\n'
LOUD = 'sound = { level = "26 dBA", distance = "0.6 m" }\n'
AIR = 'air = "120 m3/h"'
POWER = 'power = "20 W"\n[[card]]\nid = "block"'
CASE = '[[vent]]\nid = "rear"\nfan = "fan-120"\nfans = 2\nblows = "in"\n[[vent]]\nid = "slots"\narea = "60 cm2"\n'


@pytest.fixture
def build(tmp_path):
    """A function that writes a build with pieces of its text replaced, and gives its folder."""

    def write(*changes, more="", loud=True):
        text, own = BUILD, CARDS
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        if loud:
            own = own.replace(POWER, POWER.replace("\n", f"\n{LOUD}", 1))
        (tmp_path / "parts").mkdir(exist_ok=True)
        (tmp_path / "parts" / "own.toml").write_text(own, encoding="utf-8")
        (tmp_path / "build.toml").write_text(text + more, encoding="utf-8")
        return tmp_path

    return write


def run(capsys, *words):
    """What a command prints; of `solve` the report without bands, which would stand between the words looked for."""
    bands = ["--no-band"] if words[0] == "solve" and "--json" not in words else []
    code = main([*(str(word) for word in words), *bands])
    out = capsys.readouterr()
    assert out.err == ""
    return code, out.out


def reported(folder):
    loop = load_build(folder)
    return report_solution(loop, solve(loop, stated_route(loop), loop.state()))


def line(out, start):
    """The paragraph that starts so, on one line."""
    found = out[out.index(start) :].replace("\n", " ", 1)
    return found.splitlines()[0]


def test_a_level_is_told_with_its_sources_and_the_limit(build, capsys):
    """26 dBA at full speed are 26 + 45 lg 0.6 = 16.0 dBA at 60 %, common practice, no source."""
    code, out = run(capsys, "solve", build(more=LIMITS.format(18)))
    assert code == 0
    assert "sound 16.0 dBA at 0.6 m: pump 16.0; 2.0 dB below the agreed 18.0 dBA" in out


def test_a_machine_louder_than_agreed_exits_1(build, capsys):
    folder = build(more=LIMITS.format(15))
    code, out = run(capsys, "solve", folder)
    assert code == 1
    assert "1.0 dB ABOVE the agreed 15.0 dBA" in out
    assert run(capsys, "solve", folder, "--json")[0] == 1
    assert run(capsys, "solve", folder, "--set", "pump.speed=50%")[0] == 0, "slower is quieter"


@pytest.mark.parametrize(
    ("limits", "loud", "tone"),
    [
        (LIMITS.format(18), True, "good"),
        (LIMITS.format(15), True, "bad"),
        (LIMITS.format(15), False, "warn"),
        ("", True, ""),
    ],
)
def test_the_tone_of_the_sound_is_that_of_the_limit(build, limits, loud, tone):
    report = reported(build(more=limits, loud=loud))
    (sound,) = (item for item in report.body if isinstance(item, Line) and item.text.startswith("sound "))
    assert sound.tone == tone


def test_a_margin_is_tight_below_its_threshold(build):
    def tone(threshold):
        chips = next(item for item in reported(build(more=threshold)).body if isinstance(item, Section))
        return chips.body[0].rows[0][-1].tone

    assert tone("") == "good"
    assert tone('[thresholds]\ntight_margin = "30 K"\n') == "warn"


def test_the_room_itself_comes_on_top_and_does_not_break_the_limit(build, capsys):
    """16.0 and 20.0 dBA add up to 10 lg (10^1.60 + 10^2.00) = 21.5 dBA, energy addition."""
    code, out = run(capsys, "solve", build(more=LIMITS.format(18) + 'background = "20 dBA"\n'))
    assert code == 0
    assert "with the 20.0 dBA of the room itself one hears 21.5 dBA" in out


def test_a_limit_without_any_sound_is_not_judged_and_says_so(build, capsys):
    folder = build(more=LIMITS.format(15), loud=False)
    code, out = run(capsys, "solve", folder)
    assert code == 0
    assert "sound not known, as no card states any: the agreed 15.0 dBA are not judged" in out
    found = json.loads(run(capsys, "solve", folder, "--json")[1])
    assert (found["noise_db"], found["noise_by_source_db"]) == (None, {})


def test_a_source_whose_sound_nobody_states_is_named(build, capsys):
    folder = build((AIR, 'air = "120 m3/h"\nfan = "fan-120"\nfans = 3'), more=LIMITS.format(40), loud=False)
    code, out = run(capsys, "solve", folder)
    assert code == 0
    assert "without pump, of which no card states the sound" in line(out, "sound ")


def test_what_stands_still_is_told_still(build, capsys):
    part = '[[part]]\nid = "r2"\ncard = "still"\n[[stack]]\nid = "top"\nradiator = "r2"\nfan = "fan-120"\nfans = 3\n'
    part += 'air_per_fan = "40 m3/h"\nair_at = "1000 rpm"\n'
    folder = build(('"cpu", "rad"]', '"cpu", "rad", "r2"]'), ('"60 %" }', '"60 %", top = "0 rpm" }'), more=part)
    out = run(capsys, "solve", folder)[1]
    assert "pump 11.6, top still" in out
    assert json.loads(run(capsys, "solve", folder, "--json")[1])["noise_by_source_db"]["top"] < 0


def test_several_pumps_are_told_as_one(build, capsys):
    """Two of 16.0 dBA are 19.0 dBA, energy addition; from 0.6 to 1 m it falls by 20 lg (1/0.6) = 4.4 dB."""
    more = '[[part]]\nid = "second"\ncard = "pump"\n'
    folder = build(('"pump", "cpu"', '"pump", "second", "cpu"'), ('"60 %" }', '"60 %", second = "60 %" }'), more=more)
    assert "sound 14.6 dBA at 1 m: pumps 14.6\n" in run(capsys, "solve", folder)[1]
    found = json.loads(run(capsys, "solve", folder, "--json")[1])
    assert set(found["noise_by_source_db"]) == {"pump", "second"}
    (folder / "build.toml").write_text((folder / "build.toml").read_text() + LIMITS.format(30), encoding="utf-8")
    assert "sound 19.0 dBA at 0.6 m: pumps 19.0; 11.0 dB below" in run(capsys, "solve", folder)[1]


def test_air_section_and_json_tell_every_way_and_the_case(build, capsys):
    change = (AIR, 'air = "120 m3/h"\ninlet = [{ from = "case", share = "70 %" }, { share = "30 %", plus = "1 K" }]')
    folder = build(change, ('"60 %" }', '"60 %", rear = "1000 rpm" }'), more=CASE)
    code, out = run(capsys, "solve", folder)
    assert code == 0
    assert "70 % case, 30 % room + 1.0 K" in out
    assert re.search(r"^stack front +120 m³/h +stated +given air$", out, re.M)
    assert re.search(r"^vent rear +[0-9.]+ m³/h +fan curve +1000 rpm( +stalled)?$", out, re.M)
    assert "air in the case " in out
    assert "that of the room" in out
    found = json.loads(run(capsys, "solve", folder, "--json")[1])
    assert set(found["air_path_flow_m3_s"]) == {"front", "rear"}
    assert found["air_path_flow_m3_s"]["front"] == found["air_flow_m3_s"]["rad"] == pytest.approx(120 / 3600)
    assert abs(found["case_dp_pa"]) < 10.0
    assert found["case_temp_k"] == pytest.approx(297.15, abs=5.0)
    mixed = 0.7 * found["case_temp_k"] + 0.3 * 297.15 + 1.0
    assert found["air_in_temp_k"]["rad"] == pytest.approx(mixed, abs=1e-6)


def test_a_build_whose_air_is_all_given_has_no_air_section(build, capsys):
    folder = build()
    out = run(capsys, "solve", folder)[1]
    assert "\nAir\n" not in out
    assert "air from" in out
    found = json.loads(run(capsys, "solve", folder, "--json")[1])
    assert (found["case_temp_k"], found["case_dp_pa"]) == (None, None)


def test_fans_that_stall_or_lose_are_told_in_the_table(build, capsys):
    more = '[[vent]]\nid = "weak"\nfan = "fan-120"\nblows = "in"\n[[vent]]\nid = "strong"\nfan = "fan-120-fast"\n'
    more += 'fans = 6\nblows = "in"\n'
    folder = build(('"60 %" }', '"60 %", weak = "200 rpm", strong = "100 %" }'), more=more)
    out = run(capsys, "solve", folder)[1]
    assert re.search(r"^vent weak .* backwards$", out, re.M)
    assert re.search(r"^vent strong .* stalled$", out, re.M)


def test_a_second_radiator_in_one_stream_says_which_one_it_stands_behind(build, capsys):
    more = '[[part]]\nid = "r2"\ncard = "radiator"\n'
    folder = build(
        ('"cpu", "rad"]', '"cpu", "rad", "r2"]'), (AIR, f'{AIR}\nbehind = ["r2"]\nrecirculated = "10 %"'), more=more
    )
    out = run(capsys, "solve", folder)[1]
    assert "10 % its own, 90 % room" in out
    assert "behind rad" in out


def test_case_heat_can_be_set_for_one_run(build, capsys):
    change = (AIR, f'{AIR}\ninlet = {{ from = "case" }}')
    folder = build(change, ('"60 %" }', '"60 %", rear = "1000 rpm" }'), more=CASE)

    def case(*words):
        return json.loads(run(capsys, "solve", folder, "--json", *words)[1])["case_temp_k"]

    assert case("--set", "case_heat=100 W") > case() + 1.0
    assert case("--set", "rear.speed=1800 rpm", "--set", "case_heat=100 W") < case("--set", "case_heat=100 W")


def test_air_and_sound_open_on_the_command_line(build, capsys):
    folder = build(more=LIMITS.format(30))
    out = run(capsys, "explain", folder, "noise")[1]
    for word in (
        "noise = 16.0 dBA",
        "noise.pump",
        "x from the card; common practice",
        'as "60 %"',
        "± 3.0 dB (assumed)",
    ):
        assert word in out, out
    names = run(capsys, "explain", folder)[1].split()
    assert {"noise", "noise.pump", "air_flow.front", "air_out_temp.rad"} <= set(names)
    assert not {"noise_heard", "case_temp", "case_pressure"} & set(names), "no background, and no case in play"
    tree = json.loads(run(capsys, "explain", folder, "air_flow.front", "--json")[1])
    assert tree["unit"] == "air_flow_m3_s"
    assert tree["inputs"][0]["said"].endswith('as "120 m3/h", ± 10 % (assumed)')


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (6e-5, "fin_thickness_m", "60 µm"),
        (1.5e-6, "roughness_m", "1.5 µm"),
        (0.0, "roughness_m", "0 mm"),
        (0.0072, "fin_height_m", "7.2 mm"),
        (1.0963, "density_kg_m3", "1.096 kg/m³"),
        (994.2, "density_kg_m3", "994 kg/m³"),
        (7.5, LEVEL_STEP, "7.5 dB"),
        (26.0, "level_db", "26.0 dBA"),
        (30e-4, "area", "30 cm²"),
        (0.5, "", "0.5"),
        ("not stated", "dp_pa", "not stated"),
    ],
)
def test_an_opened_value_has_digits_that_tell_it_apart(value, unit, text):
    assert value_text(Explained("x", value, unit)) == text


# --- how it fits a terminal -------------------------------------------------------------------------------------------


def printed(report, width):
    console = Console(file=io.StringIO(), width=width, no_color=True)
    print_report(report, console)
    return console.file.getvalue()


def cells(report):
    for item in report.body:
        if isinstance(item, Section):
            yield from cells(item)
        elif isinstance(item, Table):
            yield from ((c, cell.text) for row in item.rows for c, cell in zip(item.columns, row, strict=True))


@pytest.mark.parametrize("width", [24, 40, 60, 72, 80, 110])
def test_no_number_is_cut_and_no_id_breaks_however_narrow_the_terminal(build, width):
    report = reported(build(more=LIMITS.format(18)))
    out = printed(report, width)
    for column, text in cells(report):
        words = [text] if column.number else text.split()
        assert all(word in out for word in words), (column.head, text, out)
    assert GLUE not in out
    assert "…" not in out
    assert max(map(len, out.splitlines())) <= width


@pytest.mark.parametrize(("width", "as_block"), [(30, False), (19, False), (18, True)])
def test_a_row_becomes_a_block_when_its_words_do_not_fit_side_by_side(width, as_block):
    """The least is "gpu-1" and "1000 rpm" with 2 between them, and 2 more before "24 h": 5 + 2 + 8 + 2 + 2 = 19."""
    columns = (Column("part"), Column("fans", number=True), Column("of"))
    table = Table(columns, ((Cell("gpu-1"), Cell("1000 rpm"), Cell("in")), (Cell("x"), Cell("9 rpm"), Cell(""))))
    out = printed(Section("", (table,)), width)
    assert (out == "part: gpu-1\n  fans: 1000 rpm\n  of: in\npart: x\n  fans: 9 rpm\n") is as_block
    assert ("gpu-1  1000 rpm  in" in out) is not as_block


@pytest.mark.parametrize("width", range(12, 40))
def test_a_number_stays_with_its_unit(width):
    out = printed(Section("", (Line("from 13 % of it at 2.5 K up to 120 m³/h or 1.2 kW"),)), width)
    for pair in ("13 %", "2.5 K", "120 m³/h", "1.2 kW"):
        assert pair in out


def test_sources_are_told_loudest_first(build, capsys):
    stack = (AIR, 'air = "120 m3/h"\nfan = "fan-120"\nfans = 3')
    out = run(capsys, "solve", build(stack, ('"60 %" }', '"60 %", front = "1800 rpm" }')))[1]
    told = re.search(r"^sound .*: (.*)$", out, re.M)[1]
    loud = [float(level) for level in re.findall(r" ([0-9.]+)(?=,|$)", told)]
    assert len(loud) == 2
    assert loud == sorted(loud, reverse=True)


@pytest.mark.parametrize(
    ("constant_s", "pair", "text"),
    [(113.0, (84.0, 156.0), "113 s (84 to 156 s)"), (126.0, (90.0, 186.0), "2.1 min (1.5 to 3.1 min)")],
)
def test_a_time_constant_and_its_band_have_one_unit(build, constant_s, pair, text):
    loop = load_build(build())
    band = Band(2000, {"time_constant_s": {"": pair}}, {}, (), {}, ())
    report = report_solution(loop, solve(loop, stated_route(loop), loop.state()), band, constant_s)
    assert f"time constant {text}:" in printed(report, 110)


def test_the_strongest_pump_is_named_only_where_pumps_differ(build, capsys):
    more = '[[part]]\nid = "second"\ncard = "pump"\n'
    chain = build(('"pump", "cpu"', '"pump", "second", "cpu"'), ('"60 %" }', '"60 %", second = "60 %" }'), more=more)
    assert "through the strongest pump" not in run(capsys, "solve", chain)[1]
    more += '[[part]]\nid = "v2"\ncard = "vessel"\n[[part]]\nid = "r2"\ncard = "radiator"\n'
    more += '[[order]]\nthrough = ["v2", "second", "r2"]\n[[stack]]\nid = "top"\nradiator = "r2"\nair = "80 m3/h"\n'
    apart = build(('"60 %" }', '"60 %", second = "60 %" }'), more=more)
    assert "through the strongest pump" in run(capsys, "solve", apart)[1]
