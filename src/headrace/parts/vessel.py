"""Reservoirs, and the small parts the water passes through: sensors, valves, filters, couplings, splitters, bridges."""

from __future__ import annotations

from typing import ClassVar, Literal

from headrace.parts.card import Card, Form
from headrace.parts.fields import Volume


class Reservoir(Card):
    """A vessel with an air space. Every port opens into it."""

    passage: ClassVar[Form] = "hub"

    kind: Literal["reservoir"]
    water_volume_m3: Volume | None = None
    sealed: bool | None = None


class Inline(Card):
    """A part with one passage and no work to do: sensor, valve, filter, coupling, pass-through."""

    passage: ClassVar[Form] = "through"

    kind: Literal["flow-sensor", "temperature-sensor", "valve", "filter", "coupling", "pass-through"]
    series: str = ""
    half: Literal["plug", "socket"] | None = None


class Splitter(Card):
    """A part with several passages: a splitter, a bridge between blocks, a distribution plate."""

    passage: ClassVar[Form] = "stated"

    kind: Literal["splitter", "bridge", "distribution-plate"]
