"""
scipy.optimize.root on a case: the circuit flows at which the pressures of Headrace's own laws sum to zero.

Answers   what a general root finder takes for the same equations
Assumes   the start of Headrace's solver, 3 L/min in every circuit; slopes by differences, as root finds them by itself
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import root

from benchmarks.networks import Case, Ours, Variation
from headrace.solve.flow import START_M3_S
from headrace.units import Array

_UNIT_PA = 1e4


@dataclass
class Root:
    """scipy's root finder (its default method, hybr)."""

    ours: Ours
    name: str = "scipy root"
    same: str | None = "own"
    own: bool = False

    @classmethod
    def of(cls, case: Case) -> Root:
        """Take the case as Headrace describes it."""
        return cls(Ours.of(case))

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        solver = self.ours.varied(Variation(np.array([speed]), length[None, :]))
        losses, circuits, case = solver.losses, solver.network.circuits, self.ours.case
        density, viscosity = np.array(case.density_kg_m3), np.array(case.viscosity_pa_s)
        around = circuits[solver.link_of]  # (elements, circuits)

        def left(unknown: Array) -> Array:
            flow = (around @ unknown * START_M3_S)[None, :]
            dp = losses.laws.dp_pa(flow, density, viscosity) * losses.factor
            return np.asarray(dp[0] @ around) / _UNIT_PA

        found = root(left, np.ones(circuits.shape[1]), options={"xtol": 1e-12})
        return np.asarray(circuits @ found.x * START_M3_S)
