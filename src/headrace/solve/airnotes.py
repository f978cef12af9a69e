"""What a reader must know of the air of a solution: held strengths, slow air, stalled fans, air the wrong way."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from headrace.physics.fan import VALID_SPEED_RATIO
from headrace.physics.fins import VALID_LOUVRE_RE
from headrace.solve.balanced import Balanced
from headrace.solve.heat import LEAST_KG_S
from headrace.solve.solution import AirResult
from headrace.units import show


def find_air_notes(found: Balanced, air: tuple[AirResult, ...]) -> Iterator[str]:
    """Every note on the air of one solution."""
    yield from _held(found)
    yield from _slow(found)
    yield from _fans(found, air)
    yield from _unstated(found)


def _held(found: Balanced) -> Iterator[str]:
    """Radiators whose stated strength was more than their streams carry."""
    model = found.prepared.air_model
    for column, index in enumerate(model.live):
        core = model.cores[index]
        branch = model.stations.place_branch[core.place]
        if core.table is None or abs(found.flow_m3_s[0, branch]) * found.reference_kg_m3 <= LEAST_KG_S:
            continue
        speed, flow = found.variants.speed_hz[:1, core.path], np.abs(found.air.flow_m3_s[:1, core.path])
        factor = 1.0 if found.variants.strength is None else float(found.variants.strength[0, index])
        stated = factor * float(core.stated_w_k(speed, flow, found.air.capacity_w_k[:1, core.path])[0])
        used = float(found.air.strength_w_k[0, column])
        if used < stated * (1 - 1e-9):
            yield (
                f'radiator "{core.part}": its stated strength of {stated:.3g} W/K is more than its air or '
                f"coolant can carry, held at {used:.3g} W/K"
            )


def _slow(found: Balanced) -> Iterator[str]:
    """Radiators from geometry whose air is slower than their laws were fitted for."""
    model = found.prepared.air_model
    for index, core in enumerate(model.cores):
        if core.core is None or core.core.louvred is None or core.live_frac == 0.0:
            continue
        air_k = float(found.air.air_in_k[0, index])
        flow = abs(float(found.air.flow_m3_s[0, core.path])) / core.live_frac
        props = float(model.air.density_kg_m3(air_k)), float(model.air.viscosity_pa_s(air_k))
        re = float(core.core.air_re(flow, *props))
        if re < VALID_LOUVRE_RE.low:
            sigma = float(core.core.air_sigma_frac(flow, *props))
            yield (
                f'radiator "{core.part}": air at Re {re:.0f} of the louvre, below the fitted '
                f"{VALID_LOUVRE_RE.low:.0f}: the law is drawn on, and its band is wider by {show(sigma, 'x_frac')}"
            )


def _fans(found: Balanced, air: tuple[AirResult, ...]) -> Iterator[str]:
    model = found.prepared.air_model
    for path, result in zip(model.paths, air, strict=True):
        name = f'{result.kind} "{result.id}"'
        if result.backwards:
            yield f"{name}: air goes backwards through it: its fans are too weak for what works against them"
        elif result.stalled:
            share = show(float(found.prepared.loop.thresholds("stall_share")), "share_frac")
            yield f"{name}: its fans stall: they move less than {share} of their free airflow, louder and less steady"
        if path.findable and path.curve().notes:
            yield f'fan "{path.fan.id if path.fan else ""}": {"; ".join(path.curve().notes)}'
        if path.findable and 0.0 < path.speed_ratio() < VALID_SPEED_RATIO.low:
            yield f"{name}: fan laws at {show(path.speed_ratio(), 'x_frac')} of the curve's speed, below their range"
        if path.findable and path.speed_hz == 0.0 and result.air_flow_m3_s:
            passes = show(abs(result.air_flow_m3_s), "air_flow_m3_s")
            yield f"{name}: its fans stand still; {passes} go through them all the same, driven by others"
        if path.live_frac < 1.0:
            out = round((path.abreast or 0) * (1.0 - path.live_frac))
            yield f"{name}: {out} of its fans stand still; their part of the core is taken as without air"
        if path.speed_hz is not None and result.id not in found.prepared.state.speed:
            yield f"{name}: the state gives no speed, taken at full speed"


def _unstated(found: Balanced) -> Iterator[str]:
    model, state = found.prepared.air_model, found.prepared.state
    if model.case_heat_w is not None and state.case_heat_w is None:
        yield "the state gives no case_heat: what boards, memory and drives give to the case air is taken as 0 W"
    if model.network is not None and model.case_heat_w is not None:
        leak = show(float(model.loop.thresholds("assumed_case_leak")), "x_m2")
        yield f"the case leaks air through an assumed {leak} besides its vents"
