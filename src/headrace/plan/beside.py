"""
Like blocks one after the other against the same blocks side by side.

Answers   flow, pressure and chips of both ways, for blocks of the same loss and resistance that are neighbours
Assumes   side by side the water divides and meets again without a loss of its own, and the tube between the blocks
          falls away; in series the tube into a block comes from the block before it, and the one from there to where
          the branches met falls away
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from headrace.errors import Fault, NoSolution, Place
from headrace.loop.model import Joint, Loop, PortId, Run, State
from headrace.loop.route import Route
from headrace.parts.block import Block
from headrace.parts.vessel import Splitter
from headrace.plan.ring import Flow, find_flows
from headrace.solve.solution import Solution
from headrace.solve.steady import solve

Form = Literal["series", "parallel"]
_Line = TypeVar("_Line", Run, Joint)
NOTE = (
    "series against parallel: the water divides and meets without a loss of its own, tube between blocks in parallel "
    "falls away, and in series each block is fed by the tube it has"
)


@dataclass(frozen=True)
class Way:
    """The build with its like blocks in one form; `faults` say why there is no solution."""

    form: Form
    solution: Solution | None
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Beside:
    """Like blocks as they stand now, and the other way."""

    blocks: tuple[str, ...]
    present: Way
    other: Way


@dataclass(frozen=True)
class _Like:
    """Like blocks, each with the links that lead to it and away from it, up to the next part or junction."""

    form: Form
    blocks: tuple[Flow, ...]
    before: tuple[tuple[Flow, ...], ...]
    after: tuple[tuple[Flow, ...], ...]


def compare_beside(loop: Loop, route: Route, state: State, nominal: Solution) -> Iterator[Beside]:
    """Every set of like blocks next to one another, solved the other way too."""
    water = _Water(loop, find_flows(nominal))
    for like in (*water.in_series(), *water.in_parallel()):
        ids = tuple(flow.link.owner for flow in like.blocks)
        form: Form = "parallel" if like.form == "series" else "series"
        changed = (_abreast if form == "parallel" else _chained)(loop, like)
        try:
            other = Way(form, solve(changed, route, state))
        except NoSolution as error:
            other = Way(form, None, error.faults)
        yield Beside(ids, Way(like.form, nominal), other)


_Alone = tuple[Flow, tuple[Flow, ...], tuple[Flow, ...]]  # a block and the links before and after it


class _Water:
    """The links with water in them, by the ports they leave and reach."""

    def __init__(self, loop: Loop, flows: Sequence[Flow]) -> None:
        self.loop = loop
        self.leaving: dict[PortId, list[Flow]] = defaultdict(list)
        self.reaching: dict[PortId, list[Flow]] = defaultdict(list)
        for flow in flows:
            self.leaving[flow.up].append(flow)
            self.reaching[flow.down].append(flow)
        self.blocks = sorted(
            (flow for flow in flows if flow.link.does == "heat"),
            key=lambda flow: [part.id for part in loop.parts].index(flow.link.owner),
        )

    def _walk(self, block: Flow, *, onwards: bool) -> tuple[tuple[Flow, ...], Flow | None, PortId]:
        """Tube, joints and free passages from a block on; then the part met, or None with the junction reached."""
        passed, port = list[Flow](), block.down if onwards else block.up
        while len(self.leaving[port]) == len(self.reaching[port]) == 1:
            (flow,) = self.leaving[port] if onwards else self.reaching[port]
            if not self._free(flow):
                return tuple(passed), flow, port
            passed.append(flow)
            port = flow.down if onwards else flow.up
        return tuple(passed), None, port

    def _free(self, flow: Flow) -> bool:
        if flow.link.kind != "part":
            return True
        card = self.loop.part(flow.link.owner).card
        return flow.link.does is None and (isinstance(card, Splitter) or card.passage == "hub")

    def _alike(self, one: Flow, other: Flow) -> bool:
        """Blocks whose cards state the same loss and resistance, whatever their outlines."""
        first, second = (self.loop.part(flow.link.owner).card for flow in (one, other))
        same = isinstance(first, Block) and isinstance(second, Block) and first.resistance == second.resistance
        return same and [c.loss for c in first.channels()] == [c.loss for c in second.channels()]

    def in_series(self) -> Iterator[_Like]:
        """Chains of like blocks with nothing but tube or a joint between them."""
        after: dict[Flow, tuple[tuple[Flow, ...], Flow]] = {}
        for block in self.blocks:
            passed, met, _ = self._walk(block, onwards=True)
            if met is None or met == block or any(flow.link.kind == "part" for flow in passed):
                continue
            if met in self.blocks and self._alike(block, met):
                after[block] = passed, met
        followers = [met for _, met in after.values()]
        for first in (block for block in after if block not in followers):
            chain, between = [first], list[tuple[Flow, ...]]()
            while chain[-1] in after:
                passed, met = after[chain[-1]]
                chain.append(met)
                between.append(passed)
            yield _Like("series", tuple(chain), ((), *between), (*between, ()))

    def in_parallel(self) -> Iterator[_Like]:
        """Like blocks, each alone in its branch between the same two junctions."""
        sets: list[tuple[PortId, PortId, list[_Alone]]] = []
        for block in self.blocks:
            before, one, start = self._walk(block, onwards=False)
            after, other, end = self._walk(block, onwards=True)
            if one is not None or other is not None:
                continue
            for first, last, found in sets:
                if (first, last) == (start, end) and self._alike(found[0][0], block):
                    found.append((block, before, after))
                    break
            else:
                sets.append((start, end, [(block, before, after)]))
        for _, _, found in sets:
            if len(found) > 1:
                blocks, before_all, after_all = zip(*found, strict=True)
                yield _Like("parallel", blocks, before_all, after_all)


def _abreast(loop: Loop, like: _Like) -> Loop:
    """The blocks of a chain side by side: tube between them gone, inlets joined to inlets and outlets to outlets."""
    gone = {flow.link.id for between in like.after for flow in between}
    first, last = like.blocks[0], like.blocks[-1]
    joints = [_joint(first.up, block.up) for block in like.blocks[1:]]
    joints += [_joint(block.down, last.down) for block in like.blocks[:-1]]
    return _relined(loop, gone, {}, joints)


def _chained(loop: Loop, like: _Like) -> Loop:
    """The blocks of parallel branches one after the other: each is fed from the outlet of the one before."""
    gone = {after[0].link.id for after in like.after[:-1]}
    fed = {
        before[0].link.id: (before[0].up, block.down)
        for before, block in zip(like.before[1:], like.blocks[:-1], strict=True)
    }
    return _relined(loop, gone, fed, [])


def _relined(loop: Loop, gone: set[str], fed: dict[str, tuple[PortId, PortId]], more: Sequence[Joint]) -> Loop:
    """The loop without some runs and joints, with others begun at another port, and with more joints."""
    runs = tuple(_moved(run, fed) for run in loop.runs if run.id not in gone)
    joints = tuple(_moved(joint, fed) for joint in loop.joints if joint.id not in gone)
    return replace(loop, runs=runs, joints=(*joints, *more))


def _moved(line: _Line, fed: dict[str, tuple[PortId, PortId]]) -> _Line:
    if line.id not in fed:
        return line
    old, new = fed[line.id]
    return replace(line, from_port=new) if line.from_port == old else replace(line, to_port=new)


def _joint(one: PortId, other: PortId) -> Joint:
    return Joint(f"{one}-beside-{other}".replace(".", "-"), one, other, (), Place())
