"""
`check` finds what is planted in the examples, with the sizes it was planted with, and nothing in their cured twins.

mark: sizes from the demo scenarios (invented data); limits are common practice, no source
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from headrace.checks.build import solve_build
from headrace.checks.every import Judged, run_checks
from headrace.checks.finding import Finding
from headrace.loop.loader import load_build

EXAMPLES = Path(__file__).parents[3] / "examples"
A, B, C, D = "compact-single-radiator", "dual-gpu-workstation", "quiet-studio", "games-and-rendering"
CURED = ("compact-cured", "dual-gpu-cured", "studio-cured")
MM = 1e-3

# fault: the build, the check that finds it, what the finding names, and what was found (SI; None where it is words)
PLANTED = {
    "A1": (A, "SPACE-01", ("fans", "memory"), 12 * MM),
    "A2": (A, "PORT-04", ("radiator.r1", "fans"), 0.5 * MM),
    "A2, the other port": (A, "PORT-04", ("radiator.r2", "fans"), 0.5 * MM),
    "A4": (A, "WATER-02", ("pump",), None),
    "A, card and pump": (A, "SPACE-01", ("gpu", "pump"), 35 * MM),
    "B1": (B, "TUBE-01", ("top-to-sensor",), 2 * MM),
    "B2": (B, "THREAD-01", ("pump-2.drain",), None),
    "B3": (B, "THREAD-02", ("cpu.in",), 6.5 * MM),
    "B4": (B, "PORT-01", ("reservoir.return", "reservoir.fill"), 0.5 * MM),
    "B5": (B, "METAL-01", ("radiator-top.t3",), None),
    "B6": (B, "POWER-01", ("board.pump",), 1.9),
    "B7": (B, "PORT-02", ("reservoir.spare",), None),
    "B8": (B, "POWER-01", ("board.fan-1",), 1.9),
    "B9": (B, "HEAT-02", ("cpu",), None),
    "B10": (B, "HEAT-01", ("flow-sensor",), None),
    "B11": (B, "TUBE-02", ("pumps-to-front",), 0.30),
    "B12": (B, "TUBE-03", ("pumps-to-front",), 30 * MM),
    "B13, tanks": (B, "SPACE-01", ("radiator-front", "radiator-top"), 10 * MM),
    "B13, fans": (B, "SPACE-01", ("fans-front", "fans-top"), 13 * MM),
    "B14": (B, "PORT-04", ("radiator-front.f1", "fans-front"), -2.5 * MM),
    "B14, the other port": (B, "PORT-04", ("radiator-front.f2", "fans-front"), -2.5 * MM),
    "B16": (B, "PORT-07", ("radiator-top.t1", "fans-top"), 1.5 * MM),
    "C1, in millimetres": (C, "WATER-05", ("pump.drain",), 465 * MM),
    "C3": (C, "HEAT-03", (), None),
    "C4": (C, "METAL-02", (), None),
    "C5": (C, "PORT-02", ("radiator.bleed",), None),
}


@cache
def judged(build: str) -> Judged:
    return run_checks(solve_build(load_build(EXAMPLES / build)))


def named(finding: Finding, words: tuple[str, ...]) -> bool:
    text = f"{finding.subject} {finding.fix}"
    return all(f'"{word}"' in text for word in words)


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found_with_its_size(fault: str) -> None:
    build, check, words, found = PLANTED[fault]
    here = [f for f in judged(build).findings if f.check.id == check and named(f, words)]
    assert here, [str(f) for f in judged(build).findings if f.check.id == check]
    if found is not None:
        assert any(isinstance(f.found, float) and abs(f.found - found) < 1e-6 for f in here), [f.found for f in here]


def test_what_is_not_said_of_the_coolant_is_not_judged() -> None:
    """A5: a check that lacks data is skipped, never passed."""
    assert {"METAL-02", "COOLANT-01"} <= {skip.check.id for skip in judged(A).skipped}


# Notes that are true of a build without faults: what it takes to fill it, and to lift it.
TRUE_NOTES = {"POWER-08", "SERVICE-04"}


@pytest.mark.parametrize("build", CURED)
def test_nothing_is_found_in_a_build_without_faults(build: str) -> None:
    found = [str(f) for f in judged(build).findings if f.check.severity.blocks or f.check.id not in TRUE_NOTES]
    assert found == []


def test_the_build_from_practice_has_nothing_to_cure() -> None:
    """Its notes are true of it: air warmed by the case, fans that stall on a dense core, a limit a summer day passes."""
    assert not judged(D).blocked
