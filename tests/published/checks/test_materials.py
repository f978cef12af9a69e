"""Metals by their anodic index and coolants by their freezing point, against what the checks say.

Anodic index in volts below gold as public handbook tables quote [mil-std-889], from memory; freezing points computed with
CoolProp; what may meet in one water common practice, no source.
"""

import pytest
from CoolProp.CoolProp import PropsSI

from headrace.checks.build import solve_build
from headrace.checks.finding import Severity
from headrace.checks.rules import aluminium_alone, freezing, metal_area, metal_refused, mixed_coolant, silver
from headrace.fluids.coolant import mass_frac
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards
from headrace.parts.tables import find_material

ANODIC_V = (  # from memory of handbook tables of the anodic index
    ("silver", -0.15),
    ("nickel", -0.30),
    ("copper", -0.35),
    ("brass", -0.40),
    ("stainless steel", -0.50),
    ("tin-lead solder", -0.65),
    ("steel", -0.85),
    ("aluminium", -0.90),
    ("cast aluminium", -0.95),
    ("galvanised steel", -1.20),
    ("zinc", -1.25),
)
CARDS = """
format = 1
[[card]]
id = "tube"
kind = "tube"
bore = "10 mm"
outside = "16 mm"
wetted = ["EPDM"]
[[card]]
id = "one"
kind = "block"
port = [{{ name = "in" }}, {{ name = "out" }}]
wetted = ["{one}"]
wetted_area = {{ "{one}" = "{one_cm2} cm2" }}
[[card]]
id = "other"
kind = "block"
port = [{{ name = "in" }}, {{ name = "out" }}]
wetted = ["{other}"]
wetted_area = {{ "{other}" = "{other_cm2} cm2" }}
"""
BUILD = """
format = 1
[coolant]
{coolant}
[[part]]
id = "a"
card = "one"
[[part]]
id = "b"
card = "other"
[[run]]
from = "a.out"
to = "b.in"
tube = "tube"
"""


@pytest.fixture
def build(tmp_path):
    def make(one="copper", other="copper", coolant="", more="", one_cm2=10, other_cm2=10):
        file = tmp_path / "cards.toml"
        file.write_text(CARDS.format(one=one, other=other, one_cm2=one_cm2, other_cm2=other_cm2))
        text = BUILD.format(coolant=coolant) + more
        return solve_build(parse_build(text, "build.toml", load_cards([file], {})))

    return make


@pytest.mark.parametrize(("name", "volt"), ANODIC_V)
def test_the_table_of_materials_holds_the_handbook_index(name, volt):
    assert find_material(name).index_v == pytest.approx(volt, abs=1e-12)


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        ("copper", "nickel", 0),  # 0.05 V
        ("brass", "nickel", 0),  # 0.10 V is at the step, not above
        ("high-zinc brass", "nickel", 1),  # 0.15 V
        ("brass", "silver", 1),  # 0.25 V
        ("stainless steel", "copper", 1),  # 0.15 V
        ("steel", "stainless steel", 0),  # 0.35 V: METAL-02 finds that pair beside an inhibitor too
        ("aluminium", "copper", 0),  # refused at once by METAL-01
        ("silver", "copper", 0),  # little of the nobler one
    ],
)
def test_little_of_the_less_noble_metal_against_much_of_the_nobler(build, one, other, found):
    """11 cm2 to 1 cm2 is above ten to one, common practice, no source."""
    made = build(one, other, 'additives = ["inhibitor"]', one_cm2=1, other_cm2=11)
    assert len(list(metal_area.run(made))) == found
    assert list(metal_area.run(build(one, other, one_cm2=1, other_cm2=10))) == []


@pytest.mark.parametrize("name", ["aluminium", "cast aluminium"])
@pytest.mark.parametrize("other", ["copper", "nickel-plated copper", "brass", "chromium-plated brass", "silver"])
def test_aluminium_is_refused_or_alone_and_never_both(build, name, other):
    beside, alone = build(name, other), build(name, "stainless steel")
    assert list(metal_refused.run(beside))
    assert list(aluminium_alone.run(beside)) == []
    assert list(metal_refused.run(alone)) == []
    assert [finding.check.severity for finding in aluminium_alone.run(alone)] == [Severity.NOTE]


@pytest.mark.parametrize(("additives", "wanted"), [("[]", Severity.BEFORE_HANDOVER), ('["inhibitor"]', Severity.NOTE)])
def test_silver_with_nickel_is_milder_beside_an_inhibitor(build, additives, wanted):
    """disputed; common practice, no source."""
    (finding,) = silver.run(build("silver", "nickel-plated copper", f"additives = {additives}"))
    assert finding.check.severity is wanted
    assert "disputed" in finding.fix


GLYCOLS = [("propylene glycol", "MPG"), ("ethylene glycol", "MEG")]


@pytest.mark.parametrize("percent", [10, 25, 40])
@pytest.mark.parametrize(("base", "fluid"), GLYCOLS)
def test_a_room_below_the_freezing_point_is_found(build, base, fluid, percent):
    """computed with CoolProp; the fit is within 0.04 K of it."""
    freezes_c = (
        PropsSI("T_freeze", "P", 101325, "T", 300, f"INCOMP::{fluid}[{mass_frac(base, percent / 100)}]") - 273.15
    )
    coolant = f'base = "{base}"\nfraction = "{percent} vol%"'
    for off_k, found in ((-0.1, 1), (0.1, 0)):
        state = f'[[state]]\nname = "cold"\nroom = "{freezes_c + off_k} °C"\n'
        assert len(list(freezing.run(build(coolant=coolant, more=state)))) == found


def test_a_quarter_of_propylene_glycol_freezes_near_the_trade_figure(build):
    """A coolant maker's table gives -8.9 °C for 25 vol% of its inhibited mix, second hand; plain glycol is 1 to 2 K lower."""
    coolant = 'base = "propylene glycol"\nfraction = "25 vol%"'
    made = build(coolant=coolant)
    assert -11.5 < made.loop.coolant.fluid().freezing_temp_k - 273.15 < -8.9


def test_water_freezes_on_the_way_and_glycol_does_not(build):
    way = '[handling]\ntransport_filled = true\n[[state]]\nname = "on"\nroom = "20 °C"\n'
    (finding,) = freezing.run(build(more=way))
    assert finding.found == pytest.approx(273.15, abs=1e-9)  # 0 °C at one atmosphere
    assert list(freezing.run(build(coolant='base = "propylene glycol"\nfraction = "25 vol%"', more=way))) == []


LEFT = (  # what is filled in, what was left, how bad; common practice, no source
    ("water", "nothing", None),
    ("propylene glycol", "the same coolant", None),
    ("propylene glycol", "propylene glycol", Severity.BEFORE_POWER),
    ("propylene glycol", "ethylene glycol", Severity.STOP),
    ("ethylene glycol", "propylene glycol", Severity.STOP),
    ("water", "ethylene glycol", Severity.BEFORE_POWER),
    ("ethylene glycol", "water", Severity.NOTE),
    ("water", "water", Severity.NOTE),
    ("water", "unknown coolant", Severity.STOP),
)


@pytest.mark.parametrize(("base", "left", "wanted"), LEFT)
def test_what_may_be_left_in_a_loop(build, base, left, wanted):
    share = "" if base == "water" else '\nfraction = "30 vol%"'
    found = list(mixed_coolant.run(build(coolant=f'base = "{base}"{share}\nleft_over = "{left}"')))
    assert [finding.check.severity for finding in found] == ([] if wanted is None else [wanted])
