"""
Open how strong a radiator is, whichever way its card says so, and the heat it gives off.

Answers   which airflow, speed, coolant flow and lengths make a strength, and by which laws
Assumes   where fans stand still their part of the core passes no heat, as the solver takes it
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from headrace.fluids.coolant import Coolant
from headrace.parts.radiator import Radiator
from headrace.physics.core import Core
from headrace.physics.duct import flat_tube_nusselt
from headrace.physics.effectiveness import (
    SIDED,
    counterflow,
    crossflow,
    side_by_side_strength_w_k,
    strength_w_k,
)
from headrace.physics.fins import (
    LOUVRE_LAWS,
    extrapolated_sigma_frac,
    fin_efficiency_frac,
    louvred_nusselt,
    plain_nusselt,
)
from headrace.physics.heat import capacity_w_k
from headrace.physics.radiator import StrengthTable, bound_w_k, thin_air_w_k, ua_w_k
from headrace.solve.cores import CoreAir
from headrace.solve.explain.explained import Book, Explained, Number, Opened, formula_of, formulas_of, inlet
from headrace.solve.explain.laws import core_lengths
from headrace.solve.explain.ways import air_capacity, fan_speed
from headrace.solve.solution import LinkResult, RadiatorResult, Solution
from headrace.units import show

_HEAT = "q = G (T_coolant,in - T_air,in), by definition of the strength G"
_LIVE = "where fans stand still their part of the core passes no heat: points and UA count with this share"


def core_numbers(solution: Solution) -> dict[str, Number]:
    """Heat and strength of every radiator."""
    strength = {radiator.part: radiator.strength_w_k for radiator in solution.radiators}
    return {
        "heat": Number("heat_w", solution.heat_w, _heat),
        "strength": Number("strength_w_k", strength, _strength),
    }


def coolant_capacity(link: LinkResult) -> Explained:
    """Heat that the coolant of a passage carries per kelvin."""
    value = abs(link.mass_flow_kg_s) * link.heat_capacity_j_kg_k
    formulas = (formula_of(capacity_w_k), formula_of(Coolant.heat_capacity_j_kg_k))
    return Explained("capacity rate of the coolant", value, "capacity_w_k", formulas)


def _heat(book: Book, part: str, depth: int) -> Opened:
    inputs = (
        book.open_at(f"strength.{part}", depth),
        book.open_at(f"coolant_temp.{inlet(book.cooling_link(part))}", 0),
        book.open_at(f"air_in_temp.{part}", depth),
    )
    return Opened((_HEAT,), inputs)


def _strength(book: Book, part: str, depth: int) -> Opened:
    radiator = book.radiators[part]
    core = next(core for core in book.prepared.air_model.cores if core.part == part)
    formulas, inputs, said = _FORMS[radiator.form](book, radiator, core, depth)
    if core.live_frac < 1.0:
        share = Explained("share of its face with air", core.live_frac, "live_frac", (_LIVE,))
        inputs = (*inputs, share)
    return Opened(formulas, inputs, said)


def _air(book: Book, radiator: RadiatorResult) -> Iterator[Explained]:
    """Airflow and fan speed of a radiator, as far as they are known."""
    if radiator.air_flow_m3_s is not None:
        yield book.open_at(f"air_flow.{radiator.stack}", 0)
    if radiator.speed_hz is not None:
        yield fan_speed(book, radiator.stack)


def _capacities(book: Book, radiator: RadiatorResult) -> Iterator[Explained]:
    if radiator.air_out_temp_k is not None:
        yield air_capacity(book, radiator.stack)
    yield coolant_capacity(book.cooling_link(radiator.part))


def _by_points(book: Book, radiator: RadiatorResult, core: CoreAir, _depth: int) -> Opened:
    card = book.loop.part(radiator.part).card
    table = card.strength if isinstance(card, Radiator) else None
    assert table is not None
    axis = table.air or table.speed
    text = "; ".join(f"{x:g} {axis.text if axis else ''}: {y:g} {table.strength.text}" for x, y in table.points)
    inputs = (*_air(book, radiator), Explained("points of the card", text), *_capacities(book, radiator))
    speed, flow = radiator.speed_hz, radiator.air_flow_m3_s
    capacity = 0.0 if radiator.air_out_temp_k is None else float(air_capacity(book, radiator.stack).value)
    stated = core.stated_w_k(np.array(speed or 0.0), np.array(abs(flow or 0.0)), np.array(capacity))
    held = radiator.strength_w_k < float(stated) * (1.0 - 1e-9)
    said = f", held at what its streams carry: the points say {show(float(stated), 'strength_w_k')}" if held else ""
    if core.thin_frac < 1.0:
        inputs = (*inputs, Explained("air pressure over that at sea level", core.thin_frac, "thin_frac"))
    thin = (thin_air_w_k,) if core.thin_frac < 1.0 else ()
    formulas = formulas_of(StrengthTable.strength_w_k, *thin, bound_w_k)
    return Opened(formulas, inputs, book.part_card(radiator.part, "strength") + said)


def _by_law(book: Book, radiator: RadiatorResult, core: CoreAir, _depth: int) -> Opened:
    law, link = core.ua, book.cooling_link(radiator.part)
    assert law is not None
    said = book.part_card(radiator.part, "ua")
    powers = (law.air_w_k(), law.ma, law.coolant_w_k(), law.mw)
    per_live = abs(radiator.air_flow_m3_s or 0.0) / max(core.live_frac, 1e-9)
    ua = core.live_frac * float(ua_w_k(per_live, abs(link.flow_m3_s), *powers))
    inputs = (
        *_air(book, radiator),
        book.open_at(f"flow.{link.id}", 0),
        Explained("ka at 1 m³/h", powers[0], "air_w_k", (), said),
        Explained("ma", powers[1]),
        Explained("kw at 1 L/min", powers[2], "coolant_w_k", (), said),
        Explained("mw", powers[3]),
    )
    conductance = Explained("UA", ua, "ua_w_k", (formula_of(ua_w_k),), said, inputs)
    streams = tuple(_capacities(book, radiator))
    formulas = formulas_of(strength_w_k, _arrangement(law.arrangement, streams))
    return Opened(formulas, (conductance, Explained("arrangement", law.arrangement), *streams), said)


def _arrangement(name: str, streams: tuple[Explained, ...]) -> Callable[..., Any]:
    """The formula of an arrangement; where one stream is mixed it goes by which of them is the smaller."""
    if name == "counterflow":
        return counterflow
    if name == "both unmixed" or len(streams) < 2:
        return crossflow
    air, coolant = (float(stream.value) for stream in streams)
    air_least, coolant_least = SIDED["crossflow, a mixed" if name == "air mixed" else "crossflow, b mixed"]
    return air_least if air <= coolant else coolant_least


def _by_geometry(book: Book, radiator: RadiatorResult, core: CoreAir, depth: int) -> Opened:
    shape = core.core
    assert shape is not None
    said = book.part_card(radiator.part, "geometry")
    air, coolant = _air_side(book, radiator, core, shape), _coolant_side(book, radiator, shape)
    wall = Explained("conductance of the tube walls", float(shape.wall_w_k), "wall_w_k", (formula_of(Core.wall_w_k),))
    ua = core.live_frac * float(shape.ua_w_k(float(air.value), float(coolant.value)))
    conductance = Explained("UA", ua, "ua_w_k", (formula_of(Core.ua_w_k),), said, (air, wall, coolant))
    kind = "louvred" if shape.louvred else "plain"
    lengths = tuple(core_lengths(shape)) if depth > 0 else ()
    outline = Explained("core", f"{shape.tubes} flat tubes, {kind} fins", said=said, inputs=lengths)
    formulas = formulas_of(Core.strength_w_k, side_by_side_strength_w_k, crossflow)
    return Opened(formulas, (conductance, outline, *_capacities(book, radiator)), said)


def _air_side(book: Book, radiator: RadiatorResult, core: CoreAir, shape: Core) -> Explained:
    """Conductance from the air to the tubes, at the air as it comes into this core."""
    air, temp_k = book.prepared.air, radiator.air_in_temp_k
    flow = abs(radiator.air_flow_m3_s or 0.0) / max(core.live_frac, 1e-9)
    density, viscosity = float(air.density_kg_m3(temp_k)), float(air.viscosity_pa_s(temp_k))
    heat, conductivity = float(air.heat_capacity_j_kg_k(temp_k)), float(air.conductivity_w_m_k(temp_k))
    value = float(shape.air_w_k(flow, density, viscosity, heat, conductivity))
    law = (louvred_nusselt, LOUVRE_LAWS[shape.louvre_law].j) if shape.louvred else (plain_nusselt,)
    inputs = [
        *_air(book, radiator),
        Explained("density of the air", density, "density_kg_m3", (formula_of(type(air).density_kg_m3),)),
        Explained("viscosity of the air", viscosity, "viscosity_pa_s", (formula_of(type(air).viscosity_pa_s),)),
        Explained("heat capacity of the air", heat, "heat_j_kg_k", (formula_of(type(air).heat_capacity_j_kg_k),)),
        Explained("conductivity of the air", conductivity, "air_w_m_k", (formula_of(type(air).conductivity_w_m_k),)),
        Explained("Re of the air", float(shape.air_re(flow, density, viscosity)), "", (formula_of(Core.air_re),)),
    ]
    extra = float(shape.air_sigma_frac(flow, density, viscosity))
    if extra:
        formulas = formulas_of(Core.air_sigma_frac, extrapolated_sigma_frac)
        inputs.append(Explained("extra uncertainty at slow air", extra, "extra_frac", formulas))
    formulas = formulas_of(Core.air_w_k, *law, fin_efficiency_frac)
    return Explained("conductance of the air side", value, "air_w_k", formulas, "", tuple(inputs))


def _coolant_side(book: Book, radiator: RadiatorResult, shape: Core) -> Explained:
    """Conductance from the coolant to the tubes, at the mean of its two ends."""
    link, fluid = book.cooling_link(radiator.part), book.loop.coolant.fluid()
    mean_k = 0.5 * (link.temp_in_k + link.temp_out_k)
    conductivity = float(fluid.conductivity_w_m_k(mean_k))
    stream = link.density_kg_m3, link.viscosity_pa_s
    flow = abs(link.flow_m3_s)
    value = float(shape.coolant_w_k(flow, *stream, link.heat_capacity_j_kg_k, conductivity))
    inputs = (
        book.open_at(f"flow.{link.id}", 0),
        Explained("coolant density", stream[0], "density_kg_m3", (formula_of(Coolant.density_kg_m3),)),
        Explained("viscosity", stream[1], "viscosity_pa_s", (formula_of(Coolant.viscosity_pa_s),)),
        Explained(
            "heat capacity", link.heat_capacity_j_kg_k, "heat_j_kg_k", (formula_of(Coolant.heat_capacity_j_kg_k),)
        ),
        Explained("conductivity", conductivity, "coolant_w_m_k", (formula_of(Coolant.conductivity_w_m_k),)),
        Explained("Re in a tube", float(shape.coolant_re(flow, *stream)), "", (formula_of(Core.coolant_re),)),
    )
    formulas = formulas_of(Core.coolant_w_k, flat_tube_nusselt)
    return Explained("conductance of the coolant side", value, "coolant_w_k", formulas, "", inputs)


_FORMS: dict[str, Callable[[Book, RadiatorResult, CoreAir, int], Opened]] = {
    "points": _by_points,
    "UA law": _by_law,
    "geometry": _by_geometry,
}
