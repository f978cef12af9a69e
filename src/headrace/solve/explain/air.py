"""
Open the numbers of the air: airflow of every stack and vent, air into and out of every radiator.

Answers   where an airflow and a temperature of air come from, down to cards, curves and shares
Assumes   air has the density of where it comes in, as the solver takes it
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.loop.model import Stack
from headrace.physics.fan import free_flow_m3_s
from headrace.physics.heat import rise_k
from headrace.solve.airpaths import AirPath
from headrace.solve.explain.case import case_numbers
from headrace.solve.explain.explained import Book, Explained, Number, Opened, formula_of, from_card, stated
from headrace.solve.explain.laws import law_formulas, law_inputs
from headrace.solve.explain.ways import (
    Breath,
    air_capacity,
    air_density,
    fan_speed,
    find_breath,
    find_shares,
    inlet_k,
    path_of,
    stack_of,
    turned_zone,
)
from headrace.solve.laws import Lift
from headrace.solve.solution import AirResult, Solution

_GIVEN = "V = stated airflow times the share of its fan places that have air; none from fans at rest, by definition"
_GIVEN_EACH = "V = V1 N, V1 of one fan place, N places with air; none from fans at rest, by definition"
_GIVEN_AT = "V = V1 N n / n1, V1 of one fan place at n1, N places with air; fan laws [bleier-1998]"
_FOUND = "dp of fans, cores and screens together = p where its air comes from - p where it goes [todini-pilati-1988]"
_MIXED = (
    "T_air,in = sum of share times T of all the air it breathes + (1 - r) times each stated rise, r its own exhaust; "
    "energy balance"
)


def air_numbers(solution: Solution) -> dict[str, Number]:
    """The numbers of the air: those that are known."""
    flow = {air.id: air.air_flow_m3_s for air in solution.air if air.air_flow_m3_s is not None}
    out = {r.part: r.air_out_temp_k for r in solution.radiators if r.air_out_temp_k is not None}
    return {
        "air_flow": Number("air_flow_m3_s", flow, _air_flow),
        "air_in_temp": Number("temp_k", {r.part: r.air_in_temp_k for r in solution.radiators}, _air_in),
        "air_out_temp": Number("temp_k", out, _air_out),
        **case_numbers(solution),
    }


# --- airflow --------------------------------------------------------------------------------------------------------


def _air_flow(book: Book, id_: str, depth: int) -> Opened:
    path = path_of(book, id_)
    result = next(air for air in book.solution.air if air.id == id_)
    return _stated_flow(book, path) if result.origin == "stated" else _found_flow(book, path, result, depth)


def _stated_flow(book: Book, path: AirPath) -> Opened:
    owner = path.owner
    each = owner.air_per_fan_m3_s if isinstance(owner, Stack) else None
    live = Explained("share of its fan places with air", path.live_frac, "live_frac", (), _live_said(book, path))
    if owner.air_m3_s is not None or each is None:
        figure = stated("stated airflow", owner.air_m3_s, "air_flow_m3_s", path.place, "air flow")
        return Opened((_GIVEN,), (figure, live, fan_speed(book, path.id)))
    assert isinstance(owner, Stack)
    one = stated("airflow of one fan place", each, "air_flow_m3_s", path.place, "air flow")
    places = Explained("fan places with air", path.live_fans(), "", (), _live_said(book, path))
    if owner.air_at_hz is None:
        return Opened((_GIVEN_EACH,), (one, places))
    at = stated("speed it was stated at", owner.air_at_hz, "speed_hz", path.place)
    return Opened((_GIVEN_AT,), (one, places, at, fan_speed(book, path.id)))


def _live_said(book: Book, path: AirPath) -> str:
    out = book.state.fans_out.get(path.id, 0)
    if not path.abreast:
        return "" if out == 0 else f"{out} stand still: {book.state.place}"
    standing = f"{out} of {path.abreast} fans stand still: {book.state.place}" if out else f"{path.abreast} fans turn"
    return f"{standing}, in {path.place}"


def _found_flow(book: Book, path: AirPath, result: AirResult, depth: int) -> Opened:
    flow, temp_k = float(result.air_flow_m3_s or 0.0), inlet_k(book, path)
    density = air_density(book, temp_k)
    viscosity = float(book.prepared.air.viscosity_pa_s(temp_k))
    inputs = [fan_speed(book, path.id), density]
    for (label, law), said in zip(path.laws(), _cards(path), strict=True):
        dp = float(law.dp_pa(flow, float(density.value), viscosity))
        numbers = tuple(law_inputs(law)) if depth > 0 else ()
        inputs.append(Explained(label, dp, "dp_pa", law_formulas(law), said, numbers))
    network = book.prepared.air_model.network
    if network is not None and network.shared is not None and isinstance(path.owner, Stack):
        index = book.prepared.air_model.paths.index(path)
        share = float(find_shares(book).beyond_source(book.prepared.air_model.paths, index)[0])
        lift = Lift(share * float(book.solution.case_pa or 0.0))
        dp = float(lift.dp_pa(0.0, 0.0, 0.0))
        inputs.append(Explained("pressure of the case, by the share of its air", dp, "dp_pa", law_formulas(lift)))
    if path.source != path.sink:
        inputs.append(book.open_at("case_pressure", 0))
    free = path.live_fans() * path.free_m3_s()
    inputs.append(Explained("free airflow of its fans", free, "air_flow_m3_s", (formula_of(free_flow_m3_s),)))
    if result.stalled:
        inputs.append(book.threshold("stall_share"))
    return Opened((_FOUND,), tuple(inputs), _fan_words(result))


def _fan_words(result: AirResult) -> str:
    if result.backwards:
        return "goes backwards: its fans are too weak for what works against them"
    return "its fans stall: they move less than their least share of the free airflow" if result.stalled else ""


def _cards(path: AirPath) -> Iterator[str]:
    """Which card each law of a way comes from, in the order of `AirPath.laws`."""
    assert path.fan is not None
    yield from_card(path.fan, "curve", path.place)
    for core in path.cores:
        stated = core.geometry is None
        yield from_card(core, "air_loss" if stated else "geometry", path.place, "" if stated else "air loss")
    for screen in path.owner.screens:
        yield from_card(screen, "face_loss", path.place)


# --- temperatures ---------------------------------------------------------------------------------------------------


def _air_out(book: Book, part: str, depth: int) -> Opened:
    stack = stack_of(book.loop, part)
    inputs = (
        book.open_at(f"air_in_temp.{part}", depth),
        book.open_at(f"heat.{part}", min(depth, 1)),
        air_capacity(book, stack.id),
    )
    return Opened((f"T_air,out = T_air,in + dT; {formula_of(rise_k)}",), inputs)


def _air_in(book: Book, part: str, depth: int) -> Opened:
    stack = stack_of(book.loop, part)
    breaths = find_breath(book.loop, book.solution, part)
    before = breaths[0].source
    if before in stack.radiators and breaths[0].share_frac == 1.0 and before != part:
        return _behind(book, stack, before, depth)
    inputs = [piece for breath in breaths for piece in _breath(book, stack, breath, depth)]
    turned = turned_zone(book.loop, book.solution, part)
    if turned is not None:
        return Opened((_MIXED,), tuple(inputs), f"its air goes backwards and comes from the {turned}")
    rises = [stated("stated rise", inlet.plus_k, "rise_k", stack.place) for inlet in stack.inlets if inlet.plus_k]
    if rises and stack.recirculated_frac and not any(breath.source in stack.radiators for breath in breaths):
        rises.append(stated("r, whose air stands still", stack.recirculated_frac, "share_frac", stack.place))
    plain = [breath.source for breath in breaths] == ["room"]
    formula = f"T_air,in = room{' + stated rise' if rises else ''}" if plain and len(rises) < 2 else _MIXED
    return Opened((formula,), (*inputs, *rises), _still(book, stack))


def _behind(book: Book, stack: Stack, before: str, depth: int) -> Opened:
    """A radiator behind another one breathes what that one gives off."""
    formula = f"T_air,in = T_air,out of {before}, which stands before it in stack {stack.id}: {stack.place}"
    if before in book.numbers["air_out_temp"].values:
        return Opened((formula,), (book.open_at(f"air_out_temp.{before}", depth),))
    return Opened((formula,), (book.room(),), f"the air of stack {stack.id} stands still")


def _breath(book: Book, stack: Stack, breath: Breath, depth: int) -> Iterator[Explained]:
    """A share of the air, unless it is all of it, and the temperature of that air."""
    source, share = breath
    if source in ("room", "case"):
        name, number = f"share of {source} air", book.room() if source == "room" else None
    elif source in stack.radiators:
        name, number = "share of its own exhaust", book.open_at(f"air_out_temp.{source}", 0)
    else:
        name, number = f"share of the exhaust of {stack_of(book.loop, source).id}", None
    if share < 1.0:
        yield Explained(name, share, "share_frac", (), _share_said(book, stack, source))
    yield number or book.open_at("case_temp" if source == "case" else f"air_out_temp.{source}", depth)


def _share_said(book: Book, stack: Stack, source: str) -> str:
    if source in stack.radiators:
        return stated("", stack.recirculated_frac, "", stack.place).said
    from_ = source if source in ("room", "case") else stack_of(book.loop, source).id
    inlet = next((inlet for inlet in stack.inlets if inlet.from_ == from_), None)
    of_rest = ", of what is not its own exhaust" if stack.recirculated_frac else ""
    if inlet is None or source == "room":
        return "what the stated shares leave"
    if "share_frac" not in inlet.model_fields_set:
        return f"all of its air, as {stack.place} states no share{of_rest}"
    return stated("", inlet.share_frac, "", stack.place, "air share").said + of_rest


def _still(book: Book, stack: Stack) -> str:
    """The stacks it should breathe from whose air stands still."""
    moves = book.numbers["air_out_temp"].values
    last = {other.id: other.radiators[-1] for other in book.loop.stacks}
    still = [inlet.from_ for inlet in stack.inlets if inlet.from_ in last and last[inlet.from_] not in moves]
    return f"the air of {', '.join(still)} stands still: room air takes its place" if still else ""
