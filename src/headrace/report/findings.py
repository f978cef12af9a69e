"""
The report of a check: findings by severity, what somebody let pass, what could not be judged, and what waits for which.

Answers   what a person has to cure before buying, before the liquid, before power and before hand-over
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from headrace.checks.every import Judged
from headrace.checks.finding import Gate, Severity, Skipped
from headrace.loop.model import Loop
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
        items = tuple(_each(judged.skipped) if every_skip else _by_reason(judged.skipped))
        more = "" if every_skip else "; --all lists each"
        body.append(Section(f"could not be judged{more}", items))
    body.append(Section("what waits", (_gates(judged),)))
    body.append(Section("", (Line(count_text(judged)),)))
    return Section(f"{loop.name or loop.file}: fit and safety", tuple(body))


def _waived(judged: Judged) -> Iterator[Item]:
    for finding, waiver in judged.waived:
        yield Item(finding.check.id, finding.what_text(), f"Let pass by {waiver.by}: {waiver.reason}", "quiet")
    for waiver in judged.idle:
        idle = f'"{waiver.about}" lets nothing pass: no finding of {waiver.check} names it'
        what = f"{waiver.place}: the waiver about {idle}"
        fix = "Take it out, or name a part, port, run or outlet as the finding writes it in quotes."
        yield Item(waiver.check, what, fix, "warn")


def _each(skipped: Sequence[Skipped]) -> Iterator[Item]:
    for skip in skipped:
        yield Item(skip.check.id, f"{skip.place}: {skip.subject}: {skip.reason}", "", "quiet")


def _by_reason(skipped: Sequence[Skipped]) -> Iterator[Item]:
    """One line for what is missing in one place, with every check that wants it; how many more the check lacks."""
    by_reason: dict[tuple[str, str], list[Skipped]] = {}
    for skip in skipped:
        by_reason.setdefault((skip.subject, skip.reason), []).append(skip)
    counts = Counter(tuple(dict.fromkeys(s.check.id for s in same)) for same in by_reason.values())
    for (subject, reason), same in by_reason.items():
        ids = tuple(dict.fromkeys(skip.check.id for skip in same))
        if ids not in counts:
            continue  # its first told how many more there are
        more = counts.pop(ids) - 1
        also = f", and {', '.join(ids[1:])}" if len(ids) > 1 else ""
        rest = f" (and {more} more)" if more else ""
        title = same[0].check.title
        yield Item(
            ids[0], f"{subject}: {reason}{rest}", f"Not looked at: {title[0].lower()}{title[1:]}{also}.", "quiet"
        )


def _gates(judged: Judged) -> Table:
    """What each gate waits for: findings that must be cured first, and checks that could not look."""
    rows = []
    for gate in Gate:
        waiting = [f for f in judged.findings if f.check.severity.blocks and f.gate is gate]
        unseen = {s.check.id for s in judged.skipped if s.check.severity.blocks and s.check.waits is gate}
        held = ", ".join(dict.fromkeys(f.check.id for f in waiting))
        said = f"waits for {len(waiting)}: {held}" if waiting else "nothing found"
        blind = f"{len(unseen)} check{'s' if len(unseen) != 1 else ''} could not look" if unseen else ""
        rows.append((Cell(gate.value), Cell(said), Cell(blind, "quiet")))
    return Table((Column("gate"), Column("findings"), Column("and")), tuple(rows))


def count_text(judged: Judged) -> str:
    """How many findings of each severity, how many waived, how many skips."""
    counts = Counter(finding.check.severity for finding in judged.findings)
    found = ", ".join(f"{counts[severity]} {severity.value}" for severity in Severity if counts[severity])
    number = len(judged.findings)
    total = f"{number} finding{'s' if number != 1 else ''}"
    waived = f", {len(judged.waived)} let pass" if judged.waived else ""
    return f"{total}{f' ({found})' if found else ''}{waived}, {len(judged.skipped)} not judged"
