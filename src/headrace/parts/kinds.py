"""The kinds of card there are."""

from __future__ import annotations

from headrace.parts.air import Fan, Screen
from headrace.parts.block import Block
from headrace.parts.card import Card
from headrace.parts.casing import Case, Feeder, Obstacle
from headrace.parts.pump import Pump, PumpReservoir
from headrace.parts.radiator import Radiator
from headrace.parts.tube import Fitting, Tube
from headrace.parts.vessel import Inline, Reservoir, Splitter

KINDS: dict[str, type[Card]] = {
    "pump": Pump,
    "pump-reservoir": PumpReservoir,
    "reservoir": Reservoir,
    "block": Block,
    "radiator": Radiator,
    "fan": Fan,
    "air-filter": Screen,
    "grille": Screen,
    "tube": Tube,
    "fitting": Fitting,
    "flow-sensor": Inline,
    "temperature-sensor": Inline,
    "valve": Inline,
    "filter": Inline,
    "coupling": Inline,
    "pass-through": Inline,
    "splitter": Splitter,
    "bridge": Splitter,
    "distribution-plate": Splitter,
    "case": Case,
    "board": Feeder,
    "power-supply": Feeder,
    "fan-hub": Feeder,
    "obstacle": Obstacle,
}
