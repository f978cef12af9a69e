"""
The fans of a stack on their radiators, as the checks of screws and fans read them.

Answers   on which radiators fans are screwed, and how far their screws reach into them
Assumes   fans that push stand on the first radiator of the air, fans that pull on the last, push-pull on both
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.loop.model import Stack
from headrace.parts.radiator import Radiator


def faces(stack: Stack) -> tuple[tuple[str, Radiator], ...]:
    """(part id, card) of each radiator face that carries fans."""
    cards = ((stack.radiator, stack.card), *((other.radiator, other.card) for other in stack.behind))
    chosen = {"push": cards[:1], "pull": cards[-1:], "push-pull": (cards[0], cards[-1])}
    return chosen[stack.mount]


def screwed(stack: Stack) -> Iterator[tuple[str, Radiator]]:
    """Each radiator fans are screwed onto, once."""
    if stack.fan is not None:
        yield from dict(faces(stack)).items()


def reach_m(stack: Stack) -> float | None:
    """How far a screw goes into the radiator: its length less the fan's thickness; None where it is not stated."""
    if stack.fan is None or stack.screw_m is None:
        return None
    return float(stack.screw_m) - float(stack.fan.thickness_m)
