"""A waiver lets one finding pass by name and reason; nothing else changes."""

import pytest
from checkers.manual import ROOT

from headrace.checks.build import solve_build
from headrace.checks.every import run_checks
from headrace.checks.finding import Gate, Severity
from headrace.cli.main import main
from headrace.errors import BadInput
from headrace.loop.loader import load_own_cards, parse_build

FOLDER = ROOT / "examples" / "dual-gpu-workstation"
TEXT = (FOLDER / "build.toml").read_text(encoding="utf-8")
WAIVER = """
[[waiver]]
check = "{check}"
about = "{about}"
by = "R. Voss"
reason = "{reason}"
"""


def judge(*waivers):
    text = TEXT + "".join(WAIVER.format(**{"reason": "tried on the bench, it seats"} | w) for w in waivers)
    return run_checks(solve_build(parse_build(text, "build.toml", load_own_cards(FOLDER))))


def ids(findings):
    return sorted((finding.check.id, finding.subject) for finding in findings)


def test_a_waived_finding_is_shown_apart_with_name_and_reason():
    plain, waived = judge(), judge({"check": "THREAD-02", "about": "cpu.in"})
    ((finding, waiver),) = waived.waived
    assert (finding.check.id, waiver.by, waiver.reason) == ("THREAD-02", "R. Voss", "tried on the bench, it seats")
    assert ids([*waived.findings, finding]) == ids(plain.findings)
    assert waived.skipped == plain.skipped
    assert not waived.idle


@pytest.mark.parametrize(
    ("check", "about"), [("THREAD-02", "cpu.out"), ("THREAD-01", "cpu.in"), ("THREAD-02", "cpu"), ("THREAD-02", "in")]
)
def test_a_waiver_that_meets_no_finding_is_told_and_lets_nothing_pass(check, about):
    judged = judge({"check": check, "about": about})
    assert ids(judged.findings) == ids(judge().findings)
    assert [waiver.about for waiver in judged.idle] == [about]


def test_a_build_with_every_finding_waived_is_not_blocked():
    found = [f for f in judge().findings if f.check.severity.blocks]
    names = [(f.check.id, f.subject.split('"')[1]) for f in found]
    judged = judge(*({"check": check, "about": about} for check, about in set(names)))
    assert not judged.blocked
    assert all(finding.check.severity is Severity.NOTE for finding in judged.findings)


def test_a_waiver_of_no_check_is_refused_with_the_nearest_name():
    with pytest.raises(BadInput, match=r'there is no check "THRED-02"\. Did you mean "THREAD-02"'):
        judge({"check": "THRED-02", "about": "cpu.in"})


@pytest.mark.parametrize(("key", "value"), [("reason", "ok"), ("by", ""), ("check", "thread"), ("about", "")])
def test_a_waiver_without_name_reason_or_subject_does_not_load(key, value):
    fields = {"check": "THREAD-02", "about": "cpu.in", "by": "R. Voss", "reason": "tried on the bench"} | {key: value}
    text = TEXT + "\n[[waiver]]\n" + "".join(f'{name} = "{said}"\n' for name, said in fields.items())
    with pytest.raises(BadInput, match=rf"waiver.*{key}"):
        parse_build(text, "build.toml", load_own_cards(FOLDER))


def test_every_severity_has_its_gate():
    assert [severity.gate for severity in Severity] == [Gate.BUYING, Gate.POWER, Gate.HANDOVER, Gate.HANDOVER]


def test_the_report_and_json_show_waivers_and_gates(tmp_path, capsys):
    folder = tmp_path / "own"
    assert main(["new", str(folder), "--example", "dual-gpu-workstation"]) == 0
    path = folder / "build.toml"
    path.write_text(
        path.read_text(encoding="utf-8")
        + WAIVER.format(check="THREAD-02", about="cpu.in", reason="tried on the bench, it seats")
        + WAIVER.format(check="PORT-02", about="cpu.out", reason="written by mistake here"),
        encoding="utf-8",
    )
    capsys.readouterr()
    assert main(["check", str(folder)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "let pass THREAD-02" in said
    assert "Let pass by R. Voss: tried on the bench, it seats" in said
    assert 'the waiver about "cpu.out" lets nothing pass: no finding of PORT-02 names it' in said
    assert "1 let pass" in said
    stops = [f for f in judge().findings if f.gate is Gate.BUYING and f.check.severity.blocks]
    assert f"buying waits for {len(stops) - 1}" in said


def test_a_check_opens_with_its_thresholds_and_a_wrong_id_gets_the_nearest(capsys):
    assert main(["check", "--explain", "PORT-01"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("PORT-01: Collars too close on one part")
    assert "collar_gap" in said
    assert all(f"\n{heading}\n" in said for heading in ("What it looks at", "Why", "Limit", "Cure"))
    assert "common practice, no source" in said
    assert main(["check", "--explain", "PORT-99"]) == 2
    assert "Did you mean" in capsys.readouterr().err
