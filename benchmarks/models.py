"""
Whole loops, flow and heat and air together: one solve, batches, bands.

Answers   times against the budgets of the design
Assumes   builds are loaded, and prepared where it says so, before the clock starts
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from benchmarks.timing import measure, say, show_table
from headrace.loop.loader import load_build
from headrace.loop.model import Loop
from headrace.loop.route import stated_route
from headrace.solve.balance import balance
from headrace.solve.balanced import Balanced
from headrace.solve.band import SAMPLES, solve_band
from headrace.solve.prepared import Prepared
from headrace.solve.steady import solve, solve_prepared
from headrace.solve.variants import Variants

ROOT = Path(__file__).parents[1]
DUAL = ROOT / "examples" / "dual-gpu-workstation"
FANS = ROOT / "examples" / "games-and-rendering"  # every airflow found on its fans' curve
SERIES = Path(__file__).parent / "series"
BATCH = 20_000
MOST_OPEN = 2  # air that nearly stands may turn for ever; a solve refuses such a state by name


@dataclass(frozen=True)
class Model:
    """A build's first state, prepared and solved."""

    loop: Loop
    prepared: Prepared
    found: Balanced

    @classmethod
    def of(cls, folder: Path) -> Model:
        """Load and solve."""
        loop = load_build(folder)
        prepared = Prepared.of(loop, stated_route(loop), loop.states[0])
        return cls(loop, prepared, solve_prepared(prepared))

    def vary(self, count: int, seed: int) -> Variants:
        """Random rooms, heats, fan and pump speeds around the state."""
        rng, state = np.random.default_rng(seed), self.prepared.nominal()
        pumps = {element: rng.uniform(0.4, 1.0, count) for element in self.prepared.pump_elements.values()}
        return Variants(
            room_k=state.room_k + rng.uniform(-4.0, 8.0, count),
            heat_w=state.heat_w * rng.uniform(0.5, 1.2, (count, state.heat_w.shape[1])),
            speed_hz=state.speed_hz * rng.uniform(0.6, 1.4, (count, state.speed_hz.shape[1])),
            pump_frac=pumps,
        )


def run_models() -> list[str]:
    """Measure and print; what did not close."""
    dual = Model.of(DUAL)
    _show_single(dual)
    faults = _show_batches(
        (
            ("ten elements in a ring, flow and heat", Model.of(SERIES), "100,000"),
            ("dual-GPU example, flow, heat and stated airflows", dual, "20,000, goal 50,000"),
            ("games-and-rendering example, airflows from fan curves", Model.of(FANS), ""),
        )
    )
    _show_band(dual)
    return faults


def _show_single(dual: Model) -> None:
    say("dual-GPU example: one solve")
    loop, route, state, prepared = dual.loop, stated_route(dual.loop), dual.loop.states[0], dual.prepared
    calls: tuple[tuple[str, Callable[[], object], str], ...] = (
        ("`solve`: all of it", lambda: solve(loop, route, state), "5 ms, goal 2 ms"),
        ("`Prepared.of`: what variants share", lambda: Prepared.of(loop, route, state), ""),
        ("`solve_prepared`: flow, heat and air", lambda: solve_prepared(prepared), ""),
        ("`balance` from a balance found", lambda: balance(prepared, prepared.nominal(), dual.found), ""),
    )
    print("One coupled solve of the dual-GPU example, warm: median (lowest to highest).\n")
    timings = measure(*(call for _, call, _ in calls))
    rows = ([name, t.show(), budget] for (name, _, budget), t in zip(calls, timings, strict=True))
    show_table(["what", "time", "budget"], rows)


def _show_batches(models: tuple[tuple[str, Model, str], ...]) -> list[str]:
    rows, faults = [], []
    for name, model, budget in models:
        say(f"{name}: {BATCH} variants")
        variants = model.vary(BATCH, seed=1)
        closed = int(np.sum(balance(model.prepared, variants, model.found).closed))
        (timing,) = measure(partial(balance, model.prepared, variants, model.found), budget_s=10.0)
        rows.append([name, timing.show_rate(BATCH), budget, f"{closed} of {BATCH}"])
        if BATCH - closed > MOST_OPEN:
            faults.append(f"{name}: {BATCH - closed} of {BATCH} variants did not close")
    print(f"Batches of {BATCH:,} variants, balanced from that of the state.\n")
    show_table(["model", "variants a second", "budget", "closed"], rows)
    return faults


def _show_band(dual: Model) -> None:
    say(f"dual-GPU example: band from {SAMPLES} samples")
    (timing,) = measure(lambda: solve_band(dual.prepared, dual.found))
    print("Band of every output of the dual-GPU example, contributors ranked.\n")
    show_table(["what", "time", "budget"], [[f"`solve_band`, {SAMPLES:,} samples", timing.show(), "100 ms"]])
