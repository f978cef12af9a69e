"""
The laws a link can be made of: each gives the pressure it takes at a flow, for one passage or for many at once.

Answers   dp(Q) of tube, bend, fitting, step, curve, valve and pump, with the coolant as it is there
Assumes   dp has the sign of the flow and rises with it; a pump's is minus its head
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, ClassVar, Protocol

import numpy as np

from headrace.physics.core import Core
from headrace.physics.curve import curve_dp_pa
from headrace.physics.fan import fan_dp_pa
from headrace.physics.friction import bend_dp_pa, friction_dp_pa, inlet_dp_pa
from headrace.physics.grille import opening_dp_pa, screen_dp_pa
from headrace.physics.minor import minor_dp_pa, step_dp_pa
from headrace.physics.pump import PumpCurve
from headrace.physics.valve import kv_dp_pa
from headrace.units import Array, Indices, Real


class Law(Protocol):
    """dp_pa(flow, density, viscosity), elementwise, rising with the flow."""

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Pressure taken from the water; negative where it is given."""
        ...


@dataclass(frozen=True)
class Straight:
    """Tube: friction along its centreline and the extra of a laminar inlet."""

    length_m: Real
    bore_m: Real
    roughness_m: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `friction_dp_pa` and `inlet_dp_pa`."""
        return friction_dp_pa(
            flow_m3_s, self.length_m, self.bore_m, self.roughness_m, density_kg_m3, viscosity_pa_s
        ) + inlet_dp_pa(flow_m3_s, self.bore_m, density_kg_m3, viscosity_pa_s)


@dataclass(frozen=True)
class Curved:
    """One bend, over a straight tube as long as its arc."""

    bore_m: Real
    bend_rad: Real
    radius_m: Real
    roughness_m: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `bend_dp_pa`."""
        return bend_dp_pa(
            flow_m3_s, self.bore_m, self.bend_rad, self.radius_m, self.roughness_m, density_kg_m3, viscosity_pa_s
        )


@dataclass(frozen=True)
class Coefficient:
    """A fitting with K = k_laminar / Re + k_turbulent on the velocity in its bore."""

    bore_m: Real
    k_laminar: Real
    k_turbulent: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `minor_dp_pa`."""
        return minor_dp_pa(flow_m3_s, self.bore_m, self.k_laminar, self.k_turbulent, density_kg_m3, viscosity_pa_s)


@dataclass(frozen=True)
class Step:
    """A sudden change of bore."""

    bore_from_m: Real
    bore_to_m: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `step_dp_pa`."""
        return step_dp_pa(flow_m3_s, self.bore_from_m, self.bore_to_m, density_kg_m3, viscosity_pa_s)


@dataclass(frozen=True)
class Curve:
    """A part with a loss law found with a test fluid: dp = a Q^2 + b Q."""

    a_pa_s2_m6: Real
    b_pa_s_m3: Real
    test_density_kg_m3: Real
    test_viscosity_pa_s: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `curve_dp_pa`."""
        return curve_dp_pa(
            flow_m3_s,
            self.a_pa_s2_m6,
            self.b_pa_s_m3,
            density_kg_m3 / self.test_density_kg_m3,
            viscosity_pa_s / self.test_viscosity_pa_s,
        )


@dataclass(frozen=True)
class Valve:
    """A part with a flow coefficient Kv (m3/h at 1 bar)."""

    kv: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """See `kv_dp_pa`."""
        return kv_dp_pa(flow_m3_s, self.kv, density_kg_m3)


@dataclass(frozen=True)
class Settable:
    """A law with one number, named SETTING, that may differ between the variants of a batch."""

    SETTING: ClassVar[str]


@dataclass(frozen=True)
class Pumping(Settable):
    """A pump at a share of its full speed."""

    SETTING = "speed_frac"

    curve: PumpCurve
    speed_frac: Real
    test_density_kg_m3: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """Minus the head; see `PumpCurve.head_pa`."""
        return -self.curve.head_pa(flow_m3_s, self.speed_frac, density_kg_m3 / self.test_density_kg_m3)


@dataclass(frozen=True)
class Blowing(Settable):
    """Like fans, `in_parallel` side by side and `in_series` behind one another, at a ratio of their curve's speed."""

    SETTING = "speed_frac"

    curve: PumpCurve
    speed_frac: Real
    in_parallel: Real
    in_series: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """Minus the pressure of the set; see `fan_dp_pa`."""
        return -fan_dp_pa(self.curve, flow_m3_s, self.speed_frac, density_kg_m3, self.in_parallel, self.in_series)


@dataclass(frozen=True)
class Imposed(Settable):
    """An airflow that is stated: whatever pressure it takes."""

    SETTING = "air_flow_m3_s"
    STIFF = 1e10  # Pa s/m3: 20 Pa then move the airflow by 2e-9 m3/s

    air_flow_m3_s: Real

    def dp_pa(self, flow_m3_s: Real, _density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """A pressure that grows so steeply off the stated airflow that it is kept."""
        return self.STIFF * (flow_m3_s - self.air_flow_m3_s)


@dataclass(frozen=True)
class Lift(Settable):
    """A pressure that helps an airflow whatever it is: the share of the case's that a mixture of air brings along."""

    SETTING = "lift_pa"

    lift_pa: Real

    def dp_pa(self, flow_m3_s: Real, _density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """Minus the lift, at any airflow.

        dp = -p s, p the pressure in the case, s the share of the air that comes from there        ours
        """
        return -self.lift_pa + 0.0 * flow_m3_s


@dataclass(frozen=True)
class Fins:
    """The air side of a radiator from geometry, `share_frac` of whose face has air."""

    core: Core
    share_frac: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `Core.air_dp_pa`."""
        return self.core.air_dp_pa(flow_m3_s / self.share_frac, density_kg_m3, viscosity_pa_s)


@dataclass(frozen=True)
class Tubes:
    """The coolant side of a radiator from geometry."""

    core: Core

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """See `Core.coolant_dp_pa`."""
        return self.core.coolant_dp_pa(flow_m3_s, density_kg_m3, viscosity_pa_s)


@dataclass(frozen=True)
class Mesh:
    """A filter or grille before a face."""

    stated_dp_pa: Real
    stated_velocity_m_s: Real
    exponent: Real
    face_m2: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """See `screen_dp_pa`."""
        velocity = flow_m3_s / self.face_m2
        return screen_dp_pa(velocity, self.stated_dp_pa, self.exponent, self.stated_velocity_m_s, density_kg_m3)


@dataclass(frozen=True)
class Hole:
    """A bare opening for air."""

    area_m2: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, _viscosity_pa_s: Real) -> Real:
        """See `opening_dp_pa`."""
        return opening_dp_pa(flow_m3_s, self.area_m2, density_kg_m3)


# Laws of the form dp = mu l Q + rho t Q |Q|: l and t are what they give at unit flow with one of the two at zero.
PLAIN = (Coefficient, Curve, Valve, Hole)


@dataclass(frozen=True)
class Bundle:
    """All laws of a network, those of one type as one law with arrays, so that a formula is called once a type."""

    groups: tuple[tuple[Any, Indices], ...]
    count: int

    def dp_pa(self, flow_m3_s: Array, density_kg_m3: Array, viscosity_pa_s: Array) -> Array:
        """Pressure of every element, shape (..., elements); the arguments have or broadcast to that shape."""
        shape = np.broadcast_shapes(flow_m3_s.shape, density_kg_m3.shape, viscosity_pa_s.shape)
        dp = np.empty(shape)
        rho, mu = np.broadcast_to(density_kg_m3, shape), np.broadcast_to(viscosity_pa_s, shape)
        for law, where in self.groups:
            dp[..., where] = law.dp_pa(flow_m3_s[..., where], rho[..., where], mu[..., where])
        return dp

    def with_settings(self, settings: Mapping[int, Array]) -> Bundle:
        """The same laws with pumps and fans set otherwise: (variants,) by element; one not named keeps its own."""

        def at(law: Any, where: Indices) -> Any:  # noqa: ANN401 - a law with arrays
            if not isinstance(law, Settable):
                return law
            own = np.ravel(getattr(law, law.SETTING))
            columns = [settings.get(int(i), np.asarray([s])) for i, s in zip(where, own, strict=True)]
            return replace(law, **{law.SETTING: np.stack(np.broadcast_arrays(*columns), axis=-1)})

        return Bundle(tuple((at(law, where), where) for law, where in self.groups), self.count)

    def take(self, rows: Indices) -> Bundle:
        """The same laws for some of the variants."""

        def cut(law: Any) -> Any:  # noqa: ANN401 - a law with arrays
            if not isinstance(law, Settable):
                return law
            value = getattr(law, law.SETTING)
            return replace(law, **{law.SETTING: value[rows]}) if np.ndim(value) == 2 and len(value) > 1 else law

        return Bundle(tuple((cut(law), where) for law, where in self.groups), self.count)


def bundle(laws: Sequence[Law]) -> Bundle:
    """Group laws by type; those with a curve or core only with others of the same one."""
    by_type: dict[object, list[int]] = {}
    for index, law in enumerate(laws):
        shared = getattr(law, "curve", None) or getattr(law, "core", None)
        by_type.setdefault((type(law), id(shared)), []).append(index)
    return Bundle(tuple((_stack([laws[i] for i in where]), np.array(where)) for where in by_type.values()), len(laws))


def _stack(laws: list[Any]) -> Any:  # noqa: ANN401 - one law of the type of all of them
    first = laws[0]
    if len(laws) == 1 and not isinstance(first, Settable):
        return first
    numbers = [f.name for f in fields(first) if f.name not in ("curve", "core")]
    return replace(first, **{name: np.array([getattr(law, name) for law in laws]) for name in numbers})
