"""
All checks on a build of sixty parts: several loops of the quiet studio example side by side.

Answers   the time of solving and judging it, against the budget of the design
Assumes   the build is loaded before the clock starts; every loop stands clear of the others
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from benchmarks.timing import measure, say, show_table
from headrace.checks.build import solve_build
from headrace.checks.every import run_checks
from headrace.loop.loader import load_own_cards, parse_build
from headrace.loop.model import Loop

FOLDER = Path(__file__).parents[1] / "examples" / "quiet-studio"
LOOPS, STATES = 5, 2
APART_MM = 300.0
_NAMED = ("id", "part", "radiator", "from", "to", "at", "about")


def many_loops() -> Loop:
    """Five studio loops in one build, 60 parts, two states."""
    document = tomlkit.parse((FOLDER / "build.toml").read_text(encoding="utf-8")).unwrap()
    whole: dict[str, Any] = {key: value for key, value in document.items() if not isinstance(value, list)}
    del whole["case"]
    lists = [key for key, value in document.items() if isinstance(value, list) and key != "state"]
    for key in lists:
        whole[key] = [_renamed(key, row, loop) for loop in range(LOOPS) for row in document[key]]
    whole["state"] = [_every_loop(state) for state in document["state"][:STATES]]
    return parse_build(tomlkit.dumps(whole), "sixty.toml", load_own_cards(FOLDER))


def _renamed(key: str, row: dict[str, Any], loop: int) -> dict[str, Any]:
    named: dict[str, Any] = {k: f"l{loop}-{v}" if k in _NAMED else v for k, v in row.items()}
    if key == "part" and "at_mm" in named:
        x, y, z = named["at_mm"]
        named["at_mm"] = [x, y + APART_MM * loop, z]
    return named


def _every_loop(state: dict[str, Any]) -> dict[str, Any]:
    tables = {
        key: {f"l{loop}-{id_}": value for loop in range(LOOPS) for id_, value in state[key].items()}
        for key in ("heat", "speed")
    }
    return {**state, **tables}


def run_checks_bench() -> list[str]:
    """Measure and print."""
    loop = many_loops()
    say(f"all checks on a build of {len(loop.parts)} parts")
    build = solve_build(loop)
    judged = run_checks(build)
    whole, rules = measure(lambda: run_checks(solve_build(loop)), lambda: run_checks(build))
    print(f"All checks on a build of {len(loop.parts)} parts in {LOOPS} loops, {STATES} states.\n")
    rows = [
        ["states solved, then all checks", whole.show(), "300 ms"],
        ["the checks alone, bands found before", rules.show(), ""],
    ]
    show_table(["what", "time", "budget"], rows)
    print(f"{len(judged.findings)} findings, {len(judged.skipped)} not judged\n")
    return []
