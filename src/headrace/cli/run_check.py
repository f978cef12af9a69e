"""`headrace check`: find what does not fit or is not safe."""

from __future__ import annotations

import argparse
from pathlib import Path

from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.loop.loader import load_build


def run(words: argparse.Namespace) -> int:
    """Solve every state and run all checks."""
    if words.schema:
        from headrace.loop.schema import build_schema

        print_json(build_schema())
        return 0
    if words.build is None:
        raise BadInput(Fault(Place(), "check", "no build folder named", "", "Write: headrace check FOLDER"))
    from headrace.checks.build import solve_build
    from headrace.checks.every import run_checks

    loop = load_build(Path(words.build))
    findings, skipped = run_checks(solve_build(loop))
    if words.json:
        from headrace.report.plain import checks_json

        print_json(checks_json(findings, skipped))
    else:
        from headrace.report.findings import report_findings

        print_report_here(report_findings(loop, findings, skipped))
    return 1 if any(finding.check.severity.blocks for finding in findings) else 0
