"""
Open a number of a solution: its formula, its inputs, where each of them comes from.

Answers   where a number comes from, down to what the files state
Assumes   numbers of air, radiators and sound open in modules of their own; here are water, chips and thresholds
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, Run, State
from headrace.loop.route import stated_route
from headrace.parts.block import Block
from headrace.parts.pump import Pump
from headrace.physics.block import block_resistance_k_w, block_temp_k
from headrace.physics.heat import rise_k
from headrace.physics.pump import PowerLaw
from headrace.solve.assemble import PUMP_HEAT_SHARE
from headrace.solve.explain.air import air_numbers
from headrace.solve.explain.core import coolant_capacity, core_numbers
from headrace.solve.explain.course import course_numbers
from headrace.solve.explain.explained import Book, Explained, Number, Opened, formula_of, inlet, outlet, stated
from headrace.solve.explain.laws import WATER_CARD_KEYS, law_formulas, law_inputs
from headrace.solve.explain.sound import sound_numbers
from headrace.solve.solution import ElementResult, LinkResult, Solution
from headrace.units import Kind


class Explainer(Book):
    """Opens the numbers of one solution down to `depth` levels; what lies deeper is closed."""

    def __init__(self, loop: Loop, state: State, solution: Solution, depth: int = 4) -> None:
        super().__init__(loop, state, solution)
        self.depth = depth
        self.numbers = {
            **_water_numbers(solution),
            **core_numbers(solution),
            **air_numbers(solution),
            **sound_numbers(solution),
            **course_numbers(self),
        }

    def names(self) -> Iterator[str]:
        """Every name that can be opened."""
        for head, number in self.numbers.items():
            yield from (f"{head}.{id_}" if id_ else head for id_ in number.values)
        yield from (f"threshold.{name}" for name in self.loop.thresholds)

    def open(self, name: str) -> Explained:
        """The number called `name`; KeyError when there is none."""
        head, _, key = name.partition(".")
        return self.threshold(key) if head == "threshold" else self.open_at(name, self.depth)


def _water_numbers(solution: Solution) -> dict[str, Number]:
    return {
        "coolant_rise": Number("rise_k", {"": solution.coolant_rise_k}, _coolant_rise),
        "flow": Number("flow_m3_s", solution.flow_m3_s, _flow),
        "dp": Number("dp_pa", solution.dp_pa, _dp),
        "share": Number("share_frac", solution.share_frac, _share),
        "coolant_temp": Number("temp_k", solution.coolant_temp_k, _coolant_temp),
        "part_temp": Number("temp_k", solution.part_temp_k, _part_temp),
        "margin": Number("margin_k", solution.margin_k, _margin),
        "pressure": Number("dp_pa", solution.pressure_pa, _pressure),
    }


# --- flow -----------------------------------------------------------------------------------------------------------


def _flow(book: Book, _id: str, depth: int) -> Opened:
    formula = "sum of dp around every circuit = 0, sum of flows into every node = 0 [todini-pilati-1988]"
    losing = [link for link in book.solution.links if link.dp_pa != 0.0]
    return Opened((formula,), tuple(book.open_at(f"dp.{link.id}", min(depth, 0)) for link in losing))


def _dp(book: Book, id_: str, depth: int) -> Opened:
    link = book.links[id_]
    formula = "dp = sum over the elements of this link; negative where a pump adds pressure"
    return Opened((formula,), tuple(_element(book, link, element, depth) for element in link.elements))


def _element(book: Book, link: LinkResult, element: ElementResult, depth: int) -> Explained:
    law = element.law
    run = next((run for run in book.loop.runs if run.id == link.owner), None)
    place = f'in run "{run.id}": {run.place}' if run is not None else ""
    said = place or book.part_card(link.owner, *WATER_CARD_KEYS.get(type(law), ("loss", "")))
    formulas = law_formulas(law)
    if depth <= 0:
        return Explained(element.label, element.dp_pa, "dp_pa", formulas, said)
    inputs = [
        Explained(f"flow.{link.id}", link.flow_m3_s, "flow_m3_s", closed=True),
        Explained("coolant density", link.density_kg_m3, "density_kg_m3", (formula_of(Coolant.density_kg_m3),)),
        Explained("viscosity", link.viscosity_pa_s, "viscosity_pa_s", (formula_of(Coolant.viscosity_pa_s),)),
    ]
    for given in law_inputs(law):
        known = given.unit == "length_m" and run is not None
        inputs.append(_run_length(book, run) if known and run is not None else given)
    return Explained(element.label, element.dp_pa, "dp_pa", formulas, said, tuple(inputs))


def _run_length(book: Book, run: Run) -> Explained:
    path = stated_route(book.loop).paths[run.id]
    if path.origin == "stated":
        return stated("length", run.length_m, "length_m", run.place, "run length")
    if path.origin == "path":
        return Explained("length", path.length_m, "length_m", (), f"along its path_mm in {run.place}")
    assumed = (book.threshold("assumed_run_length"),)
    return Explained("length", path.length_m, "length_m", (), f"not stated in {run.place}", assumed)


def _share(book: Book, id_: str, depth: int) -> Opened:
    formula = "share = Q dp of this link / sum of Q dp over all links that lose pressure, by definition"
    return Opened((formula,), (book.open_at(f"flow.{id_}", 0), book.open_at(f"dp.{id_}", depth)))


def _pressure(_book: Book, _port: str, _depth: int) -> Opened:
    return Opened(
        ("p = pressure above the water in the reservoir: take off the dp of every link on the way; no height",)
    )


# --- coolant --------------------------------------------------------------------------------------------------------


def _coolant_rise(book: Book, _id: str, depth: int) -> Opened:
    inputs = tuple(book.open_at(f"coolant_temp.{port}", depth) for port in book.solution.widest)
    return Opened(("hottest coolant - coldest coolant anywhere in one loop, by definition",), inputs)


def _coolant_temp(book: Book, port: str, depth: int) -> Opened:
    feeders = [link for link in book.solution.links if outlet(link) == port and link.flow_m3_s != 0.0]
    if len(feeders) != 1:
        formula = "T = mix of the waters that meet here, by mass flow; still water takes its neighbour's T"
        return Opened((formula,), tuple(book.open_at(f"coolant_temp.{inlet(link)}", 0) for link in feeders))
    (link,) = feeders
    before = f"coolant_temp.{inlet(link)}"
    if not link.heat_w and link.does != "cool":
        return Opened(
            ("T = T of the port before it: this stretch gains and loses no heat",), (book.open_at(before, depth),)
        )
    cools = link.does == "cool"
    heat = book.open_at(f"heat.{link.owner}", depth) if cools else _link_heat(book, link)
    formula = f"T_out = T_in {'-' if cools else '+'} dT; {formula_of(rise_k)}"
    return Opened((formula,), (book.open_at(before, 0), heat, coolant_capacity(link)))


def _link_heat(book: Book, link: LinkResult) -> Explained:
    if link.does != "pump":
        figure = book.state.heat_w.get(link.owner)
        return stated(f"heat of {link.owner}", figure, "heat_w", book.state.place)
    formula = "share that ends in the coolant times P; " + formula_of(PowerLaw.power_w)
    card = book.loop.part(link.owner).card
    figure = card.heat_share_frac if isinstance(card, Pump) else None
    points = isinstance(card, Pump) and card.power_points is not None
    said = book.part_card(link.owner, "power_points" if points else "power")
    share = Explained("share", float(figure or PUMP_HEAT_SHARE), "share_frac", (), "" if figure else "usual, assumed")
    return Explained(
        f"heat of pump {link.owner}", link.heat_w, "heat_w", (formula,), said, (share, _pump_speed(book, link.owner))
    )


def _pump_speed(book: Book, pump: str) -> Explained:
    figure = book.state.speed.get(pump)
    if figure is None:
        return Explained("speed", 1.0, "speed_frac", (), f"full speed: none is stated in {book.state.place}")
    return stated("speed", figure, "speed_hz" if figure.kind is Kind.SPEED else "speed_frac", book.state.place)


# --- chips ----------------------------------------------------------------------------------------------------------


def _part_temp(book: Book, part: str, depth: int) -> Opened:
    block = next(block for block in book.solution.blocks if block.part == part)
    link = next(link for link in book.solution.links if link.owner == part and link.does == "heat")
    port = {"inlet": inlet(link), "outlet": outlet(link)}.get(block.node)
    mean = Explained("mean coolant in the block", block.node_temp_k, "temp_k", ("half of inlet and outlet",))
    coolant = book.open_at(f"coolant_temp.{port}", depth) if port else mean
    resistance = _resistance(book, part, link, block.resistance_k_w)
    return Opened((formula_of(block_temp_k),), (coolant, _link_heat(book, link), resistance))


def _resistance(book: Book, part: str, link: LinkResult, value: float) -> Explained:
    card = book.loop.part(part).card
    inputs = [Explained(f"flow.{link.id}", link.flow_m3_s, "flow_m3_s", closed=True)]
    if isinstance(card, Block) and card.resistance is not None:
        fit = card.resistance.fit()
        inputs += [Explained("R0", fit.base_k_w, "base_k_w"), Explained("c", fit.falling_k_w, "falling_k_w")]
        inputs += [Explained("n", fit.exponent), *(Explained("note", note) for note in fit.notes)]
    formula, said = formula_of(block_resistance_k_w), book.part_card(part, "resistance")
    return Explained("resistance", value, "resistance_k_w", (formula,), said, tuple(inputs))


def _margin(book: Book, part: str, depth: int) -> Opened:
    placed = book.loop.part(part)
    limit = stated(f"limit of {part}", placed.limit_k, "temp_k", placed.place)
    return Opened(("margin = limit - temperature, by definition",), (limit, book.open_at(f"part_temp.{part}", depth)))
