"""
One check opened: what it looks at, why, by which thresholds, how to cure what it finds, what it needs to look.

Answers   the page of the check in the manual as a report, with the thresholds of this build
"""

from __future__ import annotations

import re

from headrace.checks.finding import Check
from headrace.loop.thresholds import Thresholds
from headrace.parts.shipped import shipped
from headrace.report.tree import Cell, Column, Line, Section, Table

_LIMIT = "Limit"
_OVERRIDES = "A build overrides a threshold"  # the table beside it shows what holds here


def read_page(check: Check) -> dict[str, tuple[str, ...]]:
    """The paragraphs of the page of a check by heading, without its tables and samples of files."""
    text = (shipped("check-pages") / f"{check.id}.md").read_text(encoding="utf-8")
    text = re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)
    text = re.sub(r"^\|.*\n?", "", text, flags=re.M)
    text = re.sub(r"\[([^\]]+)\]\([^)]+\)", r"\1", text).replace("`", "")
    sections = re.split(r"^## (.*)$", text, flags=re.M)[1:]
    found = {}
    for heading, body in zip(sections[::2], sections[1::2], strict=True):
        paragraphs = (" ".join(part.split()) for part in body.split("\n\n"))
        told = (p.removesuffix(":") + "." * p.endswith(":") for p in paragraphs)
        found[heading] = tuple(p for p in told if p and not p.startswith(_OVERRIDES))
    return found


def report_check(check: Check, limits: Thresholds) -> Section:
    """One check opened."""
    body: list[Section | Line] = [
        Line(f"{check.group.value}; {check.severity.value}; {check.waits.value} waits for it")
    ]
    for heading, paragraphs in read_page(check).items():
        inside: list[Line | Table] = [Line(text) for text in paragraphs]
        if heading == _LIMIT and check.limits:
            heads = tuple(Column(head) for head in ("threshold", "value", "mark", "what it is"))
            inside.append(Table(heads, tuple(_row(limits, name) for name in check.limits)))
        if inside:
            body.append(Section(heading, tuple(inside)))
    return Section(f"{check.id}: {check.title}", tuple(body))


def _row(limits: Thresholds, name: str) -> tuple[Cell, ...]:
    row = limits[name]
    value = getattr(row.value, "text", "") or f"{float(row.value):g}"
    return (Cell(name), Cell(value), Cell(row.mark), Cell(row.meaning))
