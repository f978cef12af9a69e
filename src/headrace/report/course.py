"""The report of events in time: a table of all of them, or the course of one; the same as JSON and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

import numpy as np

from headrace.loop.model import Loop
from headrace.plan.outcomes import Outcome, Watched, passed_before
from headrace.report.tree import Cell, Column, Line, Section, Table, Tone
from headrace.solve.solution import Solution
from headrace.units import Array, show

CAUTION = (
    "a stopped pump can boil the water in a block within tens of seconds. This computation is no permission to try it: "
    "rely on the limits that board and chips set themselves, and switch the power off when a pump stops."
)
_MOMENTS_S = (0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0)
_LONG_S = 4.0 * 3600.0
_EXACT_S = 100.0
_CLIMB_K = 0.05  # half the last digit shown


def moments_s(outcome: Outcome, every_s: float | None = None) -> Array:
    """The times to show a course at: evenly, or close together at first; its last one always."""
    last = float(outcome.course.time_s[-1])
    if every_s is None:
        chosen = [time for time in (*_MOMENTS_S, *np.arange(_LONG_S, last, _LONG_S)) if time < last * (1.0 - 1e-9)]
        return np.array([*chosen, last])
    even = np.arange(0.0, last, every_s)
    return np.append(even[even < last * (1.0 - 1e-9)], last)


def report_events(loop: Loop, outcomes: Sequence[Outcome]) -> Section:
    """One row an event; the first is the warm-up of the state."""
    heads = ("63 % of the way", "first limit passed", "after", "hottest coolant at last")
    columns = (Column("event"), *(Column(head, number=head != "first limit passed") for head in heads))
    rows = tuple(_event_row(outcome) for outcome in outcomes)
    return Section(
        _title(loop, outcomes[0]),
        (
            _speed(outcomes[0]),
            *_before(outcomes),
            Section("Events", (Table(columns, rows), *_caution(any(o.event.stops_water for o in outcomes)))),
            _trust([note for outcome in outcomes for note in outcome.notes]),
        ),
    )


def report_course(loop: Loop, outcome: Outcome, time_s: Array) -> Section:
    """One event: its course, the limits it passes, where it ends."""
    return Section(
        _title(loop, outcome),
        (
            _speed(outcome),
            Line(f"{_name(outcome)}: {_way(outcome)}"),
            *_caution(outcome.event.stops_water),
            Section("Course", (_course(outcome, time_s),)),
            Section("Limits", _limits(outcome)),
            _trust(outcome.notes),
        ),
    )


def _title(loop: Loop, outcome: Outcome) -> str:
    state = outcome.event.start or outcome.event.end
    return f"{loop.name or loop.file}: state {state.name}, room {show(float(state.room_k), 'room_k')}"


def _name(outcome: Outcome) -> str:
    start, end = outcome.event.start, outcome.event.end
    other = start is not None and start.name != end.name
    return f"{outcome.event.name} to {end.name}" if other else outcome.event.name


def _caution(needed: bool) -> tuple[Line, ...]:
    return (Line(f"caution: {CAUTION}", "warn"),) if needed else ()


def _speed(outcome: Outcome) -> Line:
    """The time constant of where the event leads, and how long a soak must be."""
    if outcome.time_constant_s is None or outcome.soak_s is None:
        return Line("no time constant: nothing settles below 100 °C", "warn")
    constant, soak = show(outcome.time_constant_s, "time_s"), show(outcome.soak_s, "time_s")
    return Line(f"time constant {constant}; a soak runs {soak} (30 min, or 5 time constants where that is longer)")


def _before(outcomes: Sequence[Outcome]) -> tuple[Line, ...]:
    """Limits the steady state passes already."""
    found = [f"{watched.what} over {show(watched.limit_k, 'temp_k')}" for watched in passed_before(outcomes)]
    return (Line(f"already so in the steady state: {'; '.join(found)}", "bad"),) if found else ()


def _event_row(outcome: Outcome) -> tuple[Cell, ...]:
    """Name, speed, the first limit passed, where it ends."""
    crossed, climbing = outcome.crossed, _over_and_climbing(outcome)
    shown = crossed or climbing
    first = f"{shown[0].what} {show(shown[0].limit_k, 'temp_k')}" if shown else "none"
    more = f", {len(crossed) - 1} more later" if len(crossed) > 1 else ""
    after = _about(crossed[0].to_limit_s or 0.0) if crossed else "so before" if climbing else ""
    tone: Tone = "bad" if shown else ""
    way = outcome.most_of_the_way_s
    return (
        Cell(outcome.event.name),
        Cell("" if way is None else _about(way)),
        Cell(first + more, tone),
        Cell(after, tone),
        Cell(_last(outcome), "" if outcome.end is not None else "bad"),
    )


def _over_and_climbing(outcome: Outcome) -> tuple[Watched, ...]:
    """The limits passed before the event, where the coolant warms on from there."""
    hottest_k = outcome.course.hottest_k
    warms = float(hottest_k[-1]) > float(hottest_k[0]) + _CLIMB_K
    return tuple(watched for watched in outcome.passed if watched.before) if warms else ()


def _about(time_s: float) -> str:
    """A time that is known to 20 %: two figures up to a minute and a half, then minutes."""
    return show(float(f"{time_s:.2g}") if time_s < _EXACT_S else time_s, "time_s")


def _last(outcome: Outcome) -> str:
    """Where the hottest coolant ends, in a few words."""
    if outcome.end is not None:
        return show(outcome.end.hottest[1], "temp_k")
    if outcome.boils_s is not None:
        return f"boils after {_about(outcome.boils_s)}"
    last = float(outcome.course.hottest_k[-1])
    return f"{show(last, 'temp_k')} after {show(float(outcome.course.time_s[-1]), 'time_s')}, not settled"


def _way(outcome: Outcome) -> str:
    first = show(float(outcome.course.hottest_k[0]), "temp_k")
    if outcome.end is not None:
        way = outcome.most_of_the_way_s
        share = "" if way is None else f", 63 % of the way after {_about(way)}"
        return f"hottest coolant from {first} to {_last(outcome)} at last{share}"
    return f"hottest coolant from {first}, never settles below 100 °C: {_last(outcome)}"


def _course(outcome: Outcome, time_s: Array) -> Table:
    course, chips = outcome.course, outcome.course.cells.masses.chips
    ramps = outcome.event.ramp_s > 0.0
    heads = (
        "time",
        "coolant",
        *(f"chip {chip.part}" for chip in chips),
        "heat given off",
        *(["room"] if ramps else []),
    )
    columns = [course.hottest_k, *course.chip_k.T, course.heat_w, *([course.room_k] if ramps else [])]
    kinds = ["temp_k"] * (1 + len(chips)) + ["heat_w"] + ["temp_k"] * ramps
    shown = [course.at(column, time_s) for column in columns]
    rows = tuple(
        (Cell(show(float(time), "time_s")), *(Cell(show(float(v[i]), k)) for v, k in zip(shown, kinds, strict=True)))
        for i, time in enumerate(time_s)
    )
    return Table(tuple(Column(head, number=True) for head in heads), rows)


def _limits(outcome: Outcome) -> tuple[Table | Line, ...]:
    """Limits that are passed, then those of coolant and chips that are not; the rest is counted."""
    kept = [watched for watched in outcome.watched if watched.to_limit_s is None]
    named = [watched for watched in kept if watched.name.partition(".")[0] in ("coolant", "chip")]
    shown = (*outcome.passed, *named)
    columns = (Column("what"), Column("limit", number=True), Column("passed after", number=True))
    table = (Table(columns, tuple(_limit_row(watched) for watched in shown)),) if shown else ()
    rest = len(kept) - len(named)
    return (*table, Line(f"limits of other parts, fittings and tubes that are not passed: {rest}", "quiet"))


def _limit_row(watched: Watched) -> tuple[Cell, ...]:
    passed = watched.to_limit_s
    text = "not passed" if passed is None else "so before" if watched.before else _about(passed)
    tone: Tone = "good" if passed is None else "bad"
    return (Cell(watched.what), Cell(show(watched.limit_k, "temp_k")), Cell(text, tone))


def _trust(notes: Sequence[str]) -> Section:
    return Section("How far to trust this", tuple(Line(f"note: {note}", "quiet") for note in dict.fromkeys(notes)))


def outcome_json(outcome: Outcome, time_s: Array) -> dict[str, Any]:
    """One event in SI."""
    course, event = outcome.course, outcome.event
    return {
        "event": event.name,
        "state": event.end.name if event.start is None else event.start.name,
        "to": event.end.name,
        "time_s": time_s.tolist(),
        "coolant_temp_k": course.at(course.hottest_k, time_s).tolist(),
        "part_temp_k": {
            chip.part: course.at(course.chip_k[:, i], time_s).tolist()
            for i, chip in enumerate(course.cells.masses.chips)
        },
        "heat_w": course.at(course.heat_w, time_s).tolist(),
        "room_k": course.at(course.room_k, time_s).tolist(),
        "limit_k": {watched.name: watched.limit_k for watched in outcome.watched},
        "to_limit_s": {watched.name: watched.to_limit_s for watched in outcome.watched},
        "boils_s": outcome.boils_s,
        "most_of_the_way_s": outcome.most_of_the_way_s,
        "end": _end_json(outcome.end),
        "time_constant_s": outcome.time_constant_s,
        "soak_s": outcome.soak_s,
        "horizon_s": outcome.horizon_s,
        "cautions": [CAUTION] if event.stops_water else [],
        "notes": list(outcome.notes),
    }


def _end_json(end: Solution | None) -> dict[str, Any] | None:
    if end is None:
        return None
    return {
        "coolant_temp_k": end.hottest[1],
        "part_temp_k": end.part_temp_k,
        "heat_w": sum(end.heat_w.values()),
    }


def events_json(outcomes: Sequence[Outcome], every_s: float | None) -> dict[str, Any]:
    """All events of a state in SI."""
    warm_up = outcomes[0]
    return {
        "state": warm_up.event.end.name,
        "time_constant_s": warm_up.time_constant_s,
        "soak_s": warm_up.soak_s,
        "events": [outcome_json(outcome, moments_s(outcome, every_s)) for outcome in outcomes],
        "notes": list(dict.fromkeys(note for outcome in outcomes for note in outcome.notes)),
    }


def courses_csv(outcomes: Sequence[Outcome], every_s: float) -> str:
    """The courses in SI, one row a time; no cell begins as a formula, since ids begin with a letter or a digit."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    chips = [chip.part for chip in outcomes[0].course.cells.masses.chips]
    heads = ("coolant_temp_k", *(f"part_temp_k {part}" for part in chips), "heat_w", "room_k")
    rows.writerow(("time_s", *heads, "event"))
    for outcome in outcomes:
        course, time_s = outcome.course, moments_s(outcome, every_s)
        columns = (course.hottest_k, *course.chip_k.T, course.heat_w, course.room_k)
        shown = np.column_stack([time_s, *(course.at(column, time_s) for column in columns)])
        rows.writerows([*(f"{value:.3f}" for value in row), outcome.event.name] for row in shown)
    return text.getvalue()
