"""
Bands: the stated uncertainties of cards, room, contact and formulas carried through the whole model by sampling.

Answers   the 90 % band of every output, the chance of meeting each limit, and which input widens which output most
Assumes   independent inputs; samples spread evenly over each input's distribution (Latin hypercube), the same ones
          every time
Source    [mckay-1979] the sampling; ranks by the squared correlation of input and output
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from headrace.solve.balance import balance
from headrace.solve.balanced import Balanced
from headrace.solve.course import time_constant_s
from headrace.solve.noise import NoiseModel
from headrace.solve.outputs import find_outputs
from headrace.solve.prepared import Prepared
from headrace.solve.uncertain import Uncertain, find_uncertain, property_factors, spread_factors
from headrace.solve.variants import Variants
from headrace.units import Array

SAMPLES = 2000
LOW_FRAC, HIGH_FRAC = 0.05, 0.95
_SEED = 20_011  # any; fixed, so that the same build always gives the same band
_MOST_NAMED = 5
_LEAST_SHARE = 0.01


@dataclass(frozen=True)
class Contributor:
    """One uncertain input and its share of the variance of an output, as far as it explains it alone."""

    name: str
    share_frac: float
    assumed: bool


@dataclass(frozen=True)
class Band:
    """
    Bands by quantity and id, as (low, high) in SI; chances of meeting limits; contributors of every output.

    `contributors` are those of the hottest coolant; `by_output` holds them by "quantity.id".
    """

    samples: int
    bands: Mapping[str, Mapping[str, tuple[float, float]]]
    chance_frac: Mapping[str, float]
    contributors: tuple[Contributor, ...]
    by_output: Mapping[str, tuple[Contributor, ...]]
    notes: tuple[str, ...]


def solve_band(prepared: Prepared, found: Balanced, samples: int = SAMPLES) -> Band:
    """The bands around a balanced state."""
    noise = NoiseModel.of(prepared)
    items = find_uncertain(found, noise)
    changes = _changes(items, samples)
    variants = _variants(prepared, noise, items, changes)
    batch = balance(prepared, variants, found)
    rows = np.flatnonzero(batch.closed)
    outputs = find_outputs(batch, noise, resistance(prepared, items, changes))
    nominal = find_outputs(found, noise)
    spread = _Spread(items, changes[rows])
    bands: dict[str, dict[str, tuple[float, float]]] = {}
    ranked: dict[str, tuple[Contributor, ...]] = {}
    outputs.by_name["time_constant_s"] = _time_constants(batch, found, spread_factors(items, changes, "capacity", 1))
    nominal.by_name["time_constant_s"] = _time_constants(found, found, None)
    for quantity, values in outputs.by_name.items():
        column = {id_: array[rows] for id_, array in values.items()}
        bands[quantity] = _bands(column, {id_: float(array[0]) for id_, array in nominal.by_name[quantity].items()})
        ranked |= {f"{quantity}.{id_}": spread.rank(array) for id_, array in column.items()}
    chance = {name: float(np.mean(meets & batch.closed)) for name, meets in outputs.limits.items()}
    headline = spread.rank(outputs.hottest_k[rows]) if len(rows) else ()
    return Band(len(rows), bands, chance, headline, ranked, tuple(_notes(items, samples, len(rows))))


def resistance(prepared: Prepared, items: tuple[Uncertain, ...], changes: Array) -> Array | None:
    """Factors on the resistance of every block, shape (variants, blocks)."""
    return spread_factors(items, changes, "resistance", len(prepared.stations.places))


def _time_constants(batch: Balanced, found: Balanced, factor: Array | None) -> dict[str, Array]:
    """
    The slowest time constant of every variant, from that of the state itself.

    tau ~ C / G, G = P / (mean coolant - room): the state's own changes with C and with the coolant's rise a watt.
    """
    own = time_constant_s(found)
    if own is None:
        return {}
    rise = np.mean(batch.heat.station_k[:, :-1], axis=1) - batch.heat.station_k[:, -1]
    rise_0 = np.mean(found.heat.station_k[:, :-1], axis=1) - found.heat.station_k[:, -1]
    passed, passed_0 = np.sum(batch.heat.heat_w, axis=1), np.sum(found.heat.heat_w, axis=1)
    if not (rise_0[0] > 0.0 and passed_0[0] > 0.0):
        return {"": np.full(len(rise), own)}
    ratio = rise / rise_0 * passed_0 / np.maximum(passed, 1e-9 * passed_0)
    return {"": own * ratio * (1.0 if factor is None else factor[:, 0])}


def _variants(prepared: Prepared, noise: NoiseModel, items: tuple[Uncertain, ...], changes: Array) -> Variants:
    nominal, model = prepared.nominal(), prepared.air_model
    room = [i for i, item in enumerate(items) if item.target == "room"]
    capacity, viscosity = property_factors(items, changes)
    heat = spread_factors(items, changes, "heat", len(prepared.stations.places))
    elements = len(prepared.solver.link_of)
    air_elements = len(model.network.solver.link_of) if model.network else 0
    loud = [i for i, item in enumerate(items) if item.target == "sound"]
    sound = np.zeros((len(changes), len(noise.sources)))
    for index in loud:
        sound[:, items[index].columns] += changes[:, index, None]
    return Variants(
        room_k=nominal.room_k + changes[:, room].sum(axis=1),
        heat_w=nominal.heat_w * (1.0 if heat is None else heat),
        speed_hz=nominal.speed_hz,
        loss=spread_factors(items, changes, "loss", elements),
        air_loss=spread_factors(items, changes, "air_loss", air_elements),
        strength=spread_factors(items, changes, "strength", len(model.cores)),
        air_flow=spread_factors(items, changes, "air_flow", len(model.paths)),
        air_share=spread_factors(items, changes, "air_share", len(model.paths)),
        heat_capacity=capacity,
        viscosity=viscosity,
        sound_db=sound,
    )


def _changes(items: tuple[Uncertain, ...], samples: int) -> Array:
    """What every input does in every sample, shape (samples, inputs)."""
    random = np.random.default_rng(_SEED)
    normal, even = _grid(samples)
    columns = []
    for item in items:
        order = random.permutation(samples)
        columns.append(item.change((even if item.shape == "rectangular" else normal)[order]))
    return np.stack(columns, axis=1) if columns else np.zeros((samples, 0))


@lru_cache(maxsize=8)
def _grid(samples: int) -> tuple[Array, Array]:
    """The middles of equally likely strata of a normal and of an even distribution of mean 0 and variance 1."""
    middle = (np.arange(samples) + 0.5) / samples
    normal = np.array([NormalDist().inv_cdf(float(p)) for p in middle])
    return normal / np.std(normal), np.sqrt(12.0) * (middle - 0.5)


def _bands(values: Mapping[str, Array], nominal: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """90 % bands; the value of the state itself always lies inside."""
    found: dict[str, tuple[float, float]] = {}
    ids = [id_ for id_, array in values.items() if len(array)]
    if not ids:
        return found
    table = np.sort(np.stack([values[id_] for id_ in ids]), axis=1)
    last = table.shape[1] - 1
    low, high = table[:, round(LOW_FRAC * last)], table[:, round(HIGH_FRAC * last)]
    for index, id_ in enumerate(ids):
        own = nominal[id_]
        found[id_] = (min(float(low[index]), own), max(float(high[index]), own))
    return found


class _Spread:
    """Ranks inputs by how much of an output's variance each explains alone."""

    def __init__(self, items: tuple[Uncertain, ...], changes: Array) -> None:
        self.items = items
        centred = changes - changes.mean(axis=0) if len(changes) else changes
        width = np.linalg.norm(centred, axis=0) if len(changes) else np.ones(len(items))
        self.unit = centred / np.maximum(width, 1e-300)

    def rank(self, output: Array) -> tuple[Contributor, ...]:
        """The inputs that explain most, with their squared correlation; those under 1 % are left out."""
        centred = output - output.mean() if len(output) else output
        width = float(np.linalg.norm(centred))
        if width <= 1e-12 * max(float(np.max(np.abs(output), initial=0.0)), 1e-300) or not self.items:
            return ()
        share = (centred @ self.unit / width) ** 2
        order = np.argsort(-share)[:_MOST_NAMED]
        return tuple(
            Contributor(self.items[i].name, float(share[i]), self.items[i].assumed)
            for i in order
            if share[i] >= _LEAST_SHARE
        )


def _notes(items: tuple[Uncertain, ...], samples: int, closed: int) -> list[str]:
    notes = []
    if closed < samples:
        lost = samples - closed
        notes.append(f"{lost} of {samples} samples have no solution: limits not kept, left out of the bands")
    wide = [item.name for item in items if item.target not in ("room", "sound") and item.sigma > 1.0]
    notes += [f"{name}: known to worse than 100 %, so its band says little" for name in wide]
    return notes
