"""
The uncertain inputs of a state: which they are, how far they reach, and what each of them moves.

Answers   one row a stated or assumed uncertainty, and what it multiplies or adds to
Assumes   what one card states is wrong in the same way wherever the card is used; contact under a block and the
          length of a run are matters of their own place; every input is independent of the others
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from headrace.loop.model import Stack
from headrace.parts.block import Block
from headrace.parts.pump import Pump
from headrace.parts.spread import Spread, default_spreads, find_spread
from headrace.solve.airpaths import AirPath
from headrace.solve.balanced import Balanced
from headrace.solve.laws import Curved, Pumping, Straight, Tubes
from headrace.solve.noise import NoiseModel
from headrace.solve.prepared import Prepared
from headrace.units import Array, Figure

Target: TypeAlias = Literal[
    "loss",
    "air_loss",
    "strength",
    "air_flow",
    "air_share",
    "heat",
    "resistance",
    "properties",
    "capacity",
    "room",
    "sound",
]
_VISCOSITY_SHARE = -5.0  # a glycol share that lowers the heat capacity by 1 % thickens the coolant by about 5 %


@dataclass(frozen=True)
class Uncertain:
    """
    One uncertain input: its name, one standard uncertainty (a share, K or dB), and the columns of `target` it moves.

    `shape` is lognormal for a factor, normal for what is added, rectangular where a limit was stated.
    """

    name: str
    target: Target
    columns: tuple[int, ...]
    sigma: float
    assumed: bool
    shape: Literal["normal", "lognormal", "rectangular"] = "lognormal"

    def change(self, z: Array) -> Array:
        """What it does: the logarithm of a factor, or what is added; `z` has mean 0 and variance 1 in its shape."""
        if self.target in ("room", "sound"):
            return self.sigma * z
        if self.shape == "rectangular":
            return np.asarray(np.log1p(np.maximum(self.sigma * z, _LEAST_FACTOR - 1.0)))
        return self.sigma * z


_LEAST_FACTOR = 0.02  # a factor is never let below this, whatever limits were stated


def find_uncertain(found: Balanced, noise: NoiseModel) -> tuple[Uncertain, ...]:
    """Every uncertain input of a state, those that move nothing left out."""
    prepared = found.prepared
    every = (
        *_room(prepared),
        *_losses(prepared),
        *_runs(prepared),
        *_pump_heat(prepared),
        *_blocks(prepared),
        *_cores(prepared, found),
        *_air(prepared),
        *_shares(prepared),
        _of("heat capacity of water and metal", "capacity", (0,), _default("heat capacity")),
        _of("coolant properties", "properties", (0,), _default("coolant properties")),
        *_sound(noise),
    )
    return tuple(item for item in every if item.sigma > 0.0 and item.columns)


def _of(name: str, target: Target, columns: tuple[int, ...], spread: Spread) -> Uncertain:
    shape: Literal["lognormal", "rectangular"] = "rectangular" if spread.width.shape == "rectangular" else "lognormal"
    return Uncertain(name, target, columns, float(spread.width), spread.assumed, shape)


def _default(kind: str) -> Spread:
    return Spread(default_spreads()[kind], assumed=True)


def _figure(name: str, target: Target, columns: tuple[int, ...], figure: Figure | None, kind: str) -> Uncertain:
    """A figure of the build file with its own ±, or the default of its kind."""
    if figure is None or figure.relative is None:
        return _of(name, target, columns, _default(kind))
    shape: Literal["lognormal", "rectangular"] = "rectangular" if figure.shape == "rectangular" else "lognormal"
    return Uncertain(name, target, columns, figure.relative, assumed=False, shape=shape)


def _room(prepared: Prepared) -> Iterator[Uncertain]:
    room = prepared.state.room_k
    shape: Literal["normal", "rectangular"] = "rectangular" if room.shape == "rectangular" else "normal"
    if room.sigma is None:
        yield Uncertain(
            "room temperature", "room", (0,), float(default_spreads()["room"]), assumed=True, shape="normal"
        )
    else:
        yield Uncertain("room temperature", "room", (0,), room.sigma, assumed=False, shape=shape)


def _losses(prepared: Prepared) -> Iterator[Uncertain]:
    """Losses by card, pump curves by card, friction and bends for all tubes together."""
    groups: dict[str, tuple[list[int], Spread]] = {}
    index = 0
    for passage in prepared.assembly.passages:
        for element in passage.elements:
            law, card = element.law, element.card
            if isinstance(law, Straight):
                name, spread = "friction of straight tube", _default("friction")
            elif isinstance(law, Curved):
                name, spread = "loss of bends", _default("loss coefficient")
            elif isinstance(law, Pumping):
                name = f'curve of pump card "{card}"'
                spread = (find_spread(element.stated) if element.stated else None) or _default("pump curve")
            elif isinstance(law, Tubes):
                name, spread = f'coolant loss of core "{card}"', _default("loss points")
            else:
                name = f'loss of card "{card}"' if card else ""
                spread = (find_spread(element.stated) if element.stated else None) or _default("loss coefficient")
            if name:
                groups.setdefault(name, ([], spread))[0].append(index)
            index += 1
    for name, (columns, spread) in groups.items():
        yield _of(name, "loss", tuple(columns), spread)


def _runs(prepared: Prepared) -> Iterator[Uncertain]:
    lengths = {run.id: run.length_m for run in prepared.loop.runs}
    index = 0
    for passage in prepared.assembly.passages:
        for element in passage.elements:
            if isinstance(element.law, Straight):
                path = prepared.route.paths[passage.owner]
                kind = "assumed run length" if path.origin == "assumed" else "run length"
                name = f'length of run "{passage.owner}"'
                yield _figure(name, "loss", (index,), lengths.get(passage.owner), kind)
            index += 1


def _pump_heat(prepared: Prepared) -> Iterator[Uncertain]:
    places = prepared.place_of
    for part in prepared.loop.parts:
        if isinstance(part.card, Pump) and part.id in places:
            stated = part.card.power_points
            spread = find_spread(stated) if stated is not None else None
            yield _of(f'power of pump "{part.id}"', "heat", (places[part.id],), spread or _default("power"))
    for id_, heat in prepared.state.heat_w.items():
        if heat.relative is not None and id_ in places:
            yield _figure(f"heat of {id_}", "heat", (places[id_],), heat, "power")


def _blocks(prepared: Prepared) -> Iterator[Uncertain]:
    for part, place in prepared.place_of.items():
        card = prepared.loop.part(part).card
        if isinstance(card, Block) and card.resistance is not None:
            spread = find_spread(card.resistance) or _default("resistance")
            yield _of(f"contact and resistance of {part}", "resistance", (place,), spread)


def _slow_air(found: Balanced, index: int) -> float:
    """Extra uncertainty of a core from geometry whose air is slower than its laws were fitted for."""
    model = found.prepared.air_model
    core, air_k = model.cores[index], float(found.air.air_in_k[0, index])
    if core.core is None or core.live_frac == 0.0:
        return 0.0
    flow = abs(float(found.air.flow_m3_s[0, core.path])) / core.live_frac
    return float(core.core.air_sigma_frac(flow, model.air.density_kg_m3(air_k), model.air.viscosity_pa_s(air_k)))


def _cores(prepared: Prepared, found: Balanced) -> Iterator[Uncertain]:
    """Strength by card; a core whose air is slower than its laws were fitted for has more of its own."""
    groups: dict[str, tuple[list[int], Spread]] = {}
    for index, core in enumerate(prepared.air_model.cores):
        card = prepared.air_model.card(index)
        stated = card.strength or card.ua or card.geometry
        spread = (find_spread(stated) if stated is not None else None) or _default("strength")
        groups.setdefault(f'strength of radiator card "{card.id}"', ([], spread))[0].append(index)
        if core.core is not None:
            yield Uncertain(f'slow air in "{core.part}"', "strength", (index,), _slow_air(found, index), assumed=True)
    for name, (columns, spread) in groups.items():
        yield _of(name, "strength", tuple(columns), spread)


def _air(prepared: Prepared) -> Iterator[Uncertain]:
    """Stated airflows by path; fan curves, core losses and screens by card."""
    model = prepared.air_model
    groups: dict[str, tuple[list[int], Spread]] = {}
    for index, path in enumerate(model.paths):
        if path.known:
            figure = path.owner.air_m3_s
            if figure is None and isinstance(path.owner, Stack):
                figure = path.owner.air_per_fan_m3_s
            yield _figure(f'airflow of "{path.id}"', "air_flow", (index,), figure, "air flow")
        elif path.findable and model.network is not None:
            _air_elements(model.network.elements(index), path, groups)
    for name, (columns, spread) in groups.items():
        yield _of(name, "air_loss", tuple(columns), spread)


def _air_elements(elements: range, path: AirPath, groups: dict[str, tuple[list[int], Spread]]) -> None:
    assert path.fan is not None
    assert path.fan.curve is not None
    stated = [(f'curve of fan card "{path.fan.id}"', find_spread(path.fan.curve) or _default("fan curve"))]
    for card in path.cores:
        spread = (find_spread(card.air_loss) if card.air_loss is not None else None) or _default("air loss")
        stated.append((f'air loss of core "{card.id}"', spread))
    stated += [(f'loss of screen "{s.id}"', find_spread(s) or _default("screen loss")) for s in path.owner.screens]
    for element, (name, spread) in zip(elements, stated, strict=False):  # what the case lifts has none of its own
        groups.setdefault(name, ([], spread))[0].append(element)


def _shares(prepared: Prepared) -> Iterator[Uncertain]:
    for index, path in enumerate(prepared.air_model.paths):
        if not isinstance(path.owner, Stack):
            continue
        mixed = [inlet for inlet in path.owner.inlets if inlet.from_ != "room" and float(inlet.share_frac) < 1.0]
        if mixed:
            name = f'share of used air into "{path.id}"'
            yield _figure(name, "air_share", (index,), mixed[0].share_frac, "air share")


def _sound(noise: NoiseModel) -> Iterator[Uncertain]:
    """Levels by card; what soft feet take from a pump is a matter of its own place."""
    groups: dict[str, list[int]] = {}
    for index, source in enumerate(noise.sources):
        if source.sound is not None:
            groups.setdefault(source.card, []).append(index)
            name = f"mounting of pump {source.id}"
            yield Uncertain(name, "sound", (index,), source.mounting_sigma_db, assumed=True, shape="normal")
    for card, columns in groups.items():
        source = noise.sources[columns[0]]
        yield Uncertain(f'sound of card "{card}"', "sound", tuple(columns), source.sigma_db, source.assumed, "normal")


def spread_factors(items: tuple[Uncertain, ...], changes: Array, target: Target, columns: int) -> Array | None:
    """Factors of one target, shape (variants, columns); None when nothing moves it."""
    mine = [i for i, item in enumerate(items) if item.target == target]
    if not mine:
        return None
    into = np.zeros((len(mine), columns))
    for row, index in enumerate(mine):
        into[row, list(items[index].columns)] = 1.0
    return np.asarray(np.exp(changes[:, mine] @ into))


def property_factors(items: tuple[Uncertain, ...], changes: Array) -> tuple[Array, Array]:
    """Factors on heat capacity and on viscosity: more glycol lowers the one and raises the other."""
    mine = [i for i, item in enumerate(items) if item.target == "properties"]
    moved = changes[:, mine].sum(axis=1)
    return np.exp(moved), np.exp(_VISCOSITY_SHARE * moved)
