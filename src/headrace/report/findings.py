"""
The report of a check: findings by severity, what somebody let pass, what could not be judged, and what waits for which.

Answers   what a person has to cure before buying, before the liquid, before power and before hand-over
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from headrace.checks.every import Judged
from headrace.checks.finding import Check, Gate, Severity, Skipped
from headrace.loop.model import Loop
from headrace.loop.thresholds import Thresholds
from headrace.report.tree import Cell, Column, Item, Line, Section, Table, Tone

_TONES: dict[Severity, Tone] = {
    Severity.STOP: "bad",
    Severity.BEFORE_POWER: "bad",
    Severity.BEFORE_HANDOVER: "warn",
    Severity.NOTE: "",
}


def report_findings(loop: Loop, judged: Judged, *, every_skip: bool = False) -> Section:
    """Findings first, worst on top; waivers and skips after them; then the gates; the count last."""
    body: list[Section | Line | Table] = []
    for severity in Severity:
        here = [finding for finding in judged.findings if finding.check.severity is severity]
        if here:
            items = tuple(Item(f.check.id, f.what_text(), f.fix, _TONES[severity]) for f in here)
            body.append(Section(severity.value, items))
    if judged.waived or judged.idle:
        body.append(Section("let pass", tuple(_waived(judged))))
    if judged.skipped:
        items = tuple(_each(judged.skipped) if every_skip else _by_check(judged.skipped))
        more = "" if every_skip else "; --all lists each"
        body.append(Section(f"could not be judged{more}", items))
    body.append(Section("what waits", (_gates(judged),)))
    body.append(Section("", (Line(count_text(judged)),)))
    return Section(f"{loop.name or loop.file}: fit and safety", tuple(body))


def _waived(judged: Judged) -> Iterator[Item]:
    for finding, waiver in judged.waived:
        yield Item(finding.check.id, finding.what_text(), f"Let pass by {waiver.by}: {waiver.reason}", "quiet")
    for waiver in judged.idle:
        what = f'{waiver.place}: a waiver about "{waiver.about}" meets no finding'
        yield Item(waiver.check, what, "Take it out once its cause is gone.", "quiet")


def _each(skipped: Sequence[Skipped]) -> Iterator[Item]:
    for skip in skipped:
        yield Item(skip.check.id, f"{skip.place}: {skip.subject}: {skip.reason}", "", "quiet")


def _by_check(skipped: Sequence[Skipped]) -> Iterator[Item]:
    """One line a check: its title, and what the first lacks; how many more lack something."""
    by_check: dict[str, list[Skipped]] = {}
    for skip in skipped:
        by_check.setdefault(skip.check.id, []).append(skip)
    for id_, skips in by_check.items():
        first = skips[0]
        more = f" (and {len(skips) - 1} more)" if len(skips) > 1 else ""
        yield Item(id_, f"{first.check.title}: {first.subject}: {first.reason}{more}", "", "quiet")


def _gates(judged: Judged) -> Table:
    """What each gate waits for: findings that must be cured first, and checks that could not look."""
    rows = []
    for gate in Gate:
        waiting = [f for f in judged.findings if f.check.severity.blocks and f.gate is gate]
        unseen = {s.check.id for s in judged.skipped if s.check.severity.blocks and _gate(s.check) is gate}
        held = ", ".join(dict.fromkeys(f.check.id for f in waiting))
        said = f"waits for {len(waiting)}: {held}" if waiting else "nothing found that it must wait for"
        rows.append((Cell(gate.value), Cell(said), Cell(str(len(unseen)) if unseen else "")))
    return Table((Column("gate"), Column("findings"), Column("not judged", number=True)), tuple(rows))


def _gate(check: Check) -> Gate:
    return check.gate or check.severity.gate


def count_text(judged: Judged) -> str:
    """How many findings of each severity, how many waived, how many skips."""
    counts = Counter(finding.check.severity for finding in judged.findings)
    found = ", ".join(f"{counts[severity]} {severity.value}" for severity in Severity if counts[severity])
    number = len(judged.findings)
    total = f"{number} finding{'s' if number != 1 else ''}"
    waived = f", {len(judged.waived)} let pass" if judged.waived else ""
    return f"{total}{f' ({found})' if found else ''}{waived}, {len(judged.skipped)} not judged"


def report_check(check: Check, text: str, limits: Thresholds) -> Section:
    """One check opened: what its file says, and the thresholds it judges by with value and mark."""
    lines = [Line(f"{check.group.value}; {check.severity.value}; {_gate(check).value} waits for it")]
    lines += [Line(" ".join(part.split())) for part in text.split("\n\n")]
    rows = tuple(_limit_row(limits, name) for name in check.limits)
    table = (Table(tuple(Column(head) for head in ("threshold", "value", "mark", "what it is")), rows),) if rows else ()
    return Section(f"{check.id}: {check.title}", (*lines, *table))


def _limit_row(limits: Thresholds, name: str) -> tuple[Cell, ...]:
    row = limits[name]
    value = getattr(row.value, "text", "") or f"{float(row.value):g}"
    return (Cell(name), Cell(value), Cell(row.mark), Cell(row.meaning))
