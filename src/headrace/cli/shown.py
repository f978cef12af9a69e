"""How a command shows its answer: a report on a terminal or in a pipe, JSON alone on stdout, faults on stderr."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Sequence
from typing import Any

from rich.console import Console
from rich.text import Text

from headrace.errors import Fault
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
