"""The limits table: every row has two ends, its own value lies between them, and what lies beyond is refused."""

from pathlib import Path

import pytest
from checkers import manual
from checkers.small_build import BUILD, cards

from headrace.errors import BadInput
from headrace.loop.loader import parse_build
from headrace.units import read_rows

ROWS = {row["name"]: row for row in read_rows("headrace.loop", "thresholds.csv")}
PAGE = Path(__file__).parents[3] / "docs" / "thresholds.md"


def read(name, text):
    return parse_build(BUILD + f'[thresholds]\n{name} = "{text}"\n', "build.toml", cards()).thresholds


def refused(name, text):
    with pytest.raises(BadInput) as caught:
        read(name, text)
    (fault,) = caught.value.faults
    return fault


def moved(text, by):
    """The same figure, its number moved by `by`."""
    number, _, unit = text.partition(" ")
    return f"{float(number) + by:g} {unit}".strip()


@pytest.mark.parametrize("name", ROWS)
def test_both_ends_and_the_usual_value_are_allowed(name):
    usual = parse_build(BUILD, "build.toml", cards()).thresholds(name)
    low, high = (read(name, ROWS[name][end])(name) for end in ("low", "high"))
    assert low <= usual <= high
    assert low < high


@pytest.mark.parametrize("name", ROWS)
@pytest.mark.parametrize(("end", "by"), [("low", -0.5), ("high", 0.5)])
def test_beyond_an_end_is_refused_with_found_limit_and_fix(name, end, by):
    fault = refused(name, moved(ROWS[name][end], by))
    assert fault.found
    assert fault.limit
    assert fault.fix.endswith((".", "?"))
    assert fault.place.line == len(BUILD.splitlines()) + 2


@pytest.mark.parametrize(
    ("name", "text"), [("assumed_case_leak", "0 cm2"), ("stall_share", "0 %"), ("dust_strength", "0 %")]
)
def test_what_a_formula_divides_by_is_never_zero(name, text):
    fault = refused(name, text)
    assert fault.found == f'"{text}" is out of reason'
    assert ROWS[name]["low"] in fault.limit


def test_an_end_typed_in_another_unit_belongs_to_it():
    assert read("summer_room", "-40 °F")("summer_room") == pytest.approx(233.15)  # -40 °F is -40 °C


def test_the_page_tells_the_ends_as_they_are():
    told = manual.rows(PAGE.read_text(encoding="utf-8"), "name")
    assert told == [[f"`{r['name']}`", r["low"], r["high"], r["beyond"]] for r in ROWS.values()]
