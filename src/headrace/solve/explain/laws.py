"""
Open what one law takes from its water or air: the formula, and the numbers the law was made with.

Answers   which formulas stand behind each law, down to the friction of tube and fins
Assumes   a law is the one that was solved, so that its own `dp_pa` gives the value again
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields
from typing import Any

from headrace.physics.core import Core
from headrace.physics.curve import curve_dp_pa
from headrace.physics.duct import fanning_re, flat_tube_friction_re
from headrace.physics.fan import fan_dp_pa
from headrace.physics.fins import LOUVRE_LAWS, louvred_fanning_re, plain_fanning_re
from headrace.physics.friction import bend_dp_pa, friction_dp_pa, friction_factor, inlet_dp_pa
from headrace.physics.grille import opening_dp_pa, screen_dp_pa
from headrace.physics.minor import minor_dp_pa, step_dp_pa
from headrace.physics.pump import PumpCurve
from headrace.physics.valve import kv_dp_pa
from headrace.solve.explain.explained import Explained, formulas_of
from headrace.solve.laws import (
    Blowing,
    Coefficient,
    Curve,
    Curved,
    Fins,
    Hole,
    Imposed,
    Law,
    Lift,
    Mesh,
    Pumping,
    Step,
    Straight,
    Tubes,
    Valve,
)

LAW_FORMULAS: dict[type, tuple[Callable[..., Any], ...]] = {
    Straight: (friction_dp_pa, friction_factor, inlet_dp_pa),
    Curved: (bend_dp_pa,),
    Coefficient: (minor_dp_pa,),
    Step: (step_dp_pa,),
    Curve: (curve_dp_pa,),
    Valve: (kv_dp_pa,),
    Pumping: (PumpCurve.head_pa,),
    Tubes: (Core.coolant_dp_pa, flat_tube_friction_re),
    Fins: (Core.air_dp_pa,),
    Mesh: (screen_dp_pa,),
    Hole: (opening_dp_pa,),
    Blowing: (fan_dp_pa,),
    Imposed: (Imposed.dp_pa,),
    Lift: (Lift.dp_pa,),
}
WATER_CARD_KEYS: dict[type, tuple[str, str]] = {Pumping: ("curve", ""), Tubes: ("geometry", "loss points")}
"""Under which key of a card a law of the water stands, and whose spread it has when not its own; else a `loss`."""
_COEFFICIENTS = ("a_pa_s2_m6", "b_pa_s_m3")  # of a Q^2 + b Q: no kind of the closed list
_READ_AS = {
    "length_m": "length",
    "bore_m": "bore",
    "roughness_m": "roughness",
    "bend_rad": "angle of the bend",
    "radius_m": "radius of the bend",
    "k_laminar": "K at slow flow, times Re",
    "k_turbulent": "K at fast flow",
    "bore_from_m": "bore before the step",
    "bore_to_m": "bore behind the step",
    "a_pa_s2_m6": "a in Pa s²/m⁶",
    "b_pa_s_m3": "b in Pa s/m³",
    "test_density_kg_m3": "density of the fluid of the card",
    "test_viscosity_pa_s": "viscosity of the fluid of the card",
    "kv": "Kv, m³/h of water at 1 bar",
    "speed_frac": "share of full speed",
    "share_frac": "share of the face with air",
    "stated_dp_pa": "pressure stated for it",
    "stated_velocity_m_s": "air speed it is stated at",
    "exponent": "power of the air speed",
    "face_m2": "face",
    "area_m2": "open area",
    "in_parallel": "fans side by side",
    "in_series": "fans behind one another",
    "air_flow_m3_s": "stated airflow",
    "lift_pa": "pressure of the case that helps",
    "tube_length_m": "length of a flat tube",
    "tubes": "flat tubes in a row",
    "rows": "rows of tubes",
    "passes": "passes of the coolant",
    "tube_height_m": "height of a flat tube",
    "tube_depth_m": "depth of a flat tube along the air",
    "tube_wall_m": "wall of a flat tube",
    "fin_height_m": "height of the fins",
    "fin_pitch_m": "distance of the fins",
    "fin_thickness_m": "thickness of a fin",
    "fin_w_m_k": "conductivity of the fins",
    "louvre_pitch_m": "distance of the louvres",
    "louvre_angle_rad": "angle of the louvres",
    "louvre_length_m": "length of a louvre",
}
"""What a person calls the numbers a law is made with."""


def law_formulas(law: Law) -> tuple[str, ...]:
    """The formulas of a law; those of fins go by their shape."""
    functions = LAW_FORMULAS[type(law)]
    if isinstance(law, Fins):
        functions = (*functions, *_fin_friction(law.core))
    return formulas_of(*functions)


def _fin_friction(core: Core) -> tuple[Callable[..., Any], ...]:
    if core.louvred is None:
        return plain_fanning_re, fanning_re
    return louvred_fanning_re, LOUVRE_LAWS[core.louvre_law].f


def law_inputs(law: Law) -> Iterator[Explained]:
    """The numbers a law was made with, each under the name a person calls it by; its unit is its name in the law."""
    for field in fields(law):  # type: ignore[arg-type]  # every law is a dataclass
        value = getattr(law, field.name)
        if isinstance(value, Core):
            yield from core_lengths(value)
        elif isinstance(value, PumpCurve):
            yield Explained("pressure of the curve at no flow", value.shutoff_pa, "dp_pa")
            kind = "air_flow_m3_s" if isinstance(law, Blowing) else "flow_m3_s"
            yield Explained("where the curve ends", value.last_flow_m3_s, kind)
        elif isinstance(value, int | float):
            unit = "" if field.name in _COEFFICIENTS else field.name
            yield Explained(_READ_AS[field.name], float(value), unit)


def core_lengths(core: Core) -> Iterator[Explained]:
    """What the geometry of a core states, and which law its louvres follow."""
    for field in fields(core):
        value = getattr(core, field.name)
        if isinstance(value, int | float) and not isinstance(value, bool):
            yield Explained(_READ_AS[field.name], float(value), field.name)
    if core.louvred is not None:
        yield Explained("law of the louvres", core.louvre_law)
