"""What each command does: load, call one function, render."""

from __future__ import annotations

import argparse
import io
import json
import shutil
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.text import Text

from headrace.errors import BadInput, Fault, NoSolution, Place
from headrace.loop.conditions import ALL_STATES
from headrace.loop.loader import load_build, load_own_cards
from headrace.loop.model import Loop, State
from headrace.loop.override import override_state
from headrace.loop.route import stated_route
from headrace.parts.faults import nearest
from headrace.parts.loader import load_catalogue
from headrace.parts.shipped import shipped
from headrace.report.text import clean, print_report
from headrace.report.tree import Section

PIPE_WIDTH = 110  # of a report that goes into a file or another program


def print_report_here(report: Section) -> None:
    """A report on stdout: colour on a terminal, plain lines without trailing blanks anywhere else."""
    console = Console(highlight=False)
    if console.is_terminal:
        print_report(report, console)
        return
    plain = Console(highlight=False, width=PIPE_WIDTH, no_color=True, file=io.StringIO())
    print_report(report, plain)
    text = plain.file.getvalue() if isinstance(plain.file, io.StringIO) else ""
    sys.stdout.write("".join(f"{line.rstrip()}\n" for line in text.splitlines()))


def print_json(value: Any) -> None:  # noqa: ANN401 - any plain value
    """JSON alone on stdout."""
    sys.stdout.write(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def print_faults(faults: Sequence[Fault], *, as_json: bool) -> None:
    """Every fault on stderr, one a line; as JSON on stdout when that was asked for."""
    if as_json:
        from headrace.report.plain import fault_json

        print_json({"faults": [fault_json(fault) for fault in faults]})
        return
    console = Console(stderr=True, highlight=False, soft_wrap=True)
    for fault in faults:
        console.print(Text(clean(str(fault))))


def run_new(words: argparse.Namespace) -> int:
    """Copy an example into a new folder."""
    examples = {path.name: path for path in sorted(shipped("examples").iterdir()) if (path / "build.toml").exists()}
    if words.folder is None:
        if words.json:
            print_json({"examples": list(examples)})
        else:
            from headrace.report.examples import report_examples

            print_report_here(report_examples(examples))
        return 0
    source, target = examples.get(words.example), Path(words.folder)
    if source is None:
        raise BadInput(Fault(Place(), words.example, "there is no such example", "", nearest(words.example, examples)))
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise BadInput(Fault(Place(words.folder), "", "is there already and not empty", "", "Name a new folder."))
    _copy_example(source, target, words.name)
    if words.json:
        print_json({"folder": str(target), "example": words.example})
    else:
        sys.stdout.write(
            f"{target}/build.toml is yours to edit. Next: headrace check {target}   headrace solve {target}\n"
        )
    return 0


def _copy_example(source: Path, target: Path, name: str | None) -> None:
    from headrace.loop.edit import save_text, set_value

    try:
        shutil.copytree(source, target, dirs_exist_ok=True)
        if name is not None:
            path = target / "build.toml"
            save_text(path, set_value(path.read_text(encoding="utf-8"), ("name",), name))
    except OSError as error:
        raise BadInput(
            Fault(Place(str(target)), "", f"cannot be written: {error.strerror}", "", "Name another folder.")
        ) from error


def run_check(words: argparse.Namespace) -> int:
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


def run_solve(words: argparse.Namespace) -> int:
    """Solve one state or all."""
    from headrace.report.plain import fault_json, solution_json
    from headrace.report.solution import limits_exceeded, report_solution
    from headrace.solve.steady import solve

    loop = load_build(Path(words.build))
    route = stated_route(loop)
    solutions, found, faults = [], [], []
    for state in _states(loop, words):
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


def _states(loop: Loop, words: argparse.Namespace) -> list[State]:
    """The states asked for, with the settings of the command line."""
    if not loop.states:
        fix = "Add [[state]] with name, room, heat and speed."
        raise BadInput(Fault(Place(loop.file), "", "the build has no state to solve", "", fix))
    names = [state.name for state in loop.states]
    if words.state not in (None, ALL_STATES, *names):
        raise BadInput(
            Fault(Place(loop.file), "--state", f'there is no state "{words.state}"', "", nearest(words.state, names))
        )
    chosen = list(loop.states) if words.state == ALL_STATES else [loop.state(words.state)]
    settings = ([f"room={words.room}"] if words.room else []) + words.settings
    return [override_state(loop, state, settings) for state in chosen]


def run_parts(words: argparse.Namespace) -> int:
    """List cards, or show one."""
    from headrace.report.parts import report_card, report_cards

    if words.schema:
        from headrace.loop.schema import card_schema

        print_json(card_schema())
        return 0
    if words.build and not Path(words.build).is_dir():
        raise BadInput(Fault(Place(words.build), "", "there is no such folder", "", "Name a build folder."))
    cards = load_own_cards(Path(words.build)) if words.build else load_catalogue()
    if words.card in cards:
        card = cards[words.card]
        if words.json:
            print_json(card.model_dump(mode="json", exclude_unset=True))
        else:
            print_report_here(report_card(card))
        return 0
    found = [
        card
        for card in cards.values()
        if not words.card or words.card.lower() in f"{card.id} {card.name} {getattr(card, 'kind', '')}".lower()
    ]
    if not found:
        raise BadInput(
            Fault(Place(), "parts", f'no card is called or holds "{words.card}"', "", nearest(words.card, cards))
        )
    if words.json:
        print_json([{"id": card.id, "kind": getattr(card, "kind", ""), "name": card.name} for card in found])
    else:
        print_report_here(report_cards(found))
    return 0


def run_explain(words: argparse.Namespace) -> int:
    """Open one number, or list the names there are."""
    from headrace.report.explain import report_explained
    from headrace.report.plain import explained_json
    from headrace.solve.explain import Explainer
    from headrace.solve.steady import solve

    loop = load_build(Path(words.build))
    state = _states(loop, words)[0]
    explainer = Explainer(loop, state, solve(loop, stated_route(loop), state), max(words.depth, 1))
    names = list(explainer.names())
    if words.name is None:
        if words.json:
            print_json(names)
        else:
            sys.stdout.write("\n".join(names) + "\n")
        return 0
    if words.name not in names:
        raise BadInput(Fault(Place(), "explain", f'there is no number "{words.name}"', "", nearest(words.name, names)))
    opened = explainer.open(words.name)
    if words.json:
        print_json(explained_json(opened))
    else:
        print_report_here(report_explained(opened))
    return 0
