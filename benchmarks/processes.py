"""What a person waits for: whole commands as processes of their own, files read, modules imported and all."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import partial
from pathlib import Path

from benchmarks.models import DUAL, ROOT
from benchmarks.timing import measure, say, show_table

_COMMANDS = ((("--help",), "250 ms"), (("solve", str(DUAL.relative_to(ROOT))), "1,000 ms"))


def run_processes() -> list[str]:
    """Measure and print; which command failed."""
    rows, faults = [], []
    for words, budget in _COMMANDS:
        named = " ".join(("headrace", *words))
        say(named)
        run = partial(subprocess.run, _command(words), cwd=ROOT, capture_output=True, text=True, check=False)
        found = run()
        if found.returncode not in (0, 1):  # 1 is an answer: it found something
            faults.append(f"{named}: exit {found.returncode}: {found.stderr.strip()}")
            continue
        rows.append([f"`{named}`", measure(run)[0].show(), budget])
    print("Commands as processes, file cache warm.\n")
    show_table(["command", "time", "budget"], rows)
    return faults


def _command(words: tuple[str, ...]) -> list[str]:
    script = Path(sys.executable).with_name("headrace" + (".exe" if os.name == "nt" else ""))
    return [str(script), *words]
