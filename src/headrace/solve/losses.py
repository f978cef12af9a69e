"""
The laws of a network made ready for many calls: what each branch takes at a flow, and how steeply that rises.

Answers   dp and its slope by branch, for every variant at once
Assumes   a link belongs to one point: one temperature, so one density and one viscosity
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from headrace.solve.branches import Branches
from headrace.solve.laws import PLAIN, Bundle, Law, bundle
from headrace.units import Array, Indices

LEAST_SLOPE = 0.1  # Pa s/m3; far below any passage, so that a lossless circuit still has one solution
_STEP_FRAC, _STEP_M3_S = 1e-5, 1e-14  # width of the difference that gives the slope; at rest narrower than any kink


@dataclass(frozen=True)
class Coolants:
    """Density and viscosity by point, shape (variants, points), and local volume flow per unit of branch flow."""

    density_kg_m3: Array
    viscosity_pa_s: Array
    per_unit: Array

    @classmethod
    def join(cls, parts: Sequence[Coolants]) -> Coolants:
        """The variants of all parts, one after the other."""
        return cls(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(cls)))

    def take(self, rows: Indices) -> Coolants:
        """Some of the variants."""
        return Coolants(self.density_kg_m3[rows], self.viscosity_pa_s[rows], self.per_unit[rows])


@dataclass(frozen=True)
class Losses:
    """
    Every law of a network, the plain ones summed up by point: dp = mu l Q + rho t Q |Q|.

    `rest` are all other laws that carry flow, `point`, `branch` and `sign` belong to them; `factor` scales the
    pressure of every element (1 where nothing else is said), shape (variants or 1, elements).
    """

    laws: Bundle
    laminar: Array  # (elements, points)
    turbulent: Array
    viscous: Array  # (variants or 1, points): the plain laws of a point summed up, with their factors
    inertial: Array
    rest: Bundle
    rest_of: Indices
    point: Indices
    sign: Array  # +1 where the element is written along its branch, -1 where against it
    branch: Array  # (elements of rest, branches), the sign of each in its branch
    gather: Array  # (points, branches)
    factor: Array

    @classmethod
    def of(cls, branches: Branches, point_of_link: Indices, points: int) -> Losses:
        """Prepare the laws of a network; `point_of_link` says where each link finds its coolant."""
        laws: list[Law] = [law for link in branches.network.links for law in link.laws]
        link_of = np.repeat(np.arange(len(branches.network.links)), [len(x.laws) for x in branches.network.links])
        branch_of, live = branches.of_link[link_of], branches.of_link[link_of] >= 0
        laminar, turbulent = np.zeros((len(laws), points)), np.zeros((len(laws), points))
        branch_of_point = np.full(points, -1, dtype=np.intp)
        rest = []
        for index, law in enumerate(laws):
            if not live[index]:
                continue
            point = point_of_link[link_of[index]]
            branch_of_point[point] = branch_of[index]
            if isinstance(law, PLAIN):
                laminar[index, point] = law.dp_pa(1.0, 0.0, 1.0)
                turbulent[index, point] = law.dp_pa(1.0, 1.0, 0.0)
            else:
                rest.append(index)
        where = np.array(rest, dtype=np.intp)
        count = len(branches.chains)
        return cls(
            bundle(laws),
            laminar,
            turbulent,
            laminar.sum(axis=0)[None, :],
            turbulent.sum(axis=0)[None, :],
            bundle([laws[i] for i in rest]),
            where,
            point_of_link[link_of[where]] if len(where) else where,
            branches.sign[link_of[where]],
            _one_hot(branch_of[where], count) * branches.sign[link_of[where]][:, None],
            _one_hot(branch_of_point, count),
            np.ones((1, len(laws))),
        )

    def with_settings(self, settings: Mapping[int, Array]) -> Losses:
        """The same network with pumps and fans set otherwise, (variants,) by element."""
        place = {int(element): i for i, element in enumerate(self.rest_of)}
        here = {place[element]: value for element, value in settings.items() if element in place}
        return replace(self, laws=self.laws.with_settings(settings), rest=self.rest.with_settings(here))

    def with_factor(self, factor: Array) -> Losses:
        """The same network with every element's pressure scaled, shape (variants, elements)."""
        viscous, inertial = factor @ self.laminar, factor @ self.turbulent
        return replace(self, factor=factor, viscous=viscous, inertial=inertial)

    def take(self, rows: Indices) -> Losses:
        """The same network for some of the variants."""
        part = replace(self, laws=self.laws.take(rows), rest=self.rest.take(rows))
        if len(self.factor) == 1:
            return part
        return replace(part, factor=self.factor[rows], viscous=self.viscous[rows], inertial=self.inertial[rows])

    def ready(self, coolants: Coolants) -> Ready:
        """The laws with their coolant, to be called at many flows."""
        return Ready(
            self,
            self.viscous * coolants.viscosity_pa_s * coolants.per_unit,
            self.inertial * coolants.density_kg_m3 * coolants.per_unit**2,
            coolants.density_kg_m3[:, self.point],
            coolants.viscosity_pa_s[:, self.point],
            coolants.per_unit[:, self.point],
        )


@dataclass(frozen=True)
class Ready:
    """Laws and coolant of all variants. Flows have shape (..., variants, branches)."""

    losses: Losses
    viscous: Array
    inertial: Array
    density: Array
    viscosity: Array
    per_unit: Array

    def dp_pa(self, flow_m3_s: Array) -> Array:
        """Pressure of every branch along its way, shape of the flow."""
        losses = self.losses
        at_point = flow_m3_s @ losses.gather.T
        dp: Array = (at_point * (self.viscous + self.inertial * np.abs(at_point))) @ losses.gather
        if losses.rest.count:
            local = at_point[..., losses.point] * losses.sign * self.per_unit
            rest = losses.rest.dp_pa(local, self.density, self.viscosity) * losses.factor[:, losses.rest_of]
            dp = dp + rest @ losses.branch
        return dp

    def slope(self, flow_m3_s: Array, dp_pa: Array) -> Array:
        """How the pressure of every branch rises with its flow from `dp_pa`; never below LEAST_SLOPE."""
        width = _STEP_FRAC * np.abs(flow_m3_s) + _STEP_M3_S
        steep: Array = np.maximum((self.dp_pa(flow_m3_s + width) - dp_pa) / width, LEAST_SLOPE)
        return steep


def _one_hot(index: Indices, count: int) -> Array:
    """A row for each index with a 1 in its column; an index below 0 has none."""
    hot: Array = np.zeros((len(index), count))
    live = np.flatnonzero(index >= 0)
    hot[live, index[live]] = 1.0
    return hot
