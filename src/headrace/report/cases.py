"""The cases of a state, side by side with the state as it is: as a report tree and as plain values for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from headrace.plan.cases import Case, Cases, Outcome
from headrace.plan.limits import Judged
from headrace.report.plain import fault_json
from headrace.report.tree import Cell, Column, Line, Section, Table, Tone
from headrace.solve.solution import BlockResult, Solution
from headrace.units import show, show_difference

_HEADS = ("flow", "coolant", "change", "tightest chip", "change", "margin", "sound")
_CAUTION = (
    "a pump that stops under load leaves seconds, see headrace simulate: no row here is a permission to try it, and "
    "only the limits of the board itself guard the chip"
)


def report_cases(cases: Cases) -> Section:
    """One row a case, then what each means and what could not be told."""
    case, solution = cases.nominal.case, cases.nominal.solution
    assert solution is not None
    title = (
        f"{case.loop.name or case.loop.file}: cases of state {case.state.name}, room {show(solution.room_k, 'room_k')}"
    )
    columns = (Column("case"), *(Column(head, number=head != "tightest chip") for head in _HEADS), Column("limits"))
    rows = tuple(_row(outcome, solution) for outcome in (cases.nominal, *cases.outcomes))
    return Section(title, (Table(columns, rows), Section("What they mean", tuple(_meanings(cases)))))


def signed(diff_k: float, digits: int | None = None) -> str:
    """A difference with its sign, so that it is never taken for a temperature."""
    text = show_difference(diff_k, digits)
    return text if text.startswith("-") or float(text.split()[0]) == 0.0 else f"+{text}"


def tightest_chip(solution: Solution) -> BlockResult | None:
    """The chip with the least margin, or the hottest where no chip has a limit."""
    limited = [block for block in solution.blocks if block.margin_k is not None]
    if limited:
        return min(limited, key=lambda block: block.margin_k or 0.0)
    return max(solution.blocks, key=lambda block: block.temp_k, default=None)


def _row(outcome: Outcome, nominal: Solution) -> tuple[Cell, ...]:
    solution, name = outcome.solution, Cell(outcome.case.name)
    if solution is None:
        fault = outcome.faults[0]
        return (name, *[Cell("")] * len(_HEADS), Cell(f"no answer: {fault.subject} {fault.found}", "bad"))
    itself = solution is nominal
    chip = tightest_chip(solution)
    limits: tuple[str, Tone] = ("hold", "good") if outcome.limits else ("none stated", "quiet")
    if outcome.broken:
        limits = ", ".join(_past(limit) for limit in outcome.broken), "bad"
    noise = solution.noise
    return (
        name,
        Cell(show(solution.pump_flow_m3_s, "flow_m3_s")),
        Cell(show(solution.hottest[1], "temp_k")),
        Cell("" if itself else signed(solution.hottest[1] - nominal.hottest[1])),
        Cell(f"{chip.part} {show(chip.temp_k, 'temp_k')}" if chip else ""),
        Cell("" if itself or chip is None else signed(chip.temp_k - nominal.part_temp_k[chip.part])),
        Cell(show_difference(chip.margin_k) if chip and chip.margin_k is not None else ""),
        Cell(show(noise.total_db, "noise_db") if noise else "unknown"),
        Cell(*limits),
    )


def _past(limit: Judged) -> str:
    """What is broken and by how much: "coolant over by 4.7 K"."""
    name = limit.name.partition(".")[2] or limit.name
    by = show_difference(limit.past) if limit.suffix == "k" else show(limit.past, f"x_{limit.suffix}")
    return f"{name} {'short' if limit.least else 'over'} by {by.replace('dBA', 'dB')}"


def _meanings(cases: Cases) -> Iterator[Line]:
    for outcome in cases.outcomes:
        yield Line(f"{outcome.case.name}: {outcome.case.change}")
        yield from (Line(f"    {note}", "quiet") for note in outcome.notes)
    yield from (Line(f"{name}: left out, {reason}", "quiet") for name, reason in cases.skipped)
    yield Line("limits: what is broken and by how much; nominal values, without bands", "quiet")
    yield Line(_CAUTION, "warn")


def cases_json(cases: Cases) -> dict[str, Any]:
    """All cases in SI; a case without a solution has `faults`."""
    nominal = cases.nominal.solution
    assert nominal is not None
    return {
        "state": cases.nominal.case.state.name,
        "nominal": _outcome_json(cases.nominal, nominal),
        "cases": [_outcome_json(outcome, nominal) for outcome in cases.outcomes],
        "skipped": [{"case": name, "reason": reason} for name, reason in cases.skipped],
    }


def _outcome_json(outcome: Outcome, nominal: Solution) -> dict[str, Any]:
    solution = outcome.solution
    if solution is None:
        return {**_named(outcome.case), "faults": [fault_json(fault) for fault in outcome.faults]}
    temps = solution.part_temp_k
    return {
        **_named(outcome.case),
        "flow_m3_s": solution.pump_flow_m3_s,
        "hottest_k": solution.hottest[1],
        "hottest_diff_k": solution.hottest[1] - nominal.hottest[1],
        "part_temp_k": temps,
        "part_diff_k": {part: temp - nominal.part_temp_k[part] for part, temp in temps.items()},
        "margin_k": solution.margin_k,
        "noise_db": solution.noise.total_db if solution.noise else None,
        "limits": [
            {"name": j.name, "found": j.found, "limit": j.limit, "unit": j.suffix, "holds": j.holds}
            for j in outcome.limits
        ],
        "broken": [limit.name for limit in outcome.broken],
        "notes": list(outcome.notes),
    }


def _named(case: Case) -> dict[str, str]:
    return {"case": case.name, "change": case.change}
