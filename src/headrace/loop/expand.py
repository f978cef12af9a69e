"""An order list expanded to runs: from each part's outlet to the next part's inlet."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from headrace.errors import Fault, Place
from headrace.loop.buildfile import OrderEntry, RunEntry
from headrace.loop.model import PlacedPart
from headrace.parts.card import Card


def usual_ports(card: Card) -> tuple[str, str] | None:
    """(inlet, outlet) of the way water usually takes through a part; None when the card leaves it open."""
    channels = card.channels()
    if card.passage == "hub":
        inlet = next((port.name for port in card.port if port.way == "in" or port.name == "in"), None)
        outlet = next((port.name for port in card.port if port.way == "out" or port.name == "out"), None)
        return (inlet, outlet) if inlet and outlet else None
    if card.passage == "stated" or not channels:
        return ("in", "out") if card.find_port("in") and card.find_port("out") else None
    main = next((channel for channel in channels if channel.does), channels[0])
    return (main.from_, main.to)


def expand_order(
    entry: OrderEntry, parts: Mapping[str, PlacedPart], place: Place
) -> tuple[list[RunEntry], list[Fault]]:
    """The runs of one order list, and a fault for each part whose way through is not clear."""
    ways = {id_: usual_ports(parts[id_].card) for id_ in entry.through}
    faults = [
        Fault(
            place,
            "order",
            f'the way through "{id_}" is not clear from its card',
            "",
            f'Write [[run]] tables to and from {id_}, or way = "in" and "out" on its ports.',
        )
        for id_, way in ways.items()
        if way is None
    ]
    if faults:
        return [], faults
    steps = list(pairwise(entry.through)) + ([(entry.through[-1], entry.through[0])] if entry.closed else [])
    runs = [
        RunEntry(
            id=f"{a}-to-{b}",
            from_=f"{a}.{ways[a][1]}",  # type: ignore[index]  # no way is None here
            to=f"{b}.{ways[b][0]}",  # type: ignore[index]
            tube=entry.tube,
            length_m=entry.length_m,
            bends=entry.bends,
            from_with=entry.fitting,
            to_with=entry.fitting,
        )
        for a, b in steps
    ]
    return runs, []
