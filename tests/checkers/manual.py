"""The manual as data: its sections, tables, links and blocks; console blocks run and compared, or written anew.

    .venv/bin/python tests/checkers/manual.py README.md docs/*.md     writes the output of every console block anew

In a console block a line `$ headrace ...` is a command and the lines below it are what it prints, stdout and stderr
together, as in a pipe. A line `...` stands for any number of lines. Other commands are shown, not run.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import sys
from collections.abc import Iterator, Sequence
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

ROOT = Path(__file__).resolve().parents[2]
WIDTH = 110  # of a report in a pipe
GAP = "..."
_TERMINAL = ("FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE", "NO_COLOR", "LINES")  # what rich asks the environment
_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, its text and the line its text starts in, counted from 1."""

    language: str
    text: str
    line: int


@dataclass(frozen=True)
class Step:
    """One command of a console block, as typed after the `$`, and the lines shown below it."""

    command: str
    shown: tuple[str, ...]

    @property
    def runs(self) -> bool:
        """True for commands of headrace; others are only shown."""
        return self.command.split()[:1] == ["headrace"]


def blocks(text: str, language: str) -> Iterator[Block]:
    """The fenced blocks of one language."""
    for match in _FENCE.finditer(text):
        if match[1] == language:
            yield Block(language, match[2], text.count("\n", 0, match.start(2)) + 1)


def steps(block: str) -> list[Step]:
    """The commands of a console block. Raises ValueError for lines before the first one."""
    found: list[tuple[str, list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found:
            found[-1][1].append(line.rstrip())
        elif line.strip():
            raise ValueError(f"a console block starts with {line!r}, not with a command")
    return [Step(command, tuple(_stripped(lines))) for command, lines in found]


def run(command: str) -> list[str]:
    """What a headrace command prints, in this process, from the root of the repository, as into a pipe."""
    from headrace.cli.main import main

    printed = io.StringIO()
    bare = {key: value for key, value in os.environ.items() if key not in _TERMINAL}
    words = shlex.split(command, comments=True)[1:]
    environment = patch.dict(os.environ, {**bare, "COLUMNS": str(WIDTH)}, clear=True)
    with environment, chdir(ROOT), redirect_stdout(printed), redirect_stderr(printed):
        try:
            main(words)
        except SystemExit as stop:  # argparse has said why
            print(f"exit {stop.code}")
    return _stripped([line.rstrip() for line in printed.getvalue().splitlines()])


def agrees(shown: Sequence[str], printed: Sequence[str]) -> bool:
    """Whether a command printed what the manual shows."""
    pattern = "".join(r"(?:[^\n]*\n)*" if line == GAP else re.escape(line) + r"\n" for line in shown)
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in printed)) is not None


def shortened(shown: Sequence[str], printed: Sequence[str]) -> list[str]:
    """What is printed, with as many lines around `...` as the old text had before the first and after the last."""
    if GAP not in shown:
        return list(printed)
    head = list(shown).index(GAP)
    tail = list(shown)[::-1].index(GAP)
    if 0 < head + tail >= len(printed):
        return list(printed)
    return [*printed[:head], GAP, *printed[len(printed) - tail :]]


def refresh(path: Path) -> bool:
    """Write the outputs of a page's console blocks anew; True when something changed."""
    old = path.read_text(encoding="utf-8")

    def renewed(match: re.Match[str]) -> str:
        return f"```console\n{_renewed(match[2])}```" if match[1] == "console" else match[0]

    new = _FENCE.sub(renewed, old)
    if new != old:
        path.write_text(new, encoding="utf-8")
    return new != old


def _renewed(block: str) -> str:
    lines: list[str] = []
    raw = re.split(r"^(?=\$ )", block, flags=re.M)
    for piece in (piece for piece in raw if piece):
        step = steps(piece)[0]
        blank = len(piece.splitlines()) - 1 - len(step.shown)  # blank lines that part two commands stay
        shown = shortened(step.shown, run(step.command)) if step.runs else step.shown
        lines += [f"$ {step.command}", *shown, *[""] * blank]
    return "".join(f"{line}\n" for line in lines)


def _stripped(lines: list[str]) -> list[str]:
    while lines and not lines[-1]:
        lines = lines[:-1]
    return lines


def sections(text: str) -> dict[str, str]:
    """The text below each heading, up to the next heading of any level; a heading that stands twice is a KeyError."""
    found: dict[str, str] = {}
    pieces = re.split(r"^#+ (.+)$", _FENCE.sub("", text), flags=re.M)
    for heading, body in zip(pieces[1::2], pieces[2::2], strict=True):
        if heading in found:
            raise KeyError(f"two headings {heading!r}")
        found[heading] = body
    return found


def rows(text: str, head: str) -> list[list[str]]:
    """The cells of every row, without the head itself, of the tables whose first column is headed `head`."""
    found: list[list[str]] = []
    here = ""
    lines = text.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if not line.startswith("|") or line.startswith("|--"):
            continue
        cells = [cell.strip() for cell in line.strip("|").split(" |")]
        if below.startswith("|--"):
            here = cells[0]
        elif here == head:
            found.append(cells)
    return found


def ticked(text: str) -> list[str]:
    """Everything between backticks."""
    return re.findall(r"`([^`]+)`", text)


def links(text: str) -> Iterator[str]:
    """The targets of all links that stay in the repository."""
    for target in re.findall(r"\[[^\]]*\]\(([^)\s]+)\)", _FENCE.sub("", text)):
        if not re.match(r"[a-z]+:", target):
            yield target


def anchors(text: str) -> set[str]:
    """What a link may name in a page: its headings, small, without marks, blanks as hyphens."""
    found: set[str] = set()
    for heading in re.findall(r"^#+ (.+)$", _FENCE.sub("", text), flags=re.M):
        slug = re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-")
        number = 0
        while (name := f"{slug}-{number}" if number else slug) in found:
            number += 1
        found.add(name)
    return found


if __name__ == "__main__":
    for name in sys.argv[1:]:
        print(f"{name}: {'written anew' if refresh(Path(name)) else 'as it was'}")
