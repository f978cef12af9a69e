"""The report of the examples that come with Headrace."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from headrace.report.tree import Cell, Column, Line, Section, Table


def report_examples(examples: Mapping[str, Path]) -> Section:
    """Each example with the name and note of its build file."""
    rows = []
    for name, folder in examples.items():
        data = tomllib.loads((folder / "build.toml").read_text(encoding="utf-8"))
        rows.append((Cell(name), Cell(str(data.get("name", ""))), Cell(str(data.get("note", "")), "quiet")))
    table = Table((Column("example"), Column("name"), Column("what it shows")), tuple(rows))
    return Section("Examples", (table, Line("Next: headrace new FOLDER --example NAME")))
