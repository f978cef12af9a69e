"""`headrace solve`: balance flow, heat and air of one state or of all."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from headrace.cli.chosen import chosen_states
from headrace.cli.shown import print_faults, print_json, print_report_here
from headrace.errors import NoSolution
from headrace.loop.conditions import ALL_STATES
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route


def run(words: argparse.Namespace) -> int:
    """Solve one state or all."""
    from headrace.report.plain import fault_json, solution_json
    from headrace.report.solution import limits_exceeded, report_solution
    from headrace.solve.steady import solve

    loop = load_build(Path(words.build))
    route = stated_route(loop)
    solutions, found, faults = [], [], []
    for state in chosen_states(loop, words):
        try:
            solutions.append(solve(loop, route, state))
            found.append(solution_json(solutions[-1]))
        except NoSolution as error:
            faults += [replace(fault, subject=f'state "{state.name}", {fault.subject}') for fault in error.faults]
            found.append({"state": state.name, "faults": [fault_json(fault) for fault in error.faults]})
    if words.json:
        print_json(found if words.state == ALL_STATES else found[0])
    else:
        for solution in solutions:
            print_report_here(report_solution(loop, solution))
        print_faults(faults, as_json=False)
    if faults:
        return 2
    return 1 if any(limits_exceeded(loop, solution) for solution in solutions) else 0
