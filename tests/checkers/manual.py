"""The console blocks of the manual: run them, compare them, write them anew.

A block starts with ```console; a line `$ headrace ...` is run, what follows up to the next `$` is its output. A line
`...` stands for any number of lines. `python tests/checkers/manual.py README.md docs/*.md` writes the outputs anew; what
stood before and after a `...` keeps its number of lines.
"""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import sys
from pathlib import Path

from headrace.cli.main import main

BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
ANY = "..."


def commands(block):
    """(command line, output lines) of a block."""
    found = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return [(command, lines) for command, lines in found if command.startswith("headrace ")]


def output(command):
    """What a command prints, on either stream, line by line."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        main(shlex.split(command, comments=True)[1:])
    return out.getvalue().rstrip("\n").split("\n")


def fits(shown, real):
    """True when the shown lines are the real ones, `...` standing for any number of lines."""
    if ANY not in shown:
        return shown == real
    cut = shown.index(ANY)
    head, tail = shown[:cut], shown[cut + 1 :]
    return real[:cut] == head and (not tail or real[len(real) - len(tail) :] == tail)


def refresh(path):
    """Write the outputs of a page anew."""

    def block(match):
        lines = []
        for line in match[1].splitlines():
            if line.startswith("$ "):
                lines.append([line])
            else:
                lines[-1].append(line)
        for entry in lines:
            if entry[0].startswith("$ headrace "):
                entry[1:] = shortened(entry[1:], output(entry[0][2:]))
        return "```console\n" + "".join(f"{line}\n" for entry in lines for line in entry) + "```"

    path.write_text(BLOCK.sub(block, path.read_text(encoding="utf-8")), encoding="utf-8")


def shortened(shown, real):
    """The real lines, with as many kept before and after `...` as were shown."""
    if ANY not in shown:
        return real
    cut = shown.index(ANY)
    tail = len(shown) - cut - 1
    return [*real[:cut], ANY, *real[len(real) - tail :]] if cut + tail < len(real) else real


if __name__ == "__main__":
    for name in sys.argv[1:]:
        refresh(Path(name))
