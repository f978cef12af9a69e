"""
How loud the example builds are, against the levels their scenarios promise.

mark: the expected levels were computed beforehand with the scenarios, from levels that are common practice without a
source: fans rise with 50 lg of the speed, pumps with 45 lg, energies add; printed to a tenth of a dB. Headrace adds the
density of the room's air, which takes 0.1 dB at 24 °C. Worst deviation -0.16 dB ("even"); run with -s to see it.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from headrace.loop.loader import load_build
from headrace.loop.model import Loop
from headrace.loop.route import stated_route
from headrace.report.solution import limits_exceeded, too_loud
from headrace.solve.solution import NoiseResult, Solution
from headrace.solve.steady import solve

EXAMPLES = Path(__file__).parents[3] / "examples"
A, B, C = "compact-single-radiator", "dual-gpu-workstation", "quiet-studio"
CLOSE_DB = 1.0
TOTALS = (  # build, state, dBA at 0.6 m
    (A, "load-750", 20.4),
    (A, "load-1000", 24.2),
    (A, "load-1300", 29.1),
    (A, "load-1850", 36.4),
    (B, "load", 29.6),
    (B, "quiet", 29.25),
    (B, "even", 30.5),
    (C, "load-350", 16.5),
    (C, "load-450", 17.5),
    (C, "load-500", 18.3),
    (C, "load-550", 19.3),
    (C, "load-600", 20.4),
    (C, "load-700", 22.8),
)
HOLDS = (  # build, state, whether the agreed 30, 30 and 20 dBA hold
    (A, "load-1300", True),
    (A, "load-1850", False),
    (B, "load", True),
    (B, "quiet", True),
    (B, "even", False),
    (C, "load-550", True),
    (C, "load-600", False),
)
BACKGROUND_DB = 16.0  # of the studio
worst: dict[str, float] = {}


@pytest.fixture(scope="module", autouse=True)
def show_worst() -> Iterator[None]:
    yield
    where = max(worst, key=lambda name: abs(worst[name]), default=None)
    if where is not None:
        print(f"\nworst level: {worst[where]:+.2f} dB ({where})", end="")


@cache
def loop_of(build: str) -> Loop:
    return load_build(EXAMPLES / build)


@cache
def solved(build: str, state: str) -> Solution:
    loop = loop_of(build)
    return solve(loop, stated_route(loop), loop.state(state))


def noise_of(build: str, state: str) -> NoiseResult:
    noise = solved(build, state).noise
    assert noise is not None
    assert noise.silent == ()
    assert noise.distance_m == 0.6
    return noise


@pytest.mark.parametrize(("build", "state", "expected"), TOTALS)
def test_total(build: str, state: str, expected: float) -> None:
    total = noise_of(build, state).total_db
    worst[f"{build} {state}: {total:.2f}, expected {expected}"] = total - expected
    assert total == pytest.approx(expected, abs=CLOSE_DB)


@pytest.mark.parametrize(("build", "state", "holds"), HOLDS)
def test_answer_on_the_noise_limit(build: str, state: str, holds: bool) -> None:
    assert too_loud(loop_of(build), solved(build, state)) is not holds
    assert holds or limits_exceeded(loop_of(build), solved(build, state))


def test_the_quiet_pair_of_the_workstation_is_quieter_than_the_even_one_and_than_the_load() -> None:
    quiet, load, even = (noise_of(B, state).total_db for state in ("quiet", "load", "even"))
    assert quiet < load < even
    assert even - quiet == pytest.approx(30.5 - 29.25, abs=0.1)


def test_the_studio_is_heard_over_its_room_by_less_than_four_decibels_at_its_first_state() -> None:
    """16 and 17.5 dBA add up to 10 lg (10^1.6 + 10^1.75) = 19.8 dBA, energy addition."""
    noise = noise_of(C, "load-450")
    assert noise.background_db == BACKGROUND_DB
    assert noise.heard_db == pytest.approx(19.8, abs=0.05)
