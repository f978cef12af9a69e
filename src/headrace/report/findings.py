"""The report of a check: findings by severity, what could not be judged, and a last line that counts both."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from headrace.checks.finding import Finding, Severity, Skipped
from headrace.loop.model import Loop
from headrace.report.tree import Line, Section, Tone

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
            lines = tuple(Line(f"{finding.check.id}  {finding}", _TONES[severity]) for finding in here)
            body.append(Section(severity.value, lines))
    if skipped:
        body.append(Section("could not be judged", tuple(Line(_skip_text(skip), "quiet") for skip in skipped)))
    body.append(Line(count_text(findings, skipped)))
    return Section(f"{loop.name or loop.file}: fit and safety", tuple(body))


def _skip_text(skip: Skipped) -> str:
    return f"{skip.check.id}  {skip.place}: {skip.subject}: {skip.reason}"


def count_text(findings: Sequence[Finding], skipped: Sequence[Skipped]) -> str:
    """How many findings of each severity, how many skips."""
    counts = Counter(finding.check.severity for finding in findings)
    found = ", ".join(f"{counts[severity]} {severity.value}" for severity in Severity if counts[severity])
    total = f"{len(findings)} finding{'s' if len(findings) != 1 else ''}"
    return f"{total}{f' ({found})' if found else ''}, {len(skipped)} not judged"
