"""Radiator cores from their geometry: conductance, strength and both pressure losses.

Answers   how strong a radiator is, and what it takes from fan and pump, when only its lengths are known
Assumes   even flow over face and tubes, a clean dry core, properties at the inlets, no heat through the tanks;
          passes lie side by side in the face, rows in the depth are alike
Source    [kays-london-1984] areas, entrance and exit of the air, [incropera-2007] resistances in series
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np

from headrace.physics.duct import flat_tube_friction_re, flat_tube_nusselt
from headrace.physics.effectiveness import counter_cross, side_by_side_strength_w_k
from headrace.physics.fins import (
    LouvredFin,
    extrapolated_sigma_frac,
    fin_efficiency_frac,
    louvred_fanning_re,
    louvred_nusselt,
    plain_fanning_re,
    plain_nusselt,
)
from headrace.units import Real

_TUBE_W_M_K = 110.0  # brass; the wall holds 0.1 % of the resistance, so that any metal serves
_TURN_K = 1.5  # entrance 0.5 and exit 1.0 of a pass, velocity heads in the tube; common practice


@dataclass(frozen=True)
class Core:
    """Lengths of flat tubes with fins between them; plain fins when no louvre is given."""

    tube_length_m: Real
    tubes: int  # of one row, all passes together
    rows: int  # in the depth
    passes: int  # side by side in the face
    tube_height_m: Real
    tube_depth_m: Real  # along the air, of one row
    tube_wall_m: Real
    fin_height_m: Real
    fin_pitch_m: Real
    fin_thickness_m: Real
    fin_w_m_k: Real
    louvre_pitch_m: Real | None = None
    louvre_angle_rad: Real | None = None
    louvre_length_m: Real | None = None
    louvre_law: str = "chang-wang"
    rows_in_series: bool = False  # else a tank feeds all rows of a pass at once, as is usual

    @cached_property
    def fin_m2(self) -> Real:
        """Surface of all fins, both sides: a zigzag with a row above and below every tube."""
        slant = np.hypot(self.fin_height_m, self.fin_pitch_m)
        return self.rows * 2.0 * slant * self.tube_depth_m * self._fins

    @cached_property
    def air_m2(self) -> Real:
        """All surface the air touches: fins, and tubes less what the fins cover."""
        flat = 2.0 * (self.tube_depth_m - self.tube_height_m) + pi * self.tube_height_m
        bare = flat * self.tube_length_m * self.tubes - 2.0 * self.fin_thickness_m * self.tube_depth_m * self._fins
        return self.fin_m2 + self.rows * bare

    @cached_property
    def free_m2(self) -> Real:
        """Narrowest area of the air's way; louvres are cut out of the fin and block nothing more."""
        slant = np.hypot(self.fin_height_m, self.fin_pitch_m)
        return self.fin_height_m * self.tube_length_m * (self.tubes + 1) - self.fin_thickness_m * slant * self._fins

    @cached_property
    def face_m2(self) -> Real:
        """Area of the core as the air meets it."""
        return self.tube_length_m * (self.fin_height_m * (self.tubes + 1) + self.tube_height_m * self.tubes)

    @cached_property
    def open_frac(self) -> Real:
        """Share of the face that is open to the air."""
        return self.free_m2 / self.face_m2

    @cached_property
    def hydraulic_m(self) -> Real:
        """Hydraulic diameter of the air's way: four times free area times depth over surface."""
        return 4.0 * self.free_m2 * self.tube_depth_m * self.rows / self.air_m2

    @cached_property
    def coolant_m2(self) -> Real:
        """Wetted inside of all tubes."""
        return 2.0 * (self._inner_m + self._inner_depth_m) * self.tube_length_m * self.tubes * self.rows

    @cached_property
    def wall_w_k(self) -> Real:
        """Conductance of the tube walls.

        U = k A / w, k = 110 W/(m K)        plane wall [incropera-2007]

        W/K. Brass is taken; with any metal the wall is next to nothing.
        """
        return _TUBE_W_M_K * self.coolant_m2 / self.tube_wall_m

    @cached_property
    def louvred(self) -> LouvredFin | None:
        """The fin as its laws want it, or None when it is plain."""
        if self.louvre_pitch_m is None or self.louvre_length_m is None or self.louvre_angle_rad is None:
            return None
        fin = self.fin_pitch_m, self.fin_height_m, self.fin_thickness_m
        louvre = self.louvre_pitch_m, self.louvre_length_m, self.louvre_angle_rad
        return LouvredFin(*fin, self.tube_depth_m, self.tube_height_m, self.hydraulic_m, *louvre)

    @cached_property
    def _fins(self) -> Real:
        return self.tube_length_m / self.fin_pitch_m * (self.tubes + 1)

    @cached_property
    def _inner_m(self) -> Real:
        return self.tube_height_m - 2.0 * self.tube_wall_m

    @cached_property
    def _inner_depth_m(self) -> Real:
        return self.tube_depth_m - 2.0 * self.tube_wall_m

    @cached_property
    def _tube_hydraulic_m(self) -> Real:
        return 2.0 * self._inner_m * self._inner_depth_m / (self._inner_m + self._inner_depth_m)

    @cached_property
    def _fed_at_once(self) -> float:
        return self.tubes / self.passes * (1 if self.rows_in_series else self.rows)

    @cached_property
    def _channel(self) -> tuple[Real, Real]:
        """Aspect of the passage between two plain fins, and its length in hydraulic diameters."""
        short, long = np.minimum(self.fin_height_m, self.fin_pitch_m), np.maximum(self.fin_height_m, self.fin_pitch_m)
        return short / long, self.tube_depth_m / self.hydraulic_m

    @cached_property
    def _air_length_m(self) -> Real:
        return self.hydraulic_m if self.louvred is None else self.louvred.louvre_pitch_m

    def air_re(self, air_flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Reynolds number of the air in the core, without sign.

        Re = rho |V| l / (A mu), A the free area        by definition

        l is the louvre pitch, with plain fins the hydraulic diameter.
        """
        return density_kg_m3 * np.abs(air_flow_m3_s) * self._air_length_m / (self.free_m2 * viscosity_pa_s)

    def air_sigma_frac(self, air_flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Extra standard uncertainty of the air side's conductance at slow air; 0 with plain fins.

        s as in `extrapolated_sigma_frac`        common practice, no source
        """
        re = self.air_re(air_flow_m3_s, density_kg_m3, viscosity_pa_s)
        return extrapolated_sigma_frac(re) if self.louvred else 0.0 * re

    def _film(self, air_flow_m3_s: Real, air: tuple[Real, Real, Real, Real]) -> Real:
        """Film coefficient of the air in W/(m2 K); `air` is density, viscosity, heat capacity, conductivity."""
        density, viscosity, heat_capacity, conductivity = air
        re, prandtl = self.air_re(air_flow_m3_s, density, viscosity), viscosity * heat_capacity / conductivity
        if self.louvred:
            nusselt = louvred_nusselt(re, prandtl, self.louvred, self.louvre_law)
        else:
            nusselt = plain_nusselt(re, prandtl, *self._channel)
        return nusselt * conductivity / self._air_length_m

    def _surface_frac(self, film: Real) -> Real:
        """Share of its heat the air's surface passes compared with one as warm as the tubes all over."""
        thin = self.fin_w_m_k * self.fin_thickness_m
        half = 0.5 * np.hypot(self.fin_height_m, self.fin_pitch_m) - self.fin_thickness_m
        ml = half * np.sqrt(2.0 * film / thin * (1.0 + self.fin_thickness_m / self.tube_depth_m))
        return 1.0 - self.fin_m2 / self.air_m2 * (1.0 - fin_efficiency_frac(ml))

    def air_w_k(
        self,
        air_flow_m3_s: Real,
        density_kg_m3: Real,
        viscosity_pa_s: Real,
        heat_capacity_j_kg_k: Real,
        conductivity_w_m_k: Real,
    ) -> Real:
        """Conductance of the air side.

        U = e0 h A, e0 = 1 - (Afin / A) (1 - e), h = Nu k / l        [kays-london-1984]

        W/K; V in m3/s over the whole face, of either sign; e as in `fin_efficiency_frac`, Nu of the louvres
        [chang-wang-1997] or of plain fins [shah-london-1978]. Strictly rising; 0 in still air with louvres. Error 20 %.
        """
        air = density_kg_m3, viscosity_pa_s, heat_capacity_j_kg_k, conductivity_w_m_k
        film = self._film(air_flow_m3_s, air)
        return self._surface_frac(film) * film * self.air_m2

    def air_dp_pa(self, air_flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Pressure loss of the air; has the sign of the flow.

        dp = rows (G^2 / (2 rho)) (f A/Ac + 0.4 (1 - s^2) + (1 - s)^2), s the open share        [kays-london-1984]

        SI; A and Ac of one row, f of the louvres [chang-2000] or of plain fins [shah-london-1978]. Linear in V at
        rest, strictly rising. Error 25 %. Each row counts its own entrance and exit.
        """
        re = self.air_re(air_flow_m3_s, density_kg_m3, viscosity_pa_s)
        if self.louvred:
            product = louvred_fanning_re(re, self.louvred, self.louvre_law)
        else:
            product = plain_fanning_re(re, *self._channel)
        flux = density_kg_m3 * air_flow_m3_s / self.free_m2
        friction = product * viscosity_pa_s / self._air_length_m * 4.0 * self.tube_depth_m / self.hydraulic_m
        ends = 0.4 * (1.0 - self.open_frac**2) + (1.0 - self.open_frac) ** 2
        return self.rows * flux / (2.0 * density_kg_m3) * (friction + ends * np.abs(flux))

    def coolant_re(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Reynolds number in one tube, without sign.

        Re = rho |v| D / mu, D the hydraulic diameter of the tube        by definition
        """
        speed = np.abs(flow_m3_s) / (self._fed_at_once * self._inner_m * self._inner_depth_m)
        return density_kg_m3 * speed * self._tube_hydraulic_m / viscosity_pa_s

    def coolant_w_k(
        self,
        flow_m3_s: Real,
        density_kg_m3: Real,
        viscosity_pa_s: Real,
        heat_capacity_j_kg_k: Real,
        conductivity_w_m_k: Real,
    ) -> Real:
        """Conductance of the coolant side.

        U = h A, h = Nu k / D        Nu of a flat tube [shah-london-1978] [gnielinski-1976]

        W/K; Q in m3/s of either sign, shared evenly by the tubes. Strictly rising, finite at rest. Error 10 %.
        """
        re = self.coolant_re(flow_m3_s, density_kg_m3, viscosity_pa_s)
        prandtl = viscosity_pa_s * heat_capacity_j_kg_k / conductivity_w_m_k
        ratio = self.tube_length_m / self._tube_hydraulic_m
        nusselt = flat_tube_nusselt(re, prandtl, self._inner_m / self._inner_depth_m, ratio)
        return nusselt * conductivity_w_m_k / self._tube_hydraulic_m * self.coolant_m2

    def coolant_dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Pressure loss of the coolant in tubes and turns; has the sign of the flow.

        dp = n (f L/D + 1.5) rho v |v| / 2, n the passes it takes        f of a flat tube [shah-london-1978]

        SI. Linear in Q at rest, strictly rising. Ports and fittings are not in it. Error 20 %.
        """
        re = self.coolant_re(flow_m3_s, density_kg_m3, viscosity_pa_s)
        speed = flow_m3_s / (self._fed_at_once * self._inner_m * self._inner_depth_m)
        product = flat_tube_friction_re(re, self._inner_m / self._inner_depth_m)
        viscous = product * viscosity_pa_s * self.tube_length_m / self._tube_hydraulic_m**2
        times = self.passes * (self.rows if self.rows_in_series else 1)
        return times * 0.5 * speed * (viscous + _TURN_K * density_kg_m3 * np.abs(speed))

    def ua_w_k(self, air_w_k: Real, coolant_w_k: Real) -> Real:
        """Conductance from coolant to air.

        1/UA = 1/Uair + 1/Uwall + 1/Ucoolant        series resistances [incropera-2007]

        W/K, of what `air_w_k` and `coolant_w_k` give. 0 in still air when the air side is.
        """
        return air_w_k / (1.0 + air_w_k * (1.0 / coolant_w_k + 1.0 / self.wall_w_k))

    def strength_w_k(self, ua_w_k: Real, capacity_air_w_k: Real, capacity_coolant_w_k: Real) -> Real:
        """Heat passed per kelvin between coolant inlet and air inlet.

        Passes side by side, each with its share of fresh air; rows fed at once count as one deeper row; rows in
        series are counter-cross, the coolant entering where the air leaves        [kays-london-1984]

        W/K. 0 with either stream at rest, never above the smaller capacity rate.
        """
        if not self.rows_in_series:
            return side_by_side_strength_w_k(ua_w_k, capacity_air_w_k, capacity_coolant_w_k, self.passes)
        row = side_by_side_strength_w_k(ua_w_k / self.rows, capacity_air_w_k, capacity_coolant_w_k, self.passes)
        least = np.minimum(capacity_air_w_k, capacity_coolant_w_k)
        ratio = least / np.maximum(np.maximum(capacity_air_w_k, capacity_coolant_w_k), 1e-100)
        each = row / np.maximum(least, 1e-100)
        return least * counter_cross(self.rows * ua_w_k, ratio, self.rows, lambda _ntu, _cr: each)
