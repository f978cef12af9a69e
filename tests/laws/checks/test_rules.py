"""Every check against its own loop files: what fails is found, what passes is silent, what is unknown is skipped."""

import re
from pathlib import Path

import pytest
from checkers import rule_files
from checkers.rule_files import build_of

from headrace.checks.every import RULES, checks, run_checks
from headrace.checks.finding import Finding, Severity, Skipped
from headrace.loop.thresholds import usual_thresholds

ALWAYS = ("place_spread", "outline_spread")  # loop.placed reads them for every clearance
PAGES = Path(__file__).resolve().parents[3] / "docs" / "checks"
FILES = rule_files.FILES
BY_ID = {rule.CHECK.id: rule for rule in RULES}


def results(file):
    found = list(BY_ID[file.parent.name].run(build_of(file)))
    return [r for r in found if isinstance(r, Finding)], [r for r in found if isinstance(r, Skipped)]


def name(file):
    return f"{file.parent.name}/{file.stem}"


def of(kind):
    return pytest.mark.parametrize("file", [f for f in FILES if f.name.startswith(f"{kind}-")], ids=name)


@of("fail")
def test_what_fails_is_found(file):
    findings, _ = results(file)
    assert findings
    lines = file.read_text(encoding="utf-8").count("\n")
    for finding in findings:
        assert finding.check.id == file.parent.name
        assert finding.place.file == file.name
        assert 1 <= finding.place.line <= lines
        assert finding.subject
        assert finding.found_text()
        assert finding.limit_text()
        assert len(finding.fix) > 20
        assert finding.fix.endswith(".")
        assert isinstance(finding.found, str) or re.search(r"\d", finding.found_text())


@of("fail")
def test_a_message_has_place_subject_found_limit_and_cure(file):
    for finding in results(file)[0]:
        text = str(finding)
        head = f"{finding.place}: {finding.subject}: "
        assert text.startswith(head)
        word = "; wanted:" if isinstance(finding.limit, str) else ", limit"
        assert f"{word} {finding.limit_text()}. {finding.fix}" in text
        assert "  " not in text
        assert "None" not in text


@of("fail")
def test_only_what_its_file_calls_a_note_is_one(file):
    first = file.read_text(encoding="utf-8").partition("\n")[0]
    mild = {finding.check.severity is Severity.NOTE for finding in results(file)[0]}
    assert (mild == {True}) is ("a note" in first)


@of("pass")
def test_what_passes_is_silent(file):
    findings, skipped = results(file)
    assert [str(finding) for finding in findings] == []
    assert [skip.reason for skip in skipped] == []


@of("skip")
def test_what_is_unknown_is_skipped_with_its_reason(file):
    findings, skipped = results(file)
    assert [str(finding) for finding in findings] == []
    assert skipped
    for skip in skipped:
        assert skip.place.file == file.name
        assert skip.place.line >= 1
        assert skip.subject
        assert len(skip.reason) > 10


@pytest.mark.parametrize("file", FILES, ids=name)
def test_every_file_says_first_what_it_is_about(file):
    assert file.name.split("-")[0] in ("fail", "pass", "skip")
    assert re.match(r"# [A-Z0-9].*\.\n", file.read_text(encoding="utf-8"))


@pytest.mark.parametrize("check", checks(), ids=lambda check: check.id)
def test_every_check_has_all_three_kinds_of_file(check):
    kinds = {file.name.split("-")[0] for file in FILES if file.parent.name == check.id}
    assert kinds == {"fail", "pass", "skip"}


def test_there_is_no_file_without_a_check():
    assert {file.parent.name for file in FILES} == set(BY_ID)


def test_no_id_stands_twice():
    assert len(BY_ID) == len(RULES)


def test_the_manual_has_a_page_for_every_check_and_none_besides():
    assert {page.stem for page in PAGES.glob("*.md")} == set(BY_ID)


@pytest.mark.parametrize("check", checks(), ids=lambda check: check.id)
def test_a_page_says_what_why_limit_cure_and_what_to_state(check):
    text = (PAGES / f"{check.id}.md").read_text(encoding="utf-8")
    assert text.startswith(f"# {check.id}: {check.title}\n")
    assert check.severity.value in text
    headings = re.findall(r"^## (.*)$", text, re.M)
    assert headings == ["What it looks at", "Why", "Limit", "Cure", "When it is skipped"]


@pytest.mark.parametrize("check", checks(), ids=lambda check: check.id)
def test_a_page_names_the_thresholds_its_check_uses_with_value_and_mark(check):
    page = (PAGES / f"{check.id}.md").read_text(encoding="utf-8")
    rows = {row[0].strip("`"): row for row in re.findall(r"^\| (`\w+`) \| (.*?) \| (.*?) \|$", page, re.M)}
    table = usual_thresholds()
    assert set(rows) == set(check.limits)
    for threshold in check.limits:
        assert rows[threshold][1] == getattr(table[threshold].value, "text", f"{table[threshold].value:g}")
        assert rows[threshold][2] == table[threshold].mark


@pytest.mark.parametrize("check", checks(), ids=lambda check: check.id)
def test_a_check_names_the_thresholds_its_file_reads(check):
    rule = Path(BY_ID[check.id].__file__)
    own = rule.read_text(encoding="utf-8").split("\n)\n", 1)[-1]
    helpers = "".join(path.read_text(encoding="utf-8") for path in rule.parents[1].glob("*.py"))
    table = usual_thresholds()
    assert {name for name in table if f'"{name}"' in own} <= set(check.limits)
    assert all(f'"{name}"' in own + helpers or name in ALWAYS for name in check.limits)


@pytest.mark.parametrize("file", FILES, ids=name)
def test_no_check_raises_on_any_of_the_files(file):
    judged = run_checks(build_of(file))
    assert all(str(finding) for finding in judged.findings)
    assert all(skip.reason for skip in judged.skipped)


def test_a_check_keeps_its_id_when_one_finding_is_graded():
    check = checks()[0]
    graded = check.graded(Severity.NOTE)
    assert (graded.id, graded.title, graded.severity) == (check.id, check.title, Severity.NOTE)
    assert check.severity is not Severity.NOTE
