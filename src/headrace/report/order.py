"""Orders of a loop's parts, and like blocks in series or in parallel: as a report tree and as plain values for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from headrace.plan.beside import Beside, Way
from headrace.plan.order import Ordered, Orders, Ranking
from headrace.report.cases import signed
from headrace.report.plain import fault_json
from headrace.report.solution import report_limits
from headrace.report.tree import Cell, Column, Line, Section, Table
from headrace.solve.solution import Solution
from headrace.units import show, show_difference

SHOWN = 12  # orders a report shows unless all are asked for
_MOST_CHIPS = 5  # columns of chips; the others are in JSON
_ARROW = " → "


def report_orders(orders: Orders, *, every: bool = False) -> Section:
    """What an order is worth here, the orders from the best on, and like blocks the other way."""
    loop, nominal = orders.loop, orders.nominal
    room = show(nominal.room_k, "room_k")
    title = f"{loop.name or loop.file}: order of the parts, state {orders.state.name}, room {room}"
    body: list[Section | Table | Line] = list(report_limits(loop, nominal))
    for ranking in orders.rankings:
        body += [
            Line(f"now: {_named(ranking, ranking.present)}"),
            Line(find_advice(orders, ranking)),
            Section(_heading(ranking), tuple(_ranked(ranking, every=every))),
        ]
    body += [] if orders.rankings else [Line(orders.notes[0])]
    body += [_beside(beside) for beside in orders.beside]
    notes = [Line("nominal values, without bands"), *(Line(f"note: {note}", "quiet") for note in orders.notes)]
    return Section(title, (*body, Section("How far to trust this", tuple(notes))))


def find_advice(orders: Orders, ranking: Ranking) -> str:
    """Whether the order is worth a word here, in one sentence or two."""
    part, move = ranking.furthest
    best, present = ranking.orders[0], ranking.present
    least = show_difference(orders.least_k)
    if abs(move) <= orders.least_k:
        return f"No order moves a part by more than {least}: let the tubes decide."
    said = f"The order matters here: it moves {part} by up to {show_difference(abs(move))}."
    chip = min(present.margin_k or present.part_temp_k, key=lambda id_: _tight(present, id_), default="")
    gain = max(best.moves_k, key=lambda id_: -best.moves_k[id_], default="")
    if best.present or not chip:
        return f"{said} No other order leaves the tightest chip cooler than this one."
    if -best.moves_k[chip] > orders.least_k:
        return f"{said} The best one cools the tightest chip, {chip}, by {show_difference(-best.moves_k[chip])}."
    if -best.moves_k[gain] > orders.least_k:
        return f"{said} The best one cools {gain} by {show_difference(-best.moves_k[gain])}."
    return f"{said} The present one is within {least} of the best."


def _tight(order: Ordered, part: str) -> float:
    return order.margin_k.get(part, -order.part_temp_k[part])


def _heading(ranking: Ranking) -> str:
    count = len(ranking.orders)
    return f"{count} orders, the best first" if count > 1 else "The only order"


def _named(ranking: Ranking, order: Ordered) -> str:
    return _ARROW.join(group.label for group in (ranking.ring.anchor, *order.groups))


def _ranked(ranking: Ranking, *, every: bool) -> Iterator[Table | Line]:
    present = ranking.present
    chips = sorted(present.moves_k, key=lambda id_: _tight(present, id_) if id_ in present.part_temp_k else 0.0)
    chips = chips[:_MOST_CHIPS]
    heads = ("", "after " + ranking.ring.anchor.label, "least margin", *chips, "hottest coolant", "flow")
    columns = tuple(Column(head, number=place != 1) for place, head in enumerate(heads))
    shown = list(enumerate(ranking.orders, 1))
    if not every:
        shown = [pair for pair in shown if pair[0] <= SHOWN or pair[1].present]
    yield Table(columns, tuple(_row(place, order, present, chips) for place, order in shown))
    if len(shown) < len(ranking.orders):
        yield Line(f"{len(ranking.orders) - len(shown)} more with --all", "quiet")
    said = "chips: how far each is from where it is now"
    unknown = [id_ for id_ in chips if id_ not in present.part_temp_k]
    yield Line(f"{said}; of {', '.join(unknown)} the coolant, as the chip is not known" if unknown else said, "quiet")


def _row(place: int, order: Ordered, present: Ordered, chips: list[str]) -> tuple[Cell, ...]:
    name = _ARROW.join(group.label for group in order.groups)
    least = min(order.margin_k.values(), default=None)
    return (
        Cell(str(place)),
        Cell(f"{name} (now)" if order.present else name, "good" if order.present else ""),
        Cell(show_difference(least) if least is not None else "unknown"),
        *(Cell(signed(order.moves_k[chip])) for chip in chips),
        Cell(f"{show(order.hottest_k, 'temp_k')} ({signed(order.hottest_k - present.hottest_k)})"),
        Cell(show(order.flow_m3_s, "flow_m3_s")),
    )


def _beside(beside: Beside) -> Section:
    heads = ("pump flow", "pressure", "block", "its flow", "chip", "change")
    columns = (Column("way"), *(Column(head, number=head != "block") for head in heads))
    rows = [row for way in (beside.present, beside.other) for row in _way_rows(way, beside)]
    lines = [
        Line(f"{way.form}: no answer, {fault}", "bad") for way in (beside.present, beside.other) for fault in way.faults
    ]
    return Section(f"Series or parallel: {', '.join(beside.blocks)}", (Table(columns, tuple(rows)), *lines))


def _way_rows(way: Way, beside: Beside) -> Iterator[tuple[Cell, ...]]:
    nominal, solution = beside.present.solution, way.solution
    if solution is None or nominal is None:
        return
    name = f"{way.form} (now)" if solution is nominal else way.form
    pressure = show(sum(solution.pump_dp_pa.values()), "dp_pa")
    for number, block in enumerate(beside.blocks):
        temp = solution.part_temp_k.get(block)
        yield (
            Cell("" if number else name),
            Cell("" if number else show(solution.pump_flow_m3_s, "flow_m3_s")),
            Cell("" if number else pressure),
            Cell(block),
            Cell(show(abs(solution.flow_m3_s[block]), "flow_m3_s")),
            Cell(show(temp, "temp_k")),
            Cell("" if solution is nominal or temp is None else signed(temp - nominal.part_temp_k[block])),
        )


def orders_json(orders: Orders) -> dict[str, Any]:
    """All orders in SI, the best first within each loop."""
    nominal = orders.nominal
    presents = [_parts(ranking, ranking.present) for ranking in orders.rankings]
    return {
        "state": orders.state.name,
        "nominal": {
            "order": presents[0] if presents else [],
            "part_temp_k": nominal.part_temp_k,
            "margin_k": nominal.margin_k,
            "coolant_temp_k": nominal.coolant_temp_k,
            "hottest_k": nominal.hottest[1],
            "flow_m3_s": nominal.pump_flow_m3_s,
        },
        "orders": [_order_json(ranking, order) for ranking in orders.rankings for order in ranking.orders],
        "parallel": [_beside_json(beside) for beside in orders.beside],
        "advice": [find_advice(orders, ranking) for ranking in orders.rankings],
        "notes": list(orders.notes),
    }


def _order_json(ranking: Ranking, order: Ordered) -> dict[str, Any]:
    return {
        "loop": ranking.ring.anchor.label,
        "order": _parts(ranking, order),
        "groups": [list(group.parts) for group in (ranking.ring.anchor, *order.groups)],
        "present": order.present,
        "part_temp_k": order.part_temp_k,
        "moves_k": order.moves_k,
        "margin_k": order.margin_k,
        "coolant_in_temp_k": order.inlet_k,
        "hottest_k": order.hottest_k,
        "flow_m3_s": order.flow_m3_s,
    }


def _parts(ranking: Ranking, order: Ordered) -> list[str]:
    return [part for group in (ranking.ring.anchor, *order.groups) for part in group.parts]


def _beside_json(beside: Beside) -> dict[str, Any]:
    ways: dict[str, Any] = {way.form: _way_json(way, beside.blocks) for way in (beside.present, beside.other)}
    return {"blocks": list(beside.blocks), "present": beside.present.form, **ways}


def _way_json(way: Way, blocks: tuple[str, ...]) -> dict[str, Any]:
    solution: Solution | None = way.solution
    if solution is None:
        return {"faults": [fault_json(fault) for fault in way.faults]}
    return {
        "flow_m3_s": solution.pump_flow_m3_s,
        "dp_pa": sum(solution.pump_dp_pa.values()),
        "block_flow_m3_s": {block: abs(solution.flow_m3_s[block]) for block in blocks},
        "part_temp_k": solution.part_temp_k,
        "hottest_k": solution.hottest[1],
    }
