"""
The ways of the air as a network between room and case, whose pressure closes the balance of the air.

Answers   which laws the air meets on each way, through openings and leaks
Assumes   the case leaks through one opening of an assumed area besides its vents
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from headrace.loop.model import Loop, Stack
from headrace.solve.airpaths import CASE, ROOM, AirPath, screen_law
from headrace.solve.flow import FlowSolver
from headrace.solve.laws import Hole, Imposed, Law, Lift
from headrace.solve.network import Link, Network


def case_in_play(loop: Loop) -> bool:
    """True when the air of the case matters: something breathes it, fills it or vents it."""
    breathes = any(inlet.from_ == "case" for stack in loop.stacks for inlet in stack.inlets)
    return breathes or bool(loop.vents) or any(stack.out == "case" for stack in loop.stacks)


def mixes(paths: Sequence[AirPath]) -> bool:
    """True when some air is shared between zones, so that the case gains or loses more than whole paths."""
    for path in paths:
        owner = path.owner
        if isinstance(owner, Stack):
            shares = [float(inlet.share_frac) for inlet in owner.inlets if inlet.from_ == "case"]
            part = any(share < 1.0 for share in shares) or bool(owner.recirculated_frac)
            if part or any(inlet.from_ not in ("room", "case") for inlet in owner.inlets):
                return True
    return False


@dataclass(frozen=True)
class AirNetwork:
    """The ways of the air as a network: a link a path, what is shared out, then openings and leaks of the case."""

    solver: FlowSolver
    labels: tuple[tuple[str, ...], ...]
    link_of: dict[int, int]  # of each path that is part of it
    shared: int | None  # link by which the case loses air that mixtures take from it or give to it
    openings: tuple[int, ...]  # links written from the room into the case

    @classmethod
    def of(cls, loop: Loop, paths: tuple[AirPath, ...]) -> AirNetwork | None:
        """The network, or None when every airflow is stated and the case plays no part."""
        case = case_in_play(loop)
        mixed = case and mixes(paths)
        links: list[Link] = []
        labels: list[tuple[str, ...]] = []
        link_of: dict[int, int] = {}
        for index, path in enumerate(paths):
            if path.findable or (case and path.known and path.source != path.sink):
                lifted = mixed and path.findable and isinstance(path.owner, Stack)
                named = (*path.laws(), *((("pressure of the case, shared", Lift(0.0)),) if lifted else ()))
                names, laws = zip(*named, strict=True)
                link_of[index] = len(links)
                links.append(Link(path.id, path.source, path.sink, laws))
                labels.append(names)
        shared = len(links) if mixed else None
        if shared is not None:
            links.append(Link("air shared out", CASE, ROOM, (Imposed(0.0),)))
            labels.append(("shared air",))
        bare = tuple(_openings(loop)) if case else ()
        openings = tuple(range(len(links), len(links) + len(bare)))
        links += [Link(id_, ROOM, CASE, laws) for id_, _, laws in bare]
        labels += [label for _, label, _ in bare]
        if not links:
            return None
        return cls(FlowSolver.of(Network(2, tuple(links))), tuple(labels), link_of, shared, openings)

    def elements(self, path: int) -> range:
        """Elements of a path."""
        return self.link_elements(self.link_of[path])

    def link_elements(self, link: int) -> range:
        """Elements of a link."""
        first = sum(len(labels) for labels in self.labels[:link])
        return range(first, first + len(self.labels[link]))


def _openings(loop: Loop) -> Iterator[tuple[str, tuple[str, ...], tuple[Law, ...]]]:
    for vent in loop.vents:
        if vent.area_m2 is not None:
            screens = tuple(screen_law(screen, float(vent.area_m2)) for screen in vent.screens)
            labels = ("opening", *(f"screen {screen.id}" for screen in vent.screens))
            yield vent.id, labels, (Hole(float(vent.area_m2)), *screens)
    yield "leaks of the case", ("opening",), (Hole(float(loop.thresholds("assumed_case_leak"))),)
