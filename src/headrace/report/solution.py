"""The report of a solved state: flow, coolant, sound, chips, radiators, air, where the pressure goes, how it closed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from headrace.loop.model import Loop
from headrace.physics.sound import energy_sum_db
from headrace.physics.warming import soak_s
from headrace.report.band import band_text, beside, report_band
from headrace.report.tree import Cell, Column, Line, Section, Table, Tone
from headrace.solve.band import Band
from headrace.solve.explain.ways import find_breath, stack_of, turned_zone
from headrace.solve.laws import Pumping
from headrace.solve.solution import AirResult, BlockResult, NoiseResult, RadiatorResult, Solution
from headrace.units import show, show_difference, unit_text

_SAME_FLOW = 0.98  # above this share of the pump's flow it is the same water
_LEAST_SHARE = 0.005  # a link with less of the loss goes into the last row
_STILL_DB = -50.0  # what stands still has a level far below this, what turns one far above


def report_solution(
    loop: Loop, solution: Solution, band: Band | None = None, time_constant_s: float | None = None
) -> Section:
    """Everything a person asks first, in display units, with bands where they are given."""
    return Section(
        f"{loop.name or loop.file}: state {solution.state}, room {show(solution.room_k, 'room_k')}",
        (
            *_headline(loop, solution, band),
            *_sound(loop, solution, band),
            *_time(band, time_constant_s),
            Section("Chips", (_chips(loop, solution, band),)),
            Section("Radiators", (_radiators(loop, solution),)),
            *_air(loop, solution),
            Section("Where the pressure goes", (_losses(solution),)),
            Section("How far to trust this", tuple(_trust(solution, band))),
        ),
    )


def limits_exceeded(loop: Loop, solution: Solution) -> bool:
    """True when a chip, the coolant, the flow or the sound passes its limit in this state."""
    limit = loop.limits.coolant_k
    hot = limit is not None and solution.hottest[1] > float(limit)
    short, loud = flow_short(loop, solution), too_loud(loop, solution)
    return hot or short or loud or any(margin < 0 for margin in solution.margin_k.values())


def too_loud(loop: Loop, solution: Solution) -> bool:
    """True when the machine alone is louder than agreed."""
    limit, noise = loop.limits.noise_db, solution.noise
    return limit is not None and noise is not None and noise.total_db > float(limit)


def flow_short(loop: Loop, solution: Solution) -> bool:
    """True when the weakest block, or the pump where there is none, gets less than the agreed flow."""
    limit = loop.limits.flow_m3_s
    least = solution.block_flow_m3_s
    return limit is not None and (least[1] if least else solution.pump_flow_m3_s) < float(limit)


def _headline(loop: Loop, solution: Solution, band: Band | None) -> tuple[Line, ...]:
    hot, cold = solution.widest
    temps = solution.coolant_temp_k
    pumps = ", ".join(f"{pump} {show(dp, 'dp_pa')}" for pump, dp in solution.pump_dp_pa.items())
    lines = [
        Line(f"flow {_flow_text(solution, band)}"),
        Line(f"pressure of the pumps: {pumps or 'no pump'}"),
        Line(
            f"coolant from {show(temps[cold], 'temp_k')} at {cold} to {show(temps[hot], 'temp_k')}"
            f"{beside(band, 'coolant_temp_k', hot)} at {hot}: it differs by {show_difference(solution.coolant_rise_k)}"
            f"{beside(band, 'coolant_rise_k')} around this loop"
        ),
    ]
    return (*lines, *_of_water(loop, solution))


def report_limits(loop: Loop, solution: Solution) -> Iterator[Line]:
    """The agreed limits with what was found, and each chip that is hotter than its own."""
    yield from _of_water(loop, solution)
    if loop.limits.noise_db is not None:
        yield from _sound(loop, solution, None)
    for block in solution.blocks:
        if block.margin_k is not None and block.margin_k < 0.0:
            over = f"{show_difference(-block.margin_k)} ABOVE its limit of {show(block.limit_k, 'temp_k')}"
            yield Line(f"chip {block.part} {show(block.temp_k, 'temp_k')}: {over}", "bad")


def _of_water(loop: Loop, solution: Solution) -> Iterator[Line]:
    """The agreed limits of coolant and flow."""
    limit = loop.limits.coolant_k
    if limit is not None:
        margin = float(limit) - solution.hottest[1]
        word = "below" if margin >= 0 else "ABOVE"
        text = f"hottest coolant {show_difference(abs(margin))} {word} the agreed limit of {show(limit, 'temp_k')}"
        yield Line(text, "good" if margin >= 0 else "bad")
    if loop.limits.flow_m3_s is not None:
        short = flow_short(loop, solution)
        text = f"flow {'BELOW' if short else 'above'} the agreed {show(loop.limits.flow_m3_s, 'flow_m3_s')}"
        yield Line(text, "bad" if short else "good")


def _flow_text(solution: Solution, band: Band | None) -> str:
    """The flow of the pump, of the strongest where they differ, and the weakest block's where the water divides."""
    pumps = {link.id: abs(link.flow_m3_s) for link in solution.links if link.does == "pump"}
    strongest = max(pumps, key=lambda id_: pumps[id_], default="")
    text = show(solution.pump_flow_m3_s, "flow_m3_s") + beside(band, "flow_m3_s", strongest)
    same = solution.pump_flow_m3_s * _SAME_FLOW
    if pumps and min(pumps.values()) < same:
        text += " through the strongest pump"
    least = solution.block_flow_m3_s
    if least is None or least[1] > same:
        return text
    return f"{text}, {show(least[1], 'flow_m3_s')} through block {least[0]}"


def _sound(loop: Loop, solution: Solution, band: Band | None) -> Iterator[Line]:
    """How loud it is, from what, and against the limit; nothing where neither is stated."""
    noise, limit = solution.noise, loop.limits.noise_db
    if noise is None:
        if limit is not None:
            agreed = f"the agreed {show(limit, 'noise_db')} are not judged"
            yield Line(f"sound not known, as no card states any: {agreed}", "warn")
        return
    distance = loop.limits.noise_at_m
    at = distance.text if distance is not None and distance.text else show(noise.distance_m, "distance_m", unit="m")
    text = f"sound {show(noise.total_db, 'noise_db')}{beside(band, 'noise_db')} at {at}: {_sources(solution, noise)}"
    tone: Tone = ""
    if limit is not None:
        margin = float(limit) - noise.total_db
        word = "below" if margin >= 0 else "ABOVE"
        text += f"; {abs(margin):.1f} dB {word} the agreed {show(limit, 'noise_db')}"
        tone = "bad" if margin < 0 else "warn" if noise.silent else "good"
    if noise.silent:
        text += f", without {', '.join(noise.silent)}, of which no card states the sound"
    yield Line(text, tone)
    if noise.heard_db is not None and noise.background_db is not None:
        background = show(noise.background_db, "noise_db")
        yield Line(f"with the {background} of the room itself one hears {show(noise.heard_db, 'noise_db')}")


def _sources(solution: Solution, noise: NoiseResult) -> str:
    """Every source with its level, the loudest first; several pumps as one."""
    ways = {air.id for air in solution.air}
    pumps = {id_: level for id_, level in noise.level_db.items() if id_ not in ways}
    levels = {id_: level for id_, level in noise.level_db.items() if id_ in ways}
    levels |= {"pumps": float(energy_sum_db(np.array(list(pumps.values()))))} if len(pumps) > 1 else pumps
    loudest = sorted(levels.items(), key=lambda item: -item[1])
    return ", ".join(f"{id_} {f'{level:.1f}' if level > _STILL_DB else 'still'}" for id_, level in loudest)


def _time(band: Band | None, time_constant_s: float | None) -> Iterator[Line]:
    if time_constant_s is not None:
        unit = unit_text("time_s", value_si=time_constant_s)
        text = f"time constant {show(time_constant_s, 'time_s')}{beside(band, 'time_constant_s', unit=unit)}"
        yield Line(f"{text}: a soak runs {show(float(soak_s(time_constant_s)), 'time_s')}")


def _chips(loop: Loop, solution: Solution, band: Band | None) -> Table | Line:
    if not solution.blocks:
        return Line("no block gives heat here", "quiet")
    heads = ("heat", "coolant", "of", "K/W", "chip", *(("90 % band",) if band else ()), "limit", "margin")
    columns = (Column("part"), *(Column(head, number=head != "of") for head in heads))
    tight_k = loop.thresholds("tight_margin")
    return Table(columns, tuple(_chip_row(block, tight_k, band) for block in solution.blocks))


def _chip_row(block: BlockResult, tight_k: float, band: Band | None) -> tuple[Cell, ...]:
    margin = block.margin_k
    tone: Tone = "" if margin is None else "bad" if margin < 0 else "warn" if margin < tight_k else "good"
    return (
        Cell(block.part),
        Cell(show(block.heat_w, "heat_w")),
        Cell(show(block.node_temp_k, "temp_k")),
        Cell(block.node, "quiet"),
        Cell(show(block.resistance_k_w, "resistance_k_w").removesuffix(" K/W")),
        Cell(show(block.temp_k, "temp_k"), tone),
        *((Cell(band_text(band, "part_temp_k", block.part)),) if band else ()),
        Cell("none" if block.limit_k is None else show(block.limit_k, "temp_k")),
        Cell("unknown" if margin is None else show_difference(margin), tone),
    )


def _radiators(loop: Loop, solution: Solution) -> Table:
    heads = ("airflow", "fans", "air from", "air in", "air out", "coolant", "strength", "heat")
    columns = (Column("radiator"), *(Column(head, number=head != "air from") for head in heads))
    return Table(columns, tuple(_radiator_row(loop, solution, radiator) for radiator in solution.radiators))


def _radiator_row(loop: Loop, solution: Solution, radiator: RadiatorResult) -> tuple[Cell, ...]:
    return (
        Cell(radiator.part),
        Cell(show(radiator.air_flow_m3_s, "air_flow_m3_s")),
        Cell(_speed(radiator.speed_hz)),
        Cell(_air_from(loop, solution, radiator.part), "quiet"),
        Cell(show(radiator.air_in_temp_k, "temp_k")),
        Cell(show(radiator.air_out_temp_k, "temp_k")),
        Cell(show(radiator.coolant_in_k, "temp_k")),
        Cell(show(radiator.strength_w_k, "strength_w_k")),
        Cell(show(radiator.heat_w, "heat_w")),
    )


def _speed(speed_hz: float | None) -> str:
    return show(speed_hz, "speed_hz") if speed_hz is not None else "given air"


def _air_from(loop: Loop, solution: Solution, part: str) -> str:
    """Where the air into a radiator comes from, in words: "60 % front, 40 % room"."""
    stack = stack_of(loop, part)
    if part != stack.radiator:
        return f"behind {find_breath(loop, solution, part)[0].source}"
    if turned_zone(loop, solution, part) is not None:
        return f"{turned_zone(loop, solution, part)}, backwards"
    words = []
    for source, share in find_breath(loop, solution, part):
        zone = source in ("room", "case")
        name = source if zone else "its own" if source in stack.radiators else stack_of(loop, source).id
        words.append(name if share == 1.0 else f"{show(share, 'share_frac')} {name}")
    rise = sum(float(inlet.plus_k) for inlet in stack.inlets) * (1.0 - float(stack.recirculated_frac))
    return ", ".join(words) + (f" + {show_difference(rise)}" if rise else "")


def _air(loop: Loop, solution: Solution) -> Iterator[Section]:
    """Every way of the air and the case, where there is more to say than what was given."""
    found = any(air.origin == "fan curve" for air in solution.air)
    if not (loop.vents or found or solution.case_k is not None):
        return
    columns = (Column("air through"), Column("airflow", True), Column("known by"), Column("fans", True), Column(""))
    table = Table(columns, tuple(_air_row(air) for air in solution.air))
    yield Section("Air", (table, *_case(solution)))


def _air_row(air: AirResult) -> tuple[Cell, ...]:
    flow = None if air.air_flow_m3_s is None else abs(air.air_flow_m3_s)
    tone: Tone = "bad" if air.backwards else "warn" if air.stalled else ""
    return (
        Cell(f"{air.kind} {air.id}"),
        Cell(show(flow, "air_flow_m3_s")),
        Cell({"unknown": "nothing"}.get(air.origin, air.origin), "quiet"),
        Cell(_speed(air.speed_hz)),
        Cell("backwards" if air.backwards else "stalled" if air.stalled else "", tone),
    )


def _case(solution: Solution) -> Iterator[Line]:
    if solution.case_k is None or solution.case_pa is None:
        return
    rise_k = solution.case_k - solution.room_k
    warmer = f"{show_difference(abs(rise_k))} {'warmer' if rise_k >= 0.0 else 'cooler'} than the room"
    word = "over" if solution.case_pa >= 0.0 else "under"
    pressure = f"pressure {show(abs(solution.case_pa), 'dp_pa')} {word} that of the room"
    yield Line(f"air in the case {show(solution.case_k, 'temp_k')}, {warmer}; {pressure}")


def _losses(solution: Solution) -> Table:
    columns = (Column("part or run"), Column("flow", True), Column("loss", True), Column("share", True))
    losing = sorted(solution.links, key=lambda link: -round(solution.share_frac[link.id], 9))
    rows, rest = [], 0.0
    for link in losing:
        share = solution.share_frac[link.id]
        if share < _LEAST_SHARE:
            rest += share
            continue
        loss = sum(e.dp_pa for e in link.elements if not isinstance(e.law, Pumping))
        rows.append(
            (
                Cell(link.id),
                Cell(show(abs(link.flow_m3_s), "flow_m3_s")),
                Cell(show(abs(loss), "dp_pa", digits=2, unit="kPa")),
                Cell(show(share, "share_frac", digits=1)),
            )
        )
    if rest > 0:
        rows.append((Cell("all others", "quiet"), Cell(""), Cell(""), Cell(show(rest, "share_frac", digits=1))))
    return Table(columns, tuple(rows))


def _trust(solution: Solution, band: Band | None) -> Iterator[Line]:
    yield Line(
        "closed: mass to 1e-9 of the flow, pressure to 0.01 Pa, heat to 1e-6; what is left over is in --json. The sums "
        "close; it says nothing about the cards"
    )
    if band is None:
        yield Line(
            "nominal values: the bands are left out here, so how far off these numbers may be is not told", "warn"
        )
    else:
        yield from report_band(band)
    yield from (Line(f"note: {note}", "quiet") for note in solution.notes)
