"""The report of a solved state: flow, coolant, chips, radiators, where the pressure goes, how well it closed."""

from __future__ import annotations

from headrace.loop.model import Loop
from headrace.report.tree import Cell, Column, Line, Section, Table, Tone
from headrace.solve.laws import Pumping
from headrace.solve.solution import BlockResult, Solution
from headrace.units import show, show_difference

_TIGHT_K = 10.0  # a margin below this is tight: physics of limits, common practice, no source
_SAME_FLOW = 0.98  # above this share of the pump's flow it is the same water
_LEAST_SHARE = 0.005  # a link with less of the loss goes into the last row


def report_solution(loop: Loop, solution: Solution) -> Section:
    """Everything a person asks first, in display units."""
    return Section(
        f"{loop.name or loop.file}: state {solution.state}, room {show(solution.room_k, 'room_k')}",
        (
            *_headline(loop, solution),
            Section("Chips", (_blocks(solution),) if solution.blocks else (Line("no block gives heat here", "quiet"),)),
            Section("Radiators", (_radiators(solution),)),
            Section("Where the pressure goes", (_losses(solution),)),
            Section("How far to trust this", _trust(solution)),
        ),
    )


def limits_exceeded(loop: Loop, solution: Solution) -> bool:
    """True when a chip or the coolant passes its limit in this state."""
    limit = loop.limits.coolant_k
    hot = limit is not None and solution.hottest[1] > float(limit)
    return hot or flow_short(loop, solution) or any(margin < 0 for margin in solution.margin_k.values())


def flow_short(loop: Loop, solution: Solution) -> bool:
    """True when the weakest block, or the pump where there is none, gets less than the agreed flow."""
    limit = loop.limits.flow_m3_s
    least = solution.block_flow_m3_s
    return limit is not None and (least[1] if least else solution.pump_flow_m3_s) < float(limit)


def _headline(loop: Loop, solution: Solution) -> tuple[Line, ...]:
    hot, cold = solution.widest
    temps = solution.coolant_temp_k
    hottest_k = solution.hottest[1]
    pumps = ", ".join(f"{pump} {show(dp, 'dp_pa')}" for pump, dp in solution.pump_dp_pa.items())
    lines = [
        Line(f"flow {_flow_text(solution)}"),
        Line(f"pressure of the pumps: {pumps or 'no pump'}"),
        Line(
            f"coolant from {show(temps[cold], 'temp_k')} at {cold} to {show(temps[hot], 'temp_k')} at {hot}: "
            f"it differs by {show_difference(solution.coolant_rise_k)} around this loop"
        ),
    ]
    limit = loop.limits.coolant_k
    if limit is not None:
        margin = float(limit) - hottest_k
        word = "below" if margin >= 0 else "ABOVE"
        text = f"hottest coolant {show_difference(abs(margin))} {word} the agreed limit of {show(limit, 'temp_k')}"
        lines.append(Line(text, "good" if margin >= 0 else "bad"))
    if loop.limits.flow_m3_s is not None:
        short = flow_short(loop, solution)
        text = f"flow {'BELOW' if short else 'above'} the agreed {show(loop.limits.flow_m3_s, 'flow_m3_s')}"
        lines.append(Line(text, "bad" if short else "good"))
    return tuple(lines)


def _flow_text(solution: Solution) -> str:
    """The strongest pump's flow, and the weakest block's where the water divides."""
    text = show(solution.pump_flow_m3_s, "flow_m3_s")
    least = solution.block_flow_m3_s
    if least is None or least[1] > solution.pump_flow_m3_s * _SAME_FLOW:
        return text
    return f"{text} through the strongest pump, {show(least[1], 'flow_m3_s')} through block {least[0]}"


def _blocks(solution: Solution) -> Table:
    heads = ("heat", "coolant", "of", "K/W", "chip", "limit", "margin")
    columns = (Column("part"), *(Column(head, number=head != "of") for head in heads))
    return Table(columns, tuple(_block_row(block) for block in solution.blocks))


def _block_row(block: BlockResult) -> tuple[Cell, ...]:
    margin = block.margin_k
    tone: Tone = "" if margin is None else "bad" if margin < 0 else "warn" if margin < _TIGHT_K else "good"
    return (
        Cell(block.part),
        Cell(show(block.heat_w, "heat_w")),
        Cell(show(block.node_temp_k, "temp_k")),
        Cell(block.node, "quiet"),
        Cell(show(block.resistance_k_w, "resistance_k_w").removesuffix(" K/W")),
        Cell(show(block.temp_k, "temp_k"), tone),
        Cell("none" if block.limit_k is None else show(block.limit_k, "temp_k")),
        Cell("unknown" if margin is None else show_difference(margin), tone),
    )


def _radiators(solution: Solution) -> Table:
    heads = ("airflow", "fans", "air in", "air out", "coolant", "strength", "heat")
    columns = (Column("radiator"), *(Column(head, number=True) for head in heads))
    rows = tuple(
        (
            Cell(r.part),
            Cell(show(r.air_flow_m3_s, "air_flow_m3_s")),
            Cell(show(r.speed_hz, "speed_hz") if r.speed_hz is not None else "given air"),
            Cell(show(r.air_in_temp_k, "temp_k")),
            Cell(show(r.air_out_temp_k, "temp_k")),
            Cell(show(r.coolant_in_k, "temp_k")),
            Cell(show(r.strength_w_k, "strength_w_k")),
            Cell(show(r.heat_w, "heat_w")),
        )
        for r in solution.radiators
    )
    return Table(columns, rows)


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


def _trust(solution: Solution) -> tuple[Line, ...]:
    closed = Line("closed: mass to 1e-9 of the flow, pressure to 0.01 Pa, heat to 1e-6; what is left over is in --json")
    nominal = Line("nominal values: the ± of the cards is kept but not yet carried through to these numbers")
    return (closed, nominal, *(Line(f"note: {note}", "quiet") for note in solution.notes))
