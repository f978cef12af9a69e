"""`headrace check`: find what does not fit or is not safe."""

from __future__ import annotations

import argparse
from pathlib import Path

from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.loop.loader import load_build
from headrace.loop.thresholds import usual_thresholds


def run(words: argparse.Namespace) -> int:
    """Solve every state and run all checks."""
    if words.schema:
        from headrace.loop.schema import build_schema

        print_json(build_schema())
        return 0
    if words.explain is not None:
        return _explain(words)
    if words.build is None:
        raise BadInput(Fault(Place(), "check", "no build folder named", "", "Write: headrace check FOLDER"))
    from headrace.checks.build import solve_build
    from headrace.checks.every import run_checks

    loop = load_build(Path(words.build))
    judged = run_checks(solve_build(loop))
    if words.json:
        from headrace.report.plainchecks import checks_json

        print_json(checks_json(judged))
    else:
        from headrace.report.findings import report_findings

        print_report_here(report_findings(loop, judged, every_skip=words.all))
    return 1 if judged.blocked else 0


def _explain(words: argparse.Namespace) -> int:
    """One check: what it looks at, why, its limits."""
    from headrace.checks.every import find_check

    check = find_check(words.explain)
    limits = load_build(Path(words.build)).thresholds if words.build is not None else usual_thresholds()
    if words.json:
        from headrace.report.plainchecks import check_json

        print_json(check_json(check, limits))
    else:
        from headrace.report.checkpage import report_check

        print_report_here(report_check(check, limits))
    return 0
