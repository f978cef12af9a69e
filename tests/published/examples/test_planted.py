"""
The faults planted in the example builds are in their data, with the sizes their headers state.

mark: sizes from the demo scenarios (invented data) or from the header of each build.toml; limits are common practice,
no source. The checks that find them are tested on their own.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

from headrace.loop.loader import load_build
from headrace.loop.model import Loop
from headrace.loop.route import stated_route
from headrace.parts.casing import Feeder
from headrace.parts.tables import find_thread, materials
from headrace.solve.steady import solve

EXAMPLES = Path(__file__).parents[3] / "examples"
A, B, C, D = "compact-single-radiator", "dual-gpu-workstation", "quiet-studio", "games-and-rendering"
Box = tuple[float, ...]

OVERLAPS_MM = {  # pairs of parts whose boxes share room, and how far in x, y and z
    A: {("fans", "memory"): (40, 17, 12), ("gpu", "pump"): (35, 60, 35)},
    B: {("radiator-front", "radiator-top"): (10, 120, 10), ("fans-front", "fans-top"): (20, 120, 13)},
    C: {},
    D: {},
}
OPEN_PORTS = {A: set[str](), B: {"reservoir.spare"}, C: {"radiator.bleed"}, D: set[str]()}


@cache
def loop_of(build: str) -> Loop:
    return load_build(EXAMPLES / build)


def boxes_mm(loop: Loop) -> dict[str, Box]:
    found = {}
    for part in loop.parts:
        if part.at_m is not None and part.card.outline_m:
            found[part.id] = tuple(1000 * (a + b) for a, b in zip(part.at_m * 2, part.card.outline_m[0], strict=True))
    return found


@pytest.mark.parametrize("build", [A, B, C, D])
def test_which_boxes_overlap(build: str) -> None:
    found = {}
    for (one, a), (other, b) in combinations(sorted(boxes_mm(loop_of(build)).items()), 2):
        shared = tuple(min(a[k + 3], b[k + 3]) - max(a[k], b[k]) for k in range(3))
        if min(shared) > 1e-6:
            found[one, other] = pytest.approx(shared, abs=1e-6)
    assert OVERLAPS_MM[build] == found


@pytest.mark.parametrize("build", [A, B, C, D])
def test_which_ports_are_open(build: str) -> None:
    loop = loop_of(build)
    assert {id_ for id_, _, _ in loop.all_ports() if loop.used_by(id_) is None} == OPEN_PORTS[build]


def test_compact_has_no_drain_and_the_others_have_one() -> None:
    drains = {build: [use.port for use in loop_of(build).port_uses if use.use == "drain"] for build in (A, B, C)}
    assert drains == {A: [], B: ["pump-2.drain"], C: ["pump.drain"]}


def test_additives_as_planted() -> None:
    assert [loop_of(build).coolant.additives for build in (A, B, C)] == [None, ("inhibitor",), ("biocide",)]


def test_compact_collar_beside_the_fans() -> None:
    """9 mm from the axis of r1 to the edge of the fans, 8.5 mm of collar."""
    loop = loop_of(A)
    port_x = boxes_mm(loop)["radiator"][0] + 1000 * loop.port("radiator.r1")[1].at_m[0]  # type: ignore[index]
    collar = 1000 * float(loop.fittings_at("radiator.r1")[0].collar_m or 0.0)
    assert port_x - boxes_mm(loop)["fans"][3] - collar / 2 == pytest.approx(0.5, abs=1e-6)


def test_workstation_socket_thread_and_stud() -> None:
    loop = loop_of(B)
    socket = loop.fittings_at("radiator-top.t2")[-1].tube
    run = next(run for run in loop.runs if run.id == "top-to-sensor")
    assert socket is not None
    assert socket.outside_m == pytest.approx(0.016)
    assert run.tube.outside_m == pytest.approx(0.014)
    valve, drain = loop.fittings_at("pump-2.drain")[0], loop.port("pump-2.drain")[1]
    assert find_thread(valve.thread).form == "tapered"
    assert drain.thread == "G1/4"
    for port, fits in (("cpu.in", False), ("cpu.out", True)):
        stud, depth = loop.fittings_at(port)[0].stud_m, loop.port(port)[1].depth_m
        assert stud is not None
        assert depth is not None
        assert (stud <= depth - 0.5e-3 + 1e-9) is fits


def test_every_other_stud_fits_its_port() -> None:
    for build in (A, B, C):
        loop = loop_of(build)
        for id_, _, port in loop.all_ports():
            for fitting in loop.fittings_at(id_)[:1]:
                if id_ != "cpu.in" and fitting.stud_m is not None and port.depth_m is not None:
                    assert fitting.stud_m <= port.depth_m - 0.5e-3 + 1e-9, id_


def test_workstation_collars_on_the_reservoir() -> None:
    """20 mm of pitch less the halves of 17 mm and 22 mm."""
    loop = loop_of(B)
    collars = [float(loop.fittings_at(f"reservoir.{port}")[0].collar_m or 0.0) for port in ("return", "fill")]
    at = [loop.port(f"reservoir.{port}")[1].at_m for port in ("return", "fill")]
    assert at[0] is not None
    assert at[1] is not None
    assert at[1][0] - at[0][0] - sum(collars) / 2 == pytest.approx(0.5e-3, abs=1e-9)


def test_workstation_aluminium_beside_copper_and_nickel() -> None:
    loop = loop_of(B)
    plug = loop.fittings_at("radiator-top.t3")[0]
    assert plug.wetted is not None
    assert {materials()[name].group for name in plug.wetted} >= {"aluminium"}


def test_workstation_barb_and_bend() -> None:
    loop = loop_of(B)
    run = next(run for run in loop.runs if run.id == "pumps-to-front")
    barb = run.to_with[-1].tube
    assert barb is not None
    assert barb.barb_m is not None
    assert barb.barb_m / run.tube.bore_m - 1 == pytest.approx(0.30, abs=1e-9)
    assert run.bend_radius_m is not None
    assert run.tube.min_bend_radius_m is not None
    assert run.bend_radius_m < run.tube.min_bend_radius_m


def test_only_the_planted_lead_is_beyond_its_outlet() -> None:
    beyond = []
    for build in (A, B, C):
        loop = loop_of(build)
        stacks = {stack.id: stack for stack in loop.stacks}
        for lead in loop.leads:
            feeder = loop.part(lead.feeder).card
            assert isinstance(feeder, Feeder)
            outlet = next(outlet for outlet in feeder.outlet if outlet.name == lead.outlet)
            stack = stacks.get(lead.part)
            card = stack.fan if stack else loop.part(lead.part).card
            assert card is not None
            current = max(float(card.current_a or 0.0), float(card.start_current_a or 0.0))
            if current * (stack.fans if stack else 1) > float(outlet.max_current_a or 0.0) + 1e-9:
                beyond.append((build, lead.part))
    assert beyond == [(B, "pump-2")]


def test_workstation_predictions_beyond_their_limits() -> None:
    """The CPU is above 80 °C, the flow sensor above its 40 °C; nothing else in the first state of any build."""
    warm, hot = set(), set()
    for build in (A, B, C):
        loop = loop_of(build)
        solution = solve(loop, stated_route(loop), loop.state())
        hot |= {(build, block.part) for block in solution.blocks if block.margin_k is not None and block.margin_k < 0}
        for id_, part, _ in loop.all_ports():
            limit = part.card.max_temp_k
            if limit is not None and solution.coolant_temp_k.get(id_, 0.0) > limit:
                warm.add((build, part.id))
    assert hot == {(B, "cpu")}
    assert warm == {(B, "flow-sensor")}
