"""What a reader of a solution must know besides its numbers: formulas outside their range, values held or assumed.

Answers   which formulas ended outside the range they were made for, and by how much that loosens the answer
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from headrace.fluids import air as air_fluid
from headrace.fluids import fits
from headrace.loop.model import Loop, State
from headrace.physics.block import VALID_FLOW_M3_S
from headrace.physics.friction import TRANSITION_RE, VALID_RADIUS_RATIO, VALID_ROUGH_REL, reynolds
from headrace.physics.minor import VALID_BETA, VALID_BORE_M
from headrace.physics.pump import VALID_SPEED_FRAC
from headrace.solve.airnotes import find_air_notes
from headrace.solve.assemble import Element
from headrace.solve.balanced import Balanced
from headrace.solve.heat import LEAST_KG_S
from headrace.solve.laws import Coefficient, Curved, Pumping, Step, Straight
from headrace.solve.solution import AirResult, BlockResult, LinkResult
from headrace.units import Range, show

_LOOSE_FIT_FRAC = 0.05  # a fit further off its points than this is said; the reading error of a printed plot
_BOILS_K = 373.15  # water at sea level; mixes boil a little above, at altitude all a little below
_REACH = 2.0  # a law is trusted to this factor beyond its outermost points, as physics.curve says


def find_notes(
    found: Balanced, links: tuple[LinkResult, ...], blocks: tuple[BlockResult, ...], air: tuple[AirResult, ...]
) -> Iterator[str]:
    """Every note of one solution."""
    prepared = found.prepared
    loop, state, assembly = prepared.loop, prepared.state, prepared.assembly
    yield from find_air_notes(found, air)
    temps = found.heat.station_k[0, :-1]
    temps = temps if temps.size else found.heat.station_k[0]
    yield from _outside((float(temps.min()), float(temps.max())), fits.VALID_K, "temp_k", "coolant properties")
    yield from _outside((float(state.room_k),), air_fluid.VALID_K, "temp_k", "air properties")
    yield from _outside((float(state.altitude_m),), air_fluid.VALID_ALTITUDE_M, "length_m", "air pressure")
    share = loop.coolant.fluid().mass_frac
    yield from _outside((share,), fits.VALID_MASS_FRAC, "mass_frac", "coolant properties")
    yield from _friction_notes(links)
    yield from _small_bores(links)
    for passage, link in zip(assembly.passages, links, strict=True):
        for element in passage.elements:
            yield from _element_notes(link, element)
    for block in blocks:
        flow = abs(next(link.flow_m3_s for link in links if link.owner == block.part and link.does == "heat"))
        yield from _outside((flow,), VALID_FLOW_M3_S, "flow_m3_s", f'block "{block.part}": resistance')
    yield from _unstated(loop, links, blocks, state)
    yield from _too_many_fans(loop)
    coldest, hottest, freezing = float(temps.min()), float(temps.max()), loop.coolant.fluid().freezing_temp_k
    if min(coldest, float(state.room_k)) <= freezing:
        yield f"this coolant freezes at {show(freezing, 'temp_k')}: ice bursts blocks and radiators"
    if hottest >= _BOILS_K:
        yield f"coolant of {show(hottest, 'temp_k')} boils: no loop is built for that"
    rest = [link.id for link in links if abs(link.mass_flow_kg_s) <= LEAST_KG_S and not link.id.partition(":")[2]]
    if rest:
        yield f"no flow in {', '.join(rest)}"


def _unstated(
    loop: Loop,
    links: tuple[LinkResult, ...],
    blocks: tuple[BlockResult, ...],
    state: State,
) -> Iterator[str]:
    """What the state or a card leaves open and was taken as something."""
    for link in links:
        if link.does == "heat":
            if link.owner not in state.heat_w:
                yield f'block "{link.owner}": the state gives no heat, taken as 0 W'
            if not any(block.part == link.owner for block in blocks):
                yield f'block "{link.owner}": card "{loop.part(link.owner).card.id}" states no resistance: chip unknown'


def _too_many_fans(loop: Loop) -> Iterator[str]:
    for stack in loop.stacks:
        abreast, places = stack.fans_abreast, stack.card.fan_places
        if abreast is not None and places is not None and abreast > places:
            yield f'stack "{stack.id}": {abreast} fans on {places} places: its air and sound count them all'


def _outside(values: tuple[float, ...], valid: Range, name: str, what: str) -> Iterator[str]:
    worst = [value for value in values if not valid.covers(value)]
    if worst:
        found, low, high = (show(v, name) if name else f"{v:.3g}" for v in (worst[-1], valid.low, valid.high))
        yield f"{what} at {found}, outside their range of {low} to {high}"


def _friction_notes(links: tuple[LinkResult, ...]) -> Iterator[str]:
    unsure = [link.id for link in links for e in link.elements if isinstance(e.law, Straight) and _unsure(link, e.law)]
    if unsure:
        span = f"Re {TRANSITION_RE.low:.0f} to {TRANSITION_RE.high:.0f}"
        some = ", ".join(unsure[:6]) + (", ..." if len(unsure) > 6 else "")
        yield f"friction between laminar and turbulent ({span}), known to 30 % there, in {len(unsure)} runs: {some}"


def _unsure(link: LinkResult, law: Straight) -> bool:
    re = float(reynolds(abs(link.flow_m3_s), float(np.max(law.bore_m)), link.density_kg_m3, link.viscosity_pa_s))
    return TRANSITION_RE.covers(re)


def _small_bores(links: tuple[LinkResult, ...]) -> Iterator[str]:
    laws = [e.law for link in links for e in link.elements if isinstance(e.law, Coefficient) and e.law.k_laminar]
    small = [law for law in laws if not VALID_BORE_M.covers(law.bore_m)]
    if small:
        yield (
            f"losses of {len(small)} fittings from their shape alone: the rule was measured from "
            f"{show(VALID_BORE_M.low, 'bore_m')} up, here it is known to 50 %"
        )


def _element_notes(link: LinkResult, element: Element) -> Iterator[str]:
    what = f'"{link.id}": {element.label}'
    flow = abs(link.flow_m3_s)
    law = element.law
    if isinstance(law, Pumping):
        speed = float(np.max(law.speed_frac))
        if link.flow_m3_s < -LEAST_KG_S / link.density_kg_m3:
            yield f'pump "{link.owner}" is driven backwards'
        if 0 < speed < VALID_SPEED_FRAC.low:
            low = show(VALID_SPEED_FRAC.low, "x_frac")
            yield f"{what}: affinity laws at {show(speed, 'x_frac')}, below their {low}"
        if speed > 0 and element.points_m3_s is not None and flow > element.points_m3_s.high:
            end = show(element.points_m3_s.high, "flow_m3_s")
            yield f"{what}: {show(flow, 'flow_m3_s')} lies beyond its curve, which ends at {end}"
    elif element.points_m3_s is not None:
        span = element.points_m3_s
        if flow > LEAST_KG_S / link.density_kg_m3 and not Range(span.low / _REACH, span.high * _REACH).covers(flow):
            ends = f"{show(span.low, 'flow_m3_s')} to {show(span.high, 'flow_m3_s')}"
            yield f"{what}: loss at {show(flow, 'flow_m3_s')}, far from its points of {ends}: known to 20 % at best"
    if element.fit_frac > _LOOSE_FIT_FRAC:
        yield f"{what}: its law lies up to {show(element.fit_frac, 'x_frac')} off its points"
    yield from (f"{what}: {note}" for note in element.notes)
    if isinstance(law, Curved):
        yield from _outside(
            (float(np.max(law.radius_m / law.bore_m)),), VALID_RADIUS_RATIO, "", f"{what}: bend radius over bore"
        )
    if isinstance(law, Straight):
        yield from _outside(
            (float(np.max(law.roughness_m / law.bore_m)),), VALID_ROUGH_REL, "", f"{what}: roughness over bore"
        )
    if isinstance(law, Step):
        small, large = sorted((float(np.max(law.bore_from_m)), float(np.max(law.bore_to_m))))
        yield from _outside((small / large,), VALID_BETA, "", f"{what}: small bore over large bore")
