"""What every practitioner knows of fittings, collars and headers; common practice, no source, unless a line says more.

Numbers of the collar cases are those of the invented demo builds: CPU ports 24 mm apart, GPU ports 26 mm apart.
"""

import pytest

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding, Severity
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards
from headrace.parts.tables import threads

INCH = 25.4
CARDS = """
format = 1
[[card]]
id = "tube"
kind = "tube"
bore = "{bore} mm"
outside = "{outside} mm"
[[card]]
id = "collar"
kind = "fitting"
thread = "G1/4"
stud = "{stud} mm"
collar = "{collar} mm"
tube = {{ grip = "collar", bore = "{takes_bore} mm", outside = "{takes_outside} mm" }}
[[card]]
id = "barb"
kind = "fitting"
thread = "G1/4"
tube = {{ grip = "barb", barb = "{barb} mm" }}
[[card]]
id = "other-thread"
kind = "fitting"
thread = "{thread}"
tube = {{ grip = "barb", barb = "10 mm" }}
[[card]]
id = "elbow"
kind = "fitting"
thread = "G1/4"
turn = "90 deg"
opens = "G 1/4"
[[card]]
id = "block"
kind = "block"
port = [
  {{ name = "in", thread = "G1/4", depth = "{depth} mm", at_mm = [103, 62, 180], axis = "+y" }},
  {{ name = "out", thread = "G 1/4", depth = "{depth} mm", at_mm = [{out_x}, 62, 180], axis = "+y" }},
]
[[card]]
id = "pump"
kind = "pump"
port = [{{ name = "in" }}, {{ name = "out" }}]
curve = {{ flow = "L/h", head = "kPa", points = [[0, 38], [1500, 0]] }}
power = "{watt} W"
[[card]]
id = "fan"
kind = "fan"
size = "120 mm"
current = "0.22 A"
[[card]]
id = "radiator"
kind = "radiator"
port = [{{ name = "in" }}, {{ name = "out" }}]
[[card]]
id = "board"
kind = "board"
outlet = [{{ name = "header", max_current = "1 A" }}]
"""
USUAL = {
    "bore": 10,
    "outside": 16,
    "takes_bore": 10,
    "takes_outside": 16,
    "stud": 5,
    "collar": 21,
    "barb": 10,
    "thread": "G1/4",
    "depth": 6,
    "out_x": 127,
    "watt": 12,
}
RUN = """
format = 1
[[part]]
id = "cpu"
card = "block"
[[run]]
from = "cpu.in"
to = "cpu.out"
tube = "tube"
from_with = {0}
to_with = {0}
"""
FEED = """
format = 1
[[part]]
id = "pump"
card = "pump"
[[part]]
id = "rad"
card = "radiator"
[[part]]
id = "board"
card = "board"
[[stack]]
id = "front"
radiator = "rad"
fan = "fan"
fans = {fans}
[[lead]]
part = "{part}"
to = "board.header"
"""


@pytest.fixture
def findings(tmp_path):
    def find(id_, text, **numbers):
        path = tmp_path / "cards.toml"
        path.write_text(CARDS.format(**(USUAL | numbers)), encoding="utf-8")
        build = solve_build(parse_build(text, "build.toml", load_cards([path], {})))
        rule = next(rule for rule in RULES if rule.CHECK.id == id_)
        return [result for result in rule.run(build) if isinstance(result, Finding)]

    return find


@pytest.mark.parametrize("with_", ['["collar"]', '["elbow", "collar"]', '["elbow", "elbow", "collar"]'])
def test_the_quarter_inch_family_fits_itself(findings, with_):
    assert findings("THREAD-01", RUN.format(with_)) == []


@pytest.mark.parametrize("thread", sorted(set(threads()) - {"G1/4"}))
def test_nothing_else_fits_the_quarter_inch_family(findings, thread):
    found = findings("THREAD-01", RUN.format('["other-thread"]'), thread=thread)
    assert {finding.check.severity for finding in found} == {Severity.STOP}
    assert ("tapered thread wedges" in found[0].fix) == (threads()[thread].form == "tapered")


SIZES = {
    "10/13": (10, 13),
    "10/16": (10, 16),
    "13/19": (13, 19),
    "3/8 x 1/2": (3 / 8 * INCH, 1 / 2 * INCH),
    "3/8 x 5/8": (3 / 8 * INCH, 5 / 8 * INCH),
    "7/16 x 5/8": (7 / 16 * INCH, 5 / 8 * INCH),
    "1/2 x 3/4": (1 / 2 * INCH, 3 / 4 * INCH),
}
SAME = ({"10/13", "3/8 x 1/2"}, {"10/16", "3/8 x 5/8"}, {"13/19", "1/2 x 3/4"}, {"7/16 x 5/8"})


@pytest.mark.parametrize("tube", SIZES)
@pytest.mark.parametrize("fitting", SIZES)
def test_soft_tube_needs_bore_and_outside_of_its_collar(findings, tube, fitting):
    (bore, outside), (takes_bore, takes_outside) = SIZES[tube], SIZES[fitting]
    sizes = {"bore": bore, "outside": outside, "takes_bore": takes_bore, "takes_outside": takes_outside}
    found = findings("TUBE-01", RUN.format('["collar"]'), **sizes)
    assert bool(found) is not any({tube, fitting} <= group for group in SAME)


@pytest.mark.parametrize(
    ("bore", "barb", "percent"), [(3 / 8 * INCH, INCH / 2, 33.3), (7 / 16 * INCH, INCH / 2, None), (10, 11.5, None)]
)
def test_three_eighths_over_a_half_inch_barb_stretches_by_a_third(findings, bore, barb, percent):
    found = findings("TUBE-02", RUN.format('["barb"]'), bore=bore, outside=19, barb=barb)
    assert [round(100 * finding.found, 1) for finding in found] == ([percent] * 2 if percent else [])
    assert all("scalds" in finding.fix and "clamp" in finding.fix for finding in found)


@pytest.mark.parametrize(
    ("apart", "collar", "gap_mm"),
    [(24, 17, None), (24, 22, None), (24, 25, -1.0), (26, 25, None), (26, 25.5, 0.5), (20, 22, -2.0)],
)
def test_wide_collars_collide_on_a_block(findings, apart, collar, gap_mm):
    found = findings("PORT-01", RUN.format('["collar"]'), out_x=103 + apart, collar=collar)
    assert [round(finding.found * 1000, 3) for finding in found] == ([] if gap_mm is None else [gap_mm])


@pytest.mark.parametrize(
    ("depth", "stud", "spacer"), [(6, 5, None), (5.5, 5, None), (4.5, 5, "1 mm"), (5, 6, "1.5 mm")]
)
def test_a_short_port_needs_a_spacer(findings, depth, stud, spacer):
    found = findings("THREAD-02", RUN.format('["collar"]'), depth=depth, stud=stud)
    assert bool(found) is (spacer is not None)
    assert all(f"spacer ring of at least {spacer}" in finding.fix for finding in found)


def test_a_23_w_pump_does_not_go_on_a_fan_header(findings):
    (found,) = findings("POWER-01", FEED.format(part="pump", fans=4), watt=23)
    assert found.found == pytest.approx(1.917, abs=5e-4)  # 23 W / 12 V
    assert found.limit == 1.0
    assert found.check.severity is Severity.BEFORE_POWER


@pytest.mark.parametrize(("fans", "severity"), [(4, None), (5, Severity.BEFORE_POWER)])
def test_four_fans_of_0_22_a_go_on_a_fan_header_and_five_do_not(findings, fans, severity):
    found = findings("POWER-01", FEED.format(part="front", fans=fans))
    assert [finding.check.severity for finding in found] == ([severity] if severity else [])
