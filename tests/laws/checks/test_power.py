"""Electricity and service: more room never adds a finding, and the order of the file does not matter."""

from functools import cache

import hypothesis.strategies as st
from checkers import rule_files
from hypothesis import given, settings

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding
from headrace.loop.loader import parse_build

BY_ID = {rule.CHECK.id: rule for rule in RULES}
POINTS = st.tuples(*[st.integers(-600, 600)] * 3)


def found(id_, *tables):
    """What a check finds and skips in a build of these tables, without the places."""
    text = "\n".join(("format = 1", *tables))
    results = tuple(BY_ID[id_].run(solve_build(parse_build(text, "build.toml", rule_files.cards(id_)))))
    findings = [result for result in results if isinstance(result, Finding)]
    return sorted((f.subject, f.found_text(), f.check.severity.value) for f in findings), len(results) - len(findings)


@cache
def cable(cable_mm, at, reserve_mm=50):
    return found(
        "POWER-06",
        f'[thresholds]\ncable_reserve = "{reserve_mm} mm"',
        f'[[part]]\nid = "pump"\ncard = "pump-box"\nat_mm = {list(at)}',
        '[[part]]\nid = "board"\ncard = "board-placed"\nat_mm = [0, 0, 0]',
        f'[[lead]]\npart = "pump"\nto = "board.header"\ncable = "{cable_mm} mm"',
    )[0]


@settings(max_examples=40)
@given(POINTS, st.integers(1, 1500), st.integers(0, 500))
def test_a_longer_cable_never_adds_a_finding(at, cable_mm, more):
    assert len(cable(cable_mm + more, at)) <= len(cable(cable_mm, at))


@settings(max_examples=40)
@given(st.tuples(*[st.integers(0, 600)] * 3), st.integers(1, 1500), st.integers(0, 2), st.integers(0, 500))
def test_a_pump_farther_away_never_lets_a_cable_reach(at, cable_mm, axis, more):
    away = tuple(x + more * (i == axis) for i, x in enumerate(at))
    assert len(cable(cable_mm, away)) >= len(cable(cable_mm, at))


@settings(max_examples=30)
@given(POINTS, st.integers(1, 1500), st.integers(0, 200), st.integers(0, 200))
def test_less_reserve_never_adds_a_finding(at, cable_mm, reserve_mm, less):
    assert len(cable(cable_mm, at, max(reserve_mm - less, 0))) <= len(cable(cable_mm, at, reserve_mm))


PARTS = ('[[part]]\nid = "board"\ncard = "board"', '[[part]]\nid = "psu"\ncard = "supply"')
OUTLETS = st.sampled_from(("board.fan-header", "board.pump-header", "psu.drive-plug"))
ONE_LEAD = st.tuples(
    OUTLETS, st.sampled_from(("", "\ntach = true", "\ntach = false")), st.booleans(), st.integers(1, 6)
)


def wired(leads):
    """One radiator, stack and lead each."""
    tables = list(PARTS)
    for name, (to, tach, splitter, fans) in leads:
        tables += [
            f'[[part]]\nid = "rad-{name}"\ncard = "radiator"',
            f'[[stack]]\nid = "{name}"\nradiator = "rad-{name}"\nfan = "fan-120"\nfans = {fans}\nair = "100 m3/h"',
            f'[[lead]]\npart = "{name}"\nto = "{to}"{tach}\nsplitter = {str(splitter).lower()}',
        ]
    return tables


def judged(id_, tables):
    """Findings as the words of their subject in any order, with their severity."""
    findings, skipped = found(id_, *tables)
    return sorted((sorted(subject.replace(",", "").split()), grade) for subject, _, grade in findings), skipped


@settings(max_examples=40)
@given(st.lists(ONE_LEAD, min_size=1, max_size=4), st.randoms(use_true_random=False))
def test_the_order_of_the_file_does_not_matter(leads, random):
    named = list(zip("abcd", leads, strict=False))
    tables = wired(named)
    mixed = list(tables)
    random.shuffle(mixed)
    for id_ in ("POWER-02", "POWER-03", "POWER-05", "POWER-06", "POWER-07", "POWER-08", "POWER-09"):
        assert judged(id_, mixed) == judged(id_, tables)


@settings(max_examples=30)
@given(st.lists(ONE_LEAD, min_size=1, max_size=4), st.integers(1, 20), st.integers(0, 10))
def test_more_fans_allowed_on_a_header_never_adds_a_finding(leads, most, more):
    tables = wired(list(zip("abcd", leads, strict=False)))
    less = found("POWER-02", f'[thresholds]\nsplitter_fans = "{most}"', *tables)[0]
    assert len(found("POWER-02", f'[thresholds]\nsplitter_fans = "{min(most + more, 20)}"', *tables)[0]) <= len(less)


def weighed(limit_kg, volume):
    block = f'[[part]]\nid = "cpu"\ncard = "block-{volume}"'
    return found("SERVICE-04", f'[thresholds]\ntwo_people = "{limit_kg} kg"', '[case]\ncard = "case-10"', block)[0]


@settings(max_examples=30)
@given(st.floats(1, 100), st.floats(0, 20), st.sampled_from(("950", "1050")))
def test_stronger_people_never_add_a_finding(limit_kg, more, volume):
    assert len(weighed(min(limit_kg + more, 100), volume)) <= len(weighed(limit_kg, volume))


def dripping(x, y, z):
    return found(
        "SERVICE-02",
        '[[part]]\nid = "psu"\ncard = "supply-box"\nat_mm = [0, 0, 0]',
        f'[[part]]\nid = "rad"\ncard = "radiator"\nat_mm = [{x}, {y}, {z}]',
        '[[run]]\nfrom = "rad.out"\nto = "rad.in"\ntube = "soft-10-16"\nfrom_with = "collar-10-16"\nto_with = "collar-10-16"',
    )[0]


@settings(max_examples=40)
@given(st.integers(-100, 300), st.integers(-200, 300), st.integers(100, 400), st.integers(0, 400))
def test_what_drips_from_high_drips_from_higher(x, y, z, more):
    assert dripping(x, y, z) == dripping(x, y, z + more)
    assert bool(dripping(x, y, z)) is (0 < x < 160 and (0 < y < 150 or 0 < y + 60 < 150))
