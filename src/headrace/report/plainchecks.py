"""
Plain values of what the checks say, for JSON: SI numbers, texts as a person reads them.

Answers   what `check --json` prints of findings, waivers, skips and of one check
"""

from __future__ import annotations

from typing import Any

from headrace.checks.every import Judged
from headrace.checks.finding import Check, Finding
from headrace.loop.thresholds import Thresholds
from headrace.report.checkpage import read_page
from headrace.report.plain import place_json


def finding_json(finding: Finding) -> dict[str, Any]:
    """One finding; numbers in SI with the suffix in `unit`."""
    return {
        "check": finding.check.id,
        "title": finding.check.title,
        "severity": str(finding.check.severity),
        "gate": finding.gate.value,
        "place": place_json(finding.place),
        "subject": finding.subject,
        "found": finding.found,
        "limit": finding.limit,
        "spread": finding.spread,
        "unit": finding.check.unit,
        "fix": finding.fix,
    }


def checks_json(judged: Judged) -> dict[str, Any]:
    """All findings, those somebody let pass, waivers that meet none, and what could not be judged."""
    return {
        "findings": [finding_json(finding) for finding in judged.findings],
        "waived": [finding_json(f) | {"by": w.by, "reason": w.reason} for f, w in judged.waived],
        "idle_waivers": [{"check": w.check, "about": w.about, "place": place_json(w.place)} for w in judged.idle],
        "skipped": [
            {"check": s.check.id, "place": place_json(s.place), "subject": s.subject, "reason": s.reason}
            for s in judged.skipped
        ],
    }


def check_json(check: Check, limits: Thresholds) -> dict[str, Any]:
    """One check, what its page says, and its thresholds in SI."""
    return {
        "check": check.id,
        "title": check.title,
        "group": check.group.value,
        "severity": check.severity.value,
        "gate": check.waits.value,
        "page": {heading: list(paragraphs) for heading, paragraphs in read_page(check).items()},
        "limits": {name: {"value": limits(name), "mark": limits[name].mark} for name in check.limits},
    }
