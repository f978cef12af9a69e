"""What holds for every check: the order of tables does not matter, a wider limit adds nothing, every comparison counts."""

import json
import os
from pathlib import Path

import pytest
import tomlkit
from checkers import mutate
from checkers.rule_files import FILES, build_of, cards, said

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.loop.loader import parse_build
from headrace.loop.thresholds import usual_thresholds
from headrace.units import read_rows

PINNED = Path(__file__).parents[2] / "pinned" / "checks.json"
BY_ID = {rule.CHECK.id: rule for rule in RULES}
ENDS = {row["name"]: (row["low"], row["high"]) for row in read_rows("headrace.loop", "thresholds.csv")}
LISTS = ("part", "run", "joint", "port", "stack", "vent", "lead")


def name(file):
    return f"{file.parent.name}/{file.stem}"


def files_of(rule):
    return [file for file in FILES if file.parent.name == rule.CHECK.id]


def rule_of(file):
    return BY_ID[file.parent.name]


def build(text, file):
    return solve_build(parse_build(text, file.name, cards(file.parent.name)))


def findings(rule, build):
    return [result for result in rule.run(build) if hasattr(result, "found")]


def essence(rule, build):
    """What was found, without names and places: two parts of a pair may change places."""
    return sorted(
        (f.check.severity.value, f.check.say(f.found) if not isinstance(f.found, str) else "", f.limit_text())
        for f in findings(rule, build)
    )


@pytest.mark.parametrize("file", FILES, ids=name)
def test_the_order_of_tables_in_the_file_does_not_matter(file):
    document = tomlkit.parse(file.read_text(encoding="utf-8")).unwrap()
    turned = {key: value[::-1] if key in LISTS else value for key, value in document.items()}
    rule = rule_of(file)
    assert essence(rule, build(tomlkit.dumps(turned), file)) == essence(rule, build_of(file))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.CHECK.id)
def test_a_wider_limit_never_adds_a_finding(rule):
    """From one end of a threshold to the other, findings that must be cured only go or only come, in all files alike."""
    for threshold in rule.CHECK.limits:
        rises, falls = False, False
        usual = usual_thresholds()[threshold].value
        steps = [ENDS[threshold][0], getattr(usual, "text", f"{usual:g}"), ENDS[threshold][1]]
        for file in files_of(rule):
            text = file.read_text(encoding="utf-8")
            if "[thresholds]" in text:
                continue
            counts = []
            for step in steps:
                more = f'\n[thresholds]\n{threshold} = "{step}"\n'
                found = findings(rule, build(text + more, file))
                counts.append(sum(f.check.severity.blocks for f in found))
            rises |= counts[0] < counts[1] or counts[1] < counts[2]
            falls |= counts[0] > counts[1] or counts[1] > counts[2]
        assert not (rises and falls), threshold


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.CHECK.id)
def test_what_a_rule_says_of_its_files_is_what_was_read_and_found_right(rule):
    """Pinned: written anew with HEADRACE_PIN=1, then to be read in the diff."""
    here = {file.stem: said(rule, file) for file in files_of(rule)}
    pinned = json.loads(PINNED.read_text(encoding="utf-8")) if PINNED.exists() else {}
    if os.environ.get("HEADRACE_PIN"):
        pinned[rule.CHECK.id] = here
        text = json.dumps(dict(sorted(pinned.items())), indent=1, ensure_ascii=False)
        PINNED.write_text(text + "\n", encoding="utf-8")
    assert pinned[rule.CHECK.id] == here


def test_nothing_is_pinned_that_is_no_rule():
    assert set(json.loads(PINNED.read_text(encoding="utf-8"))) == set(BY_ID)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.CHECK.id)
def test_no_comparison_of_a_rule_can_be_turned_over_unnoticed(rule):
    assert mutate.survivors(rule) == []
