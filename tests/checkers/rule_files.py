"""The loop files of the checks: tests/laws/checks/ID/fail-*, pass-*, skip-*, with the cards they use.

A file is one build; `ID/parts.toml` holds cards only that check's files use, `parts.toml` above those of all.
"""

from functools import cache
from pathlib import Path

from headrace.checks.build import solve_build
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards

HERE = Path(__file__).parents[1] / "laws" / "checks"
FILES = sorted(file for file in HERE.glob("*/*.toml") if file.name != "parts.toml")


@cache
def cards(id_):
    return load_cards([path for path in (HERE / "parts.toml", HERE / id_ / "parts.toml") if path.exists()], {})


@cache
def build_of(file):
    return solve_build(parse_build(file.read_text(encoding="utf-8"), file.name, cards(file.parent.name)))


def said(rule, file):
    """What a rule says of a file, line by line: findings with grade, found and limit, skips with their reason."""
    lines = []
    for result in rule.run(build_of(file)):
        if hasattr(result, "found"):
            lines.append(f"{result.check.severity.value}: {result}")
        else:
            lines.append(f"not judged: {result.place}: {result.subject}: {result.reason}")
    return lines
