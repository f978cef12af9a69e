"""
Run all benchmarks, or those named: python -m benchmarks [networks] [models] [checks] [processes].

Tables go to stdout as each part ends, progress to stderr; Ctrl-C stops it and keeps what was printed. Exit 1 when
answers disagree or variants stay open; a slow machine is no fault.
"""

from __future__ import annotations

import argparse
import warnings
from collections.abc import Callable

from benchmarks.machine import show_machine
from benchmarks.timing import say


def _networks() -> list[str]:
    from benchmarks.compare import run_compare

    return run_compare()


def _models() -> list[str]:
    from benchmarks.models import run_models

    return run_models()


def _checks() -> list[str]:
    from benchmarks.checks import run_checks_bench

    return run_checks_bench()


def _processes() -> list[str]:
    from benchmarks.processes import run_processes

    return run_processes()


PARTS: dict[str, Callable[[], list[str]]] = {
    "networks": _networks,
    "models": _models,
    "checks": _checks,
    "processes": _processes,
}


def main() -> int:
    """Run the parts asked for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description="How fast Headrace is.")
    parser.add_argument("part", nargs="*", help=f"{', '.join(PARTS)}; all of them when none is named")
    asked = parser.parse_args().part or list(PARTS)
    unknown = [name for name in asked if name not in PARTS]
    if unknown:
        parser.error(f"no part {unknown[0]!r}: one of {', '.join(PARTS)}")
    warnings.filterwarnings("ignore", message="Changing the headloss formula")  # wntr, on every file it reads
    print(show_machine() + "\n", flush=True)
    try:
        faults = [fault for name in asked for fault in PARTS[name]()]
    except KeyboardInterrupt:
        say("stopped")
        return 130
    for fault in faults:
        say(f"wrong: {fault}")
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
