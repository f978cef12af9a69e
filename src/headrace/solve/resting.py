"""Water at rest: which moving water it is as warm as."""

from __future__ import annotations

import numpy as np

from headrace.solve.balanced import Balanced
from headrace.solve.heat import LEAST_KG_S


def nearest_moving(found: Balanced) -> list[int]:
    """For every node of the network the nearest one whose water moves in the first variant; itself without any."""
    links = found.prepared.assembly.network.links
    live = np.abs(found.mass_flow_kg_s[0]) > LEAST_KG_S
    near: dict[int, int] = {}
    for flows, link in zip(live, links, strict=True):
        if flows:
            near |= {link.start: link.start, link.end: link.end}
    grew = True
    while grew:
        grew = False
        for link in links:
            for here, there in ((link.start, link.end), (link.end, link.start)):
                if here in near and there not in near:
                    near[there] = near[here]
                    grew = True
    return [near.get(node, node) for node in range(found.prepared.assembly.network.nodes)]
