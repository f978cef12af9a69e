"""
Who breathes what: the shares of room, case, other stacks' exhaust and its own that make up the air of every path.

Answers   where the air of each path comes from, how much of its exhaust reaches the zone it blows into, and what the
          case gains or loses besides what the paths' own zones say
Assumes   a share of exhaust is never more than there is; air that stands gives none, and room air takes its place
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from headrace.loop.model import Stack
from headrace.solve.airpaths import CASE, AirPath
from headrace.units import Array

LEAST_AIR_W_K = 1e-3  # 3 litres of air an hour: less is air at rest


@dataclass(frozen=True)
class Draws:
    """
    Shares of the air of each path, shape (variants, paths); room, case, own and `exhaust` (by path and source) make 1.

    `left` is the share of a path's exhaust that nobody breathes, which reaches the zone it blows into.
    """

    room: Array
    case: Array
    own: Array
    exhaust: dict[tuple[int, int], Array]
    left: Array

    def beyond_source(self, paths: Sequence[AirPath], path: int) -> Array:
        """Share of a path's fresh air that comes out of the case, less 1 where the path starts there anyway."""
        share = self.case[:, path].copy()
        for (into, source), part in self.exhaust.items():
            if into == path and paths[source].sink == CASE:
                share += part
        return share / (1.0 - self.own[:, path]) - float(paths[path].source == CASE)

    def from_case(self, paths: Sequence[AirPath], flow: Array) -> Array:
        """
        What leaves the case besides the flows from zone to zone, shape (variants,), in the unit of `flow`.

        Shares of case air in a path that starts in the room, exhaust breathed before it spreads, air that returns.
        """
        extra = np.zeros(len(flow))
        forward = np.maximum(flow, 0.0)
        for index, path in enumerate(paths):
            if not isinstance(path.owner, Stack):
                continue  # a vent takes whole air from one zone to the other
            into = self.left[:, index] if path.sink == CASE else 0.0
            whole = float(path.source == CASE) - float(path.sink == CASE)
            extra = extra + forward[:, index] * (self.case[:, index] - into - whole)
        return extra


def _scale(paths: Sequence[AirPath], shape: tuple[int, ...], factor: Array | None) -> Array:
    """How much stated shares of used air are scaled; never to more than all air together."""
    if factor is None:
        return np.ones(shape)
    used = [
        sum(float(inlet.share_frac) for inlet in path.owner.inlets if inlet.from_ != "room")
        if isinstance(path.owner, Stack)
        else 0.0
        for path in paths
    ]
    scale: Array = np.minimum(np.broadcast_to(factor, shape), 1.0 / np.maximum(np.array(used), 1e-9))
    return scale


def _held(share: Array, asked: Array, there: Array) -> Array:
    """A share of exhaust, cut to what there is when all together ask for more."""
    held: Array = share * np.minimum(1.0, there / np.maximum(asked, LEAST_AIR_W_K))
    return held


def find_draws(paths: Sequence[AirPath], capacity_w_k: Array, factor: Array | None, *, has_case: bool) -> Draws:
    """The shares at these capacity rates; `factor` scales what is stated of case air and exhaust."""
    shape = capacity_w_k.shape
    case, own = np.zeros(shape), np.zeros(shape)
    exhaust: dict[tuple[int, int], Array] = {}
    index = {path.id: i for i, path in enumerate(paths)}
    moving = np.where(capacity_w_k > LEAST_AIR_W_K, capacity_w_k, 0.0)
    taken = np.zeros(shape)
    scale = _scale(paths, shape, factor)
    for i, path in enumerate(paths):
        if not isinstance(path.owner, Stack):
            continue
        back = float(path.owner.recirculated_frac)
        own[:, i] = np.where(moving[:, i] > 0.0, back, 0.0)
        for inlet in path.owner.inlets:
            share = float(inlet.share_frac) * scale[:, i] * (1.0 - back)
            if inlet.from_ == "case":
                case[:, i] = share if has_case else 0.0
            elif inlet.from_ != "room":
                source = index[inlet.from_]
                exhaust[i, source] = np.where(moving[:, source] > 0.0, share, 0.0)
                taken[:, source] += exhaust[i, source] * moving[:, i]
    for i, source in exhaust:
        exhaust[i, source] = _held(exhaust[i, source], taken[:, source], moving[:, source] * (1.0 - own[:, source]))
    taken = np.minimum(taken, moving * (1.0 - own))
    used = case + own
    for (i, _), share in exhaust.items():
        used[:, i] += share
    spread = np.maximum(1.0 - own - taken / np.maximum(moving, LEAST_AIR_W_K), 0.0)
    return Draws(np.maximum(1.0 - used, 0.0), case, own, exhaust, spread)
