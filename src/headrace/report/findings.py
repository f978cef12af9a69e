"""The report of a check: findings by severity, what could not be judged, and a last line that counts both."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from headrace.checks.finding import Finding, Severity, Skipped
from headrace.loop.model import Loop
from headrace.report.tree import Item, Line, Section, Tone

_TONES: dict[Severity, Tone] = {
    Severity.STOP: "bad",
    Severity.BEFORE_POWER: "bad",
    Severity.BEFORE_HANDOVER: "warn",
    Severity.NOTE: "",
}


def report_findings(loop: Loop, findings: Sequence[Finding], skipped: Sequence[Skipped]) -> Section:
    """Findings first, worst on top; skips after them; the count last."""
    body: list[Section | Line] = []
    for severity in Severity:
        here = [finding for finding in findings if finding.check.severity is severity]
        if here:
            items = tuple(Item(f.check.id, f.what_text(), f.fix, _TONES[severity]) for f in here)
            body.append(Section(severity.value, items))
    if skipped:
        items = tuple(Item(s.check.id, f"{s.place}: {s.subject}: {s.reason}", "", "quiet") for s in skipped)
        body.append(Section("could not be judged", items))
    body.append(Section("", (Line(count_text(findings, skipped)),)))
    return Section(f"{loop.name or loop.file}: fit and safety", tuple(body))


def count_text(findings: Sequence[Finding], skipped: Sequence[Skipped]) -> str:
    """How many findings of each severity, how many skips."""
    counts = Counter(finding.check.severity for finding in findings)
    found = ", ".join(f"{counts[severity]} {severity.value}" for severity in Severity if counts[severity])
    total = f"{len(findings)} finding{'s' if len(findings) != 1 else ''}"
    return f"{total}{f' ({found})' if found else ''}, {len(skipped)} not judged"
