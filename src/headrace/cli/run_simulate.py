"""`headrace simulate`: what happens in time when something changes or stops."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from headrace.cli.chosen import chosen_states
from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.loop.conditions import ALL_STATES
from headrace.loop.loader import load_build
from headrace.loop.model import Loop, State
from headrace.loop.override import set_room
from headrace.loop.route import stated_route
from headrace.parts.faults import nearest
from headrace.units import Kind, Range, UnitFault, read_figure, show

if TYPE_CHECKING:
    from headrace.plan.outcomes import Outcome

STOPPED = 130  # as shells count a command stopped by Ctrl-C
_CSV_EVERY_S = 10.0
_MOST_ROWS = 100_000
_EVERY_S = Range(0.01, 86400.0)
_BETWEEN = "10 min"  # lies within every span a duration has


def run(words: argparse.Namespace) -> int:
    """Follow one event, or all standard ones."""
    try:
        return _run(words)
    except KeyboardInterrupt:
        sys.stderr.write("simulate: stopped before the end; nothing was written\n")
        return STOPPED


def _run(words: argparse.Namespace) -> int:
    from headrace.plan.events import find_event, standard_events
    from headrace.plan.outcomes import HORIZON_S, run_events

    horizon_s = _duration("--for", words.for_, HORIZON_S)
    every_s = _duration("--every", words.every, _EVERY_S)
    target = _new_file(words.csv)
    loop = load_build(Path(words.build))
    if not loop.runs and not loop.joints:
        raise BadInput(
            Fault(Place(loop.file), "", "nothing is joined, so no water flows", "", "Add [[run]] or [[order]].")
        )
    if words.state == ALL_STATES:
        raise _bad("--state", "an event starts from one state", "Name one of them, or leave --state out.")
    state = chosen_states(loop, words)[0]
    to = _other(loop, words)
    name = words.event or ("load step" if to is not None else None)
    events = standard_events(loop, state) if name is None else (find_event(loop, state, name, to),)
    outcomes = run_events(loop, stated_route(loop), events, horizon_s)
    _refuse_floods(outcomes, every_s)
    if target is not None:
        _write_csv(target, outcomes, every_s or _CSV_EVERY_S)
    return _show(loop, outcomes, every_s, as_json=words.json, all_events=name is None)


def _show(loop: Loop, outcomes: Sequence[Outcome], every_s: float | None, *, as_json: bool, all_events: bool) -> int:
    from headrace.plan.outcomes import passed_before
    from headrace.report.course import events_json, moments_s, outcome_json, report_course, report_events

    if not all_events:
        time_s = moments_s(outcomes[0], every_s)
        if as_json:
            print_json(outcome_json(outcomes[0], time_s))
        else:
            print_report_here(report_course(loop, outcomes[0], time_s))
        return 1 if outcomes[0].passed or outcomes[0].boils_s is not None else 0
    if as_json:
        print_json(events_json(outcomes, every_s))
    else:
        print_report_here(report_events(loop, outcomes))
    return 1 if passed_before(outcomes) else 0


def _other(loop: Loop, words: argparse.Namespace) -> State | None:
    """The state a load step ends in, in the room of the command line."""
    if words.to is None:
        return None
    names = [state.name for state in loop.states]
    if words.to not in names:
        raise _bad("--to", f'there is no state "{words.to}"', nearest(words.to, names))
    to = loop.state(words.to)
    return to if words.room is None else set_room(to, words.room)


def _duration(option: str, text: str | None, allowed: Range) -> float | None:
    if text is None:
        return None
    try:
        value = float(read_figure(text, Kind.TIME))
    except UnitFault as fault:
        raise BadInput(Fault(Place(), f"{option} {text}", fault.found, fault.limit, fault.fix)) from fault
    if not allowed.covers(value):
        limit = f"limit {show(allowed.low, 'time_s')} to {show(allowed.high, 'time_s')}"
        fix = f'Write a duration in between, such as {option} "{_BETWEEN}".'
        raise BadInput(Fault(Place(), f"{option} {text}", "is out of reason", limit, fix))
    return value


def _new_file(name: str | None) -> Path | None:
    if name is None:
        return None
    path = Path(name)
    if path.exists():
        raise _bad("--csv", f'"{name}" is there already', "Name a new file, so that no log is lost.")
    if not path.absolute().parent.is_dir():
        raise _bad("--csv", f'there is no folder "{path.parent}"', "Name a file in a folder that is there.")
    return path


def _refuse_floods(outcomes: Sequence[Outcome], every_s: float | None) -> None:
    rows = sum(float(outcome.course.time_s[-1]) / (every_s or _CSV_EVERY_S) for outcome in outcomes)
    if rows > _MOST_ROWS:
        raise _bad("--every", f"that makes {rows:.0f} rows", "Take a longer --every or a shorter --for.",
                   f"limit {_MOST_ROWS}")  # fmt: skip


def _write_csv(path: Path, outcomes: Sequence[Outcome], every_s: float) -> None:
    from headrace.report.course import courses_csv

    try:
        path.write_text(courses_csv(outcomes, every_s), encoding="utf-8")
    except OSError as error:
        raise _bad("--csv", f'"{path}" cannot be written: {error.strerror}', "Name another file.") from error


def _bad(option: str, found: str, fix: str, limit: str = "") -> BadInput:
    return BadInput(Fault(Place(), option, found, limit, fix))
