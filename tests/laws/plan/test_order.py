"""Every order of the parts of a loop, and like blocks in series or in parallel: what must hold whatever the numbers."""

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import factorial
from pathlib import Path

import pytest
from checkers.small_build import BUILD, cards, small
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.loop.loader import load_build, parse_build
from headrace.loop.route import stated_route
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml
from headrace.plan import order as module
from headrace.plan.arrange import count_orders, distinct_orders, near_orders
from headrace.plan.order import compare_orders
from headrace.plan.ring import find_rings, reordered
from headrace.report.order import find_advice, orders_json
from headrace.solve.steady import solve

EXAMPLES = Path(__file__).parents[3] / "examples"
FLOW_REL = 0.01  # what an order moves the flow by, as warm water is thinner: up to 0.7 % with a pump at 40 % or more
MOVE_REL, MOVE_K = 0.01, 0.03  # the same for how far a block moves: up to 0.5 % and 0.02 K
OLD = '[[order]]\nthrough = ["vessel", "pump", "cpu", "rad"]\n'
HEAT = 'heat = { cpu = "280 W" }'


def parts(**named):
    return "".join(f'[[part]]\nid = "{id_.replace("_", "-")}"\ncard = "{card}"\n' for id_, card in named.items())


def ring(through, heat, more="", speed="60 %"):
    """The small build with its parts in a ring of equal runs; every block and radiator it names is added."""
    names = [id_ for id_ in through if id_ not in ("vessel", "pump", "cpu", "rad")]
    added = parts(
        **{id_: "radiator" if id_.startswith("rad") else "block" for id_ in names if id_[:3] in ("rad", "gpu")}
    )
    stacks = "".join(
        f'[[stack]]\nid = "air-{id_}"\nradiator = "{id_}"\nair = "90 m3/h"\n' for id_ in names if id_.startswith("rad")
    )
    listed = ", ".join(f'"{id_}"' for id_ in through)
    heats = ", ".join(f'{id_} = "{watt:.3f} W"' for id_, watt in heat.items())
    order = f"[[order]]\nthrough = [{listed}]\n"
    return small((OLD, order), (HEAT, f"heat = {{ {heats} }}"), ("60 %", speed), more=added + stacks + more)


def compared(loop, state=None, **words):
    return compare_orders(loop, stated_route(loop), state or loop.state(), **words)


def names(order):
    return tuple(group.label for group in order.groups)


@cache
def example(name):
    return compared(load_build(EXAMPLES / name))


HEATS = st.fixed_dictionaries({"cpu": st.floats(20, 250), "gpu1": st.floats(260, 500)})
SPEEDS = st.floats(40, 100).map("{:.1f} %".format)
RINGS = st.sampled_from(
    (
        ("vessel", "pump", "cpu", "gpu1", "rad"),
        ("vessel", "pump", "cpu", "rad", "gpu1"),
        ("vessel", "pump", "rad", "gpu1", "cpu"),
    )
)
few = settings(max_examples=12)


# --- the orders -------------------------------------------------------------------------------------------------------


@few
@given(RINGS, HEATS, SPEEDS)
def test_the_present_order_is_among_them_and_moves_nothing(through, heat, speed):
    (ranking,) = compared(ring(through, heat, speed=speed)).rankings
    present = [order for order in ranking.orders if order.present]
    assert len(present) == 1
    assert names(present[0]) == tuple(id_ for id_ in through if id_ not in ("vessel", "pump"))
    assert set(present[0].moves_k.values()) == {0.0}


@few
@given(RINGS, HEATS, SPEEDS)
def test_flow_and_heat_are_those_of_every_order_but_for_thinner_water(through, heat, speed):
    loop = ring(through, heat, speed=speed)
    (ranking,) = compared(loop).rankings
    route, state = stated_route(loop), loop.state()
    flow = ranking.present.flow_m3_s
    for order in ranking.orders[::2]:
        assert order.flow_m3_s == pytest.approx(flow, rel=FLOW_REL)
        solved = solve(reordered(loop, ranking.ring, order.groups), route, state)
        given_w = sum(link.heat_w for link in solved.links)
        assert sum(solved.heat_w.values()) == pytest.approx(given_w, rel=1e-6)
        rises = [link.temp_out_k - link.temp_in_k for link in solved.links]
        assert sum(rises) == pytest.approx(0.0, abs=1e-6), "all that is added is taken off again around the ring"
        put_in = sum(link.temp_out_k - link.temp_in_k for link in solved.links if link.does in ("heat", "pump"))
        per_kelvin = next(link.mass_flow_kg_s * link.heat_capacity_j_kg_k for link in solved.links if link.does)
        assert put_in == pytest.approx(given_w / per_kelvin, rel=1e-3)


@few
@given(HEATS, SPEEDS)
def test_a_swap_moves_each_block_by_the_heat_it_leaves_or_gets_before_it(heat, speed):
    """dT = P / (m cp), the energy balance: the block that goes first loses the other's heat, the other gets its own."""
    through = ("vessel", "pump", "cpu", "gpu1", "rad")
    loop = ring(through, heat, speed=speed)
    orders = compared(loop)
    swapped = next(order for order in orders.rankings[0].orders if names(order) == ("gpu1", "cpu", "rad"))
    link = next(link for link in orders.nominal.links if link.id == "cpu")
    per_w = 1.0 / (link.mass_flow_kg_s * link.heat_capacity_j_kg_k)
    assert swapped.moves_k["cpu"] == pytest.approx(heat["gpu1"] * per_w, rel=MOVE_REL, abs=MOVE_K)
    assert swapped.moves_k["gpu1"] == pytest.approx(-heat["cpu"] * per_w, rel=MOVE_REL, abs=MOVE_K)


@few
@given(RINGS, HEATS)
def test_orders_are_listed_once_the_best_first_and_solved_as_they_stand(through, heat):
    loop = ring(through, heat)
    (ranking,) = compared(loop).rankings
    movable = len(through) - 2
    assert len(ranking.orders) == ranking.admissible == factorial(movable)
    assert len({names(order) for order in ranking.orders}) == len(ranking.orders)
    tightest = [min(order.margin_k.values()) for order in ranking.orders]
    assert all(one >= two - 1e-6 for one, two in pairwise(tightest))
    best = ranking.orders[0]
    alone = solve(reordered(loop, ranking.ring, best.groups), stated_route(loop), loop.state())
    for part, temp in best.part_temp_k.items():
        assert alone.part_temp_k[part] == pytest.approx(temp, abs=1e-5), "begun elsewhere, it ends in the same place"


def test_an_order_and_its_mirror_are_two():
    (ranking,) = compared(ring(("vessel", "pump", "cpu", "gpu1", "rad"), {"cpu": 300, "gpu1": 100})).rankings
    found = {names(order): order.part_temp_k for order in ranking.orders}
    assert found["cpu", "gpu1", "rad"] != pytest.approx(found["rad", "gpu1", "cpu"], abs=0.1)


@few
@given(st.integers(1, 4), st.integers(0, 2))
def test_equal_blocks_give_equal_orders_once(equal, others):
    through = ["vessel", "pump", *(f"gpu{i}" for i in range(equal)), *("cpu", "rad2")[:others], "rad"]
    heat = {f"gpu{i}": 150.0 for i in range(equal)} | ({"cpu": 90.0} if others else {})
    (ranking,) = compared(ring(through, heat)).rankings
    assert ranking.admissible == factorial(equal + others + 1) // factorial(equal)
    rows = [tuple("gpu" if name.startswith("gpu") else name for name in names(order)) for order in ranking.orders]
    assert set(Counter(rows).values()) == {1}
    for order in ranking.orders:
        like = [name for name in names(order) if name.startswith("gpu")]
        assert like == sorted(like), "like blocks keep their order among themselves"


def test_like_blocks_are_told_apart_by_heat_and_by_limit():
    through = ("vessel", "pump", "gpu1", "gpu2", "rad")
    assert len(compared(ring(through, {"gpu1": 100, "gpu2": 100})).rankings[0].orders) == 3
    assert len(compared(ring(through, {"gpu1": 100, "gpu2": 101})).rankings[0].orders) == 6
    loop = ring(through, {"gpu1": 100, "gpu2": 100})
    one = loop.parts[-1]
    limited = replace(loop, parts=(*loop.parts[:-1], replace(one, limit_k=loop.part("cpu").limit_k)))
    assert one.id.startswith("gpu")
    assert len(compared(limited).rankings[0].orders) == 6


def test_like_radiators_are_told_apart_by_their_air():
    through = ("vessel", "pump", "cpu", "rad1", "gpu1", "rad2")
    loop = ring(through, {"cpu": 300, "gpu1": 100})
    assert len(compared(loop).rankings[0].orders) == 12
    warm = replace(loop, stacks=(*loop.stacks[:-1], replace(loop.stacks[-1], air_m3_s=loop.stacks[0].air_m3_s)))
    assert len(compared(warm).rankings[0].orders) == 24


# --- what stays together ----------------------------------------------------------------------------------------------


@few
@given(RINGS, HEATS)
def test_the_reservoir_feeds_the_pump_in_every_order(through, heat):
    loop = ring(through, heat)
    (ranking,) = compared(loop).rankings
    for order in ranking.orders:
        runs = reordered(loop, ranking.ring, order.groups).runs
        assert any((run.from_port, run.to_port) == ("vessel.out", "pump.in") for run in runs)
        assert [run.id for run in runs] == [run.id for run in loop.runs]
        ends = Counter(end for run in runs for end in (run.from_port, run.to_port))
        assert ends == Counter(end for run in loop.runs for end in (run.from_port, run.to_port)), (
            "each port is used once"
        )


OWN_CARDS = """format = 1
[[card]]
id = "sensor"
kind = "flow-sensor"
port = [{ name = "in" }, { name = "out" }]
loss = { k = 1.0, bore = "10 mm" }
[[card]]
id = "l-block"
kind = "block"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/min", loss = "kPa", points = [[1, 0.826960], [2, 2.602275], [4, 8.997969], [6, 19.187082]] }
resistance = { node = "inlet", value = "0.1 K/W" }
[[card]]
id = "l-rest"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/min", loss = "kPa", points = [[1, 1.75], [2, 5.0], [4, 16.0], [6, 33.0]] }
strength = { air = "m3/h", strength = "W/K", points = [[100, 3000]] }
[[card]]
id = "l-pump"
kind = "pump"
port = [{ name = "in" }, { name = "out" }]
curve = { flow = "L/min", head = "kPa", points = [[0, 38], [4, 37], [8, 33.5], [12, 28], [16, 20], [20, 9.5], [22.5, 0]] }
"""
OWN = {**cards(), **read_cards([parse_toml(OWN_CARDS, "own.toml")])}


def joined(*lines, blocks=("cpu", "gpu1"), heat=(200, 100), more=""):
    """A loop of joints ("a.x-b.y") and runs ("a.x>b.y") written out."""
    text = BUILD.replace(OLD, "").replace(HEAT, "heat = { " + ", ".join(
        f'{id_} = "{watt} W"' for id_, watt in zip(blocks, heat, strict=True)) + " }")  # fmt: skip
    text += parts(**{id_: "block" for id_ in blocks if id_ != "cpu"}) + more
    for line in lines:
        kind, mark = ("run", ">") if ">" in line else ("joint", "-")
        one, other = line.split(mark)
        text += f'[[{kind}]]\nfrom = "{one}"\nto = "{other}"\n'
    return parse_build(text, "build.toml", OWN)


def test_joined_parts_move_as_one():
    loop = joined("vessel.out>pump.in", "pump.out>cpu.in", "cpu.out-gpu1.in", "gpu1.out>rad.in", "rad.out>vessel.in")
    (ranking,) = compared(loop).rankings
    assert {names(order) for order in ranking.orders} == {("cpu + gpu1", "rad"), ("rad", "cpu + gpu1")}


def test_parallel_branches_move_as_one():
    more = parts(split="tee", join="tee", gpu2="block")
    lines = ("vessel.out>pump.in", "pump.out>split.one", "split.two>cpu.in", "split.three>gpu1.in", "cpu.out>join.two",
             "gpu1.out>join.three", "join.one>gpu2.in", "gpu2.out>rad.in", "rad.out>vessel.in")  # fmt: skip
    (ranking,) = compared(joined(*lines, more=more)).rankings
    assert {group.parts for group in ranking.ring.groups} == {("split", "cpu", "gpu1", "join"), ("gpu2",), ("rad",)}
    assert len(ranking.orders) == 6


def test_parts_without_heat_stay_with_the_radiator_beside_them_else_with_the_part_before():
    more = parts(one="sensor", two="sensor", three="sensor")
    lines = ("vessel.out>one.in", "one.out>pump.in", "pump.out>cpu.in", "cpu.out>two.in", "two.out>gpu1.in",
             "gpu1.out>three.in", "three.out>rad.in", "rad.out>vessel.in")  # fmt: skip
    (ranking,) = compared(joined(*lines, more=more)).rankings
    assert ranking.ring.anchor.parts == ("vessel", "one", "pump")
    assert [group.parts for group in ranking.ring.groups] == [("cpu", "two"), ("gpu1",), ("three", "rad")]


def test_a_reservoir_that_blocks_in_parallel_flow_into_stays_before_the_pump():
    lines = ("vessel.out>pump.in", "pump.out>rad.in", "rad.out>split.one", "split.two>cpu.in", "split.three>gpu1.in",
             "cpu.out>vessel.in", "gpu1.out>vessel.fill")  # fmt: skip
    assert compared(joined(*lines, more=parts(split="tee"))).rankings == (), "what is left is one radiator"


@pytest.mark.parametrize(("first", "said"), [("vessel", "goes on feeding pump"), ("rad", "no reservoir feeds pump")])
def test_whether_the_reservoir_feeds_the_pump_is_said(first, said):
    ring_of = {"vessel": ("rad.out>vessel.in", "vessel.out>pump.in"), "rad": ("vessel.out>rad.in", "rad.out>pump.in")}
    last = "rad.in" if first == "vessel" else "vessel.in"
    lines = ("pump.out>cpu.in", "cpu.out>gpu1.in", f"gpu1.out>{last}", *ring_of[first])
    orders = compared(joined(*lines))
    assert any(said in note for note in orders.notes), orders.notes
    assert orders.rankings[0].ring.anchor.hub == (first == "vessel")


def test_a_run_written_against_the_water_moves_like_any_other():
    forth = ("vessel.out>pump.in", "pump.out>cpu.in", "cpu.out>gpu1.in", "gpu1.out>rad.in", "rad.out>vessel.in")
    back = ("vessel.out>pump.in", "cpu.in>pump.out", "gpu1.in>cpu.out", "rad.in>gpu1.out", "rad.out>vessel.in")
    one, two = (compared(joined(*lines)).rankings[0] for lines in (forth, back))
    assert [names(order) for order in one.orders] == [names(order) for order in two.orders]
    for mine, its in zip(one.orders, two.orders, strict=True):
        assert mine.moves_k == pytest.approx(its.moves_k, abs=1e-6)


def test_a_loop_with_one_part_to_move_has_no_order_to_compare():
    orders = compared(small((OLD, '[[order]]\nthrough = ["vessel", "pump", "rad"]\n'), (HEAT, "")))
    assert orders.rankings == ()
    assert orders.notes[0].startswith("no order to compare")
    assert orders_json(orders)["orders"] == []


def test_two_loops_are_ordered_apart():
    second = (
        '[[order]]\nthrough = ["v2", "p2", "gpu8", "rad9"]\n[[stack]]\nid = "top"\nradiator = "rad9"\nair = "90 m3/h"\n'
    )
    more = parts(v2="vessel", p2="pump", gpu8="block", rad9="radiator") + second
    orders = compared(ring(("vessel", "pump", "cpu", "gpu1", "rad"), {"cpu": 200, "gpu1": 90, "gpu8": 50}, more))
    assert [len(ranking.orders) for ranking in orders.rankings] == [6, 2]
    assert {row["loop"] for row in orders_json(orders)["orders"]} == {"pump", "p2"}
    for order in orders.rankings[1].orders:
        assert order.moves_k["cpu"] == pytest.approx(0.0, abs=1e-6)


# --- long work --------------------------------------------------------------------------------------------------------


@given(st.lists(st.integers(0, 4), max_size=6))
def test_every_order_comes_once(alike):
    groups = list(range(len(alike)))
    found = list(distinct_orders(groups, alike))
    patterns = [tuple(alike[i] for i in order) for order in found]
    assert len(set(patterns)) == len(found) == count_orders(alike)
    assert found[0] == tuple(groups)
    near = [tuple(alike[i] for i in order) for order in near_orders(groups, alike)]
    assert near[0] == tuple(alike)
    assert len(set(near)) == len(near)
    assert set(near) <= set(patterns)
    assert all(sorted(order) == groups for order in (*found, *near_orders(groups, alike)))


def test_too_many_orders_are_not_all_solved_and_that_is_said(monkeypatch):
    monkeypatch.setattr(module, "MOST_ORDERS", 20)
    loop = ring(("vessel", "pump", "cpu", "gpu1", "gpu2", "rad"), {"cpu": 200, "gpu1": 90, "gpu2": 50})
    orders = compared(loop)
    (ranking,) = orders.rankings
    assert ranking.admissible == 24
    assert len(ranking.orders) == len(list(near_orders(range(4), range(4)))) < 24
    assert any("24 orders are too many" in note for note in orders.notes)


def test_long_work_tells_how_far_it_is_and_keeps_what_it_has_when_stopped():
    told = []

    def tell(done, count):
        told.append((done, count))
        if done == 4:
            raise KeyboardInterrupt

    orders = compared(ring(("vessel", "pump", "cpu", "gpu1", "rad"), {"cpu": 200, "gpu1": 90}), tell=tell)
    assert told == [(2, 6), (3, 6), (4, 6)]
    assert len(orders.rankings[0].orders) == 4
    assert orders.rankings[0].present.present
    assert any("stopped after 4 orders" in note for note in orders.notes)


# --- whether it matters -----------------------------------------------------------------------------------------------


def test_the_compact_example_moves_its_processor_by_one_kelvin():
    """43.2 to 42.1 °C into the processor when it stands before the graphics card: common practice, no source."""
    (ranking,) = example("compact-single-radiator").rankings
    swapped = next(order for order in ranking.orders if names(order) == ("cpu", "gpu", "radiator"))
    assert ranking.present.inlet_k["cpu"] - 273.15 == pytest.approx(43.2, abs=0.1)
    assert swapped.inlet_k["cpu"] - 273.15 == pytest.approx(42.1, abs=0.1)
    assert swapped.moves_k["cpu"] == pytest.approx(-1.0, abs=0.1)


def test_the_order_is_worth_a_word_above_its_threshold_only():
    through, more = ("vessel", "pump", "cpu", "gpu1", "rad"), '[thresholds]\norder_matters = "{}"\n'
    for watt, said in ((250, "The order matters here"), (25, "No order moves a part by more than 1.0 K")):
        orders = compared(ring(through, {"cpu": watt, "gpu1": watt}, speed="40 %"))
        assert find_advice(orders, orders.rankings[0]).startswith(said)
    orders = compared(ring(through, {"cpu": 25, "gpu1": 25}, more.format("0.05 K"), speed="40 %"))
    assert find_advice(orders, orders.rankings[0]).startswith("The order matters here")


# --- series or parallel -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("written", ["series", "parallel"])
def test_two_cards_with_a_pump_of_class_l_in_series_and_in_parallel(written):
    """4.187341 and 5.778209 L/min: computed with scipy 1.17.1 (PCHIP through the pump's points, brentq)."""
    text = BUILD[: BUILD.index("[[part]]")]
    text += parts(vessel="vessel", pump="l-pump", gpu1="l-block", gpu2="l-block", rest="l-rest")
    lines = [("vessel.out", "pump.in"), ("pump.out", "gpu1.in"), ("gpu1.out", "gpu2.in"), ("gpu2.out", "rest.in")]
    if written == "parallel":
        text += parts(one="open-tee", other="open-tee")
        lines = [("vessel.out", "pump.in"), ("pump.out", "one.one"), ("one.two", "gpu1.in"), ("one.three", "gpu2.in"),
                 ("gpu1.out", "other.two"), ("gpu2.out", "other.three"), ("other.one", "rest.in")]  # fmt: skip
    for one, other in (*lines, ("rest.out", "vessel.in")):
        text += f'[[joint]]\nfrom = "{one}"\nto = "{other}"\n'
    text += '[[stack]]\nid = "front"\nradiator = "rest"\nair = "20000 m3/h"\n[[state]]\nname = "cold"\nroom = "25 °C"\n'
    tee = """
[[card]]
id = "open-tee"
kind = "splitter"
port = [{ name = "one" }, { name = "two" }, { name = "three" }]
channel = [
  { from = "one", to = "two", loss = { k = 1e-6, bore = "10 mm" } },
  { from = "one", to = "three", loss = { k = 1e-6, bore = "10 mm" } },
]
"""
    loop = parse_build(text, "build.toml", {**OWN, **read_cards([parse_toml("format = 1" + tee, "tee.toml")])})
    (beside,) = compared(loop).beside
    flows = {way.form: way.solution.pump_flow_m3_s * 6e4 for way in (beside.present, beside.other)}
    assert beside.present.form == written
    assert flows["series"] == pytest.approx(4.187341, rel=1e-4)
    assert flows["parallel"] == pytest.approx(5.778209, rel=1e-4)
    ways = {way.form: way.solution.flow_m3_s for way in (beside.present, beside.other)}
    for block in ("gpu1", "gpu2"):
        assert ways["series"][block] * 6e4 == pytest.approx(4.187341, rel=1e-4)
        assert ways["parallel"][block] * 6e4 == pytest.approx(5.778209 / 2, rel=1e-4)


@few
@given(st.integers(2, 4), st.floats(20, 300), SPEEDS)
def test_like_blocks_share_in_parallel_what_all_get_in_series(count, watt, speed):
    blocks = [f"gpu{i}" for i in range(count)]
    loop = ring(["vessel", "pump", *blocks, "rad"], dict.fromkeys(blocks, watt), speed=speed)
    (beside,) = compared(loop).beside
    series, parallel = beside.present.solution, beside.other.solution
    assert (beside.present.form, beside.other.form, beside.blocks) == ("series", "parallel", tuple(blocks))
    flows = [parallel.flow_m3_s[block] for block in blocks]
    assert flows == pytest.approx([flows[0]] * count, rel=1e-6)
    assert sum(flows) == pytest.approx(parallel.pump_flow_m3_s, rel=0.01), (
        "the pump's water is cooler, so a little denser"
    )
    assert parallel.pump_flow_m3_s > series.pump_flow_m3_s
    assert sum(parallel.heat_w.values()) == pytest.approx(sum(series.heat_w.values()), rel=1e-6)


def test_parallel_blocks_written_with_tees_come_out_as_the_chain_they_make():
    more = parts(split="tee", join="tee")
    lines = ("vessel.out>pump.in", "pump.out>split.one", "split.two>cpu.in", "split.three>gpu1.in", "cpu.out>join.two",
             "gpu1.out>join.three", "join.one>rad.in", "rad.out>vessel.in")  # fmt: skip
    (beside,) = compared(joined(*lines, heat=(150, 150), more=more)).beside
    assert beside.present.form == "parallel"
    series = beside.other.solution
    assert series.flow_m3_s["cpu"] == pytest.approx(series.flow_m3_s["gpu1"], rel=1e-3)
    assert series.coolant_temp_k["gpu1.in"] == pytest.approx(series.coolant_temp_k["cpu.out"], abs=1e-9)


def test_blocks_of_another_card_or_with_a_part_between_are_not_set_beside_one_another():
    sensor = (
        "vessel.out>pump.in",
        "pump.out>cpu.in",
        "cpu.out>one.in",
        "one.out>gpu1.in",
        "gpu1.out>rad.in",
        "rad.out>vessel.in",
    )
    assert compared(joined(*sensor, more=parts(one="sensor"))).beside == ()
    other = ("vessel.out>pump.in", "pump.out>cpu.in", "cpu.out>x.in", "x.out>rad.in", "rad.out>vessel.in")
    assert compared(joined(*other, blocks=("cpu",), heat=(200,), more=parts(x="l-block"))).beside == ()


def test_a_way_without_an_answer_says_why(monkeypatch):
    from headrace.errors import Fault, NoBalance, Place
    from headrace.plan import beside as plan

    def refuse(*_):
        raise NoBalance(Fault(Place(), "x", "no balance"))

    monkeypatch.setattr(plan, "solve", refuse)
    (beside,) = compared(ring(("vessel", "pump", "gpu1", "gpu2", "rad"), {"gpu1": 100, "gpu2": 100})).beside
    assert beside.other.solution is None
    assert orders_json(compared(ring(("vessel", "pump", "gpu1", "gpu2", "rad"), {"gpu1": 9, "gpu2": 9})))["parallel"][
        0
    ]["parallel"]["faults"]


# --- every example ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.iterdir()))
def test_every_example_is_compared(name):
    orders = example(name)
    (ranking,) = orders.rankings
    assert ranking.left_open == 0
    rings = find_rings(orders.loop, orders.nominal)
    assert reordered(orders.loop, rings[0], rings[0].groups) == orders.loop
    found = orders_json(orders)
    assert {"state", "nominal", "orders", "parallel", "notes"} <= set(found)
    parts_of_ring = Counter(found["nominal"]["order"])
    assert all(Counter(row["order"]) == parts_of_ring for row in found["orders"])
    for row in found["orders"]:
        assert row["flow_m3_s"] == pytest.approx(found["nominal"]["flow_m3_s"], rel=FLOW_REL)
        for part, move in row["moves_k"].items():
            assert row["part_temp_k"][part] - found["nominal"]["part_temp_k"][part] == pytest.approx(move, abs=1e-9)
