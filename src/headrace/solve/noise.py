"""
How loud a state is: fans and pumps, each at its speed, added as energy where the listener sits.

Answers   level of every source and of all together, for every variant
Assumes   sources that do not keep step; a pump is heard through the case as its card says or as it is mounted here
Source    [iso-7779-2018] the bystander's distance
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from headrace.loop.model import Loop, PlacedPart
from headrace.parts.pump import Pump
from headrace.parts.sound import PumpSound, SoundLevel
from headrace.parts.spread import default_spreads, find_spread
from headrace.physics.fan import REFERENCE_KG_M3
from headrace.physics.sound import beat_hz, energy_sum_db, equal_sources_db, fan_level_db, room_db
from headrace.solve.airpaths import AirPath
from headrace.solve.prepared import Prepared
from headrace.solve.solution import NoiseResult
from headrace.solve.variants import Variants
from headrace.units import Array, show

BYSTANDER_M = 1.0  # where a machine is heard when nobody says otherwise
_BEAT_HZ = (0.2, 15.0)  # slower is not heard as a beat, faster as roughness; common practice, no source


@dataclass(frozen=True)
class Source:
    """
    One source: the fans of a stack or vent together, or a pump. `sound` is None where no card states it.

    `sigma_db` is the card's and so the same error wherever the card is used, `mounting_sigma_db` this pump's own.
    """

    id: str
    count: float
    sound: SoundLevel | PumpSound | None
    sigma_db: float
    assumed: bool
    card: str = ""
    mounting_sigma_db: float = 0.0
    mounting_db: float = 0.0
    said: str = ""


@dataclass(frozen=True)
class NoiseModel:
    """The sources of a state, each with the path or pump it belongs to."""

    prepared: Prepared
    sources: tuple[Source, ...]
    paths: tuple[int, ...]  # air path of each fan source, then -1 for pumps
    distance_m: float

    @classmethod
    def of(cls, prepared: Prepared) -> NoiseModel:
        """Read what is known of the sound of fans and pumps."""
        loop = prepared.loop
        fans = [(i, path) for i, path in enumerate(prepared.air_model.paths) if path.fan is not None]
        pumps = [part for part in loop.parts if isinstance(part.card, Pump)]
        sources = (*(_fan_source(path) for _, path in fans), *(_pump_source(loop, part) for part in pumps))
        at = loop.limits.noise_at_m
        return cls(
            prepared,
            sources,
            (*(i for i, _ in fans), *(-1 for _ in pumps)),
            BYSTANDER_M if at is None else float(at),
        )

    def levels_db(self, variants: Variants) -> Array:
        """Level of every source at the listener, shape (variants, sources); nan where nobody states it."""
        air = self.prepared.air
        density = np.asarray(air.density_kg_m3(variants.room_k)) / REFERENCE_KG_M3
        columns = []
        for source, path in zip(self.sources, self.paths, strict=True):
            sound = source.sound
            if sound is None:
                columns.append(np.full(variants.count, np.nan))
                continue
            ratio = self._speed_ratio(source, path, variants)
            thin = density if path >= 0 else 1.0
            level = fan_level_db(float(sound.level_db) + source.mounting_db, ratio, sound.exponent, 1.0, thin)
            level = equal_sources_db(room_db(level, float(sound.distance_m), self.distance_m), source.count)
            columns.append(np.broadcast_to(level, (variants.count,)))
        levels = np.stack(columns, axis=1) if columns else np.zeros((variants.count, 0))
        return levels if variants.sound_db is None else levels + variants.sound_db

    def total_db(self, levels_db: Array) -> Array:
        """All sources whose level is known, shape (variants,)."""
        known = [i for i, source in enumerate(self.sources) if source.sound is not None]
        return np.asarray(energy_sum_db(levels_db[:, known], axis=1))

    def _speed_ratio(self, source: Source, path: int, variants: Variants) -> Array:
        sound = source.sound
        if isinstance(sound, PumpSound):
            element = self.prepared.pump_elements.get(source.id)
            if element is None:  # it stands still on its card's own resistance
                return np.zeros(1)
            own = np.array([self.prepared.pump_speed_frac(source.id)])
            return np.asarray(variants.pump_frac.get(element, own)) / float(sound.speed_frac)
        assert sound is not None
        stated = sound.speed_hz or self._full_hz(path)
        return np.nan_to_num(variants.speed_hz[:, path]) / float(stated)

    def _full_hz(self, path: int) -> float:
        fan = self.prepared.air_model.paths[path].fan
        assert fan is not None
        return float(fan.full_speed_hz or 1.0)


@dataclass(frozen=True)
class Beat:
    """Two ways of air whose fans of equal blades turn at nearly the same speed; `rate_hz` is how often it swells."""

    one: AirPath
    other: AirPath
    rate_hz: float


def find_beats(paths: Iterable[AirPath], unstated: int | None = None) -> Iterator[Beat]:
    """
    The pairs of turning fans that beat.

    `unstated` stands in for the blades of fans whose cards state none; without it such fans are left out.
    """
    turning = [path for path in paths if path.fan is not None and path.speed_hz]
    for index, one in enumerate(turning):
        for other in turning[index + 1 :]:
            ours, theirs = ((path.fan.blades if path.fan else None) or unstated for path in (one, other))
            if ours is None or ours != theirs:
                continue
            rate = float(beat_hz(ours, one.speed_hz or 0.0, other.speed_hz or 0.0))
            if _BEAT_HZ[0] <= rate <= _BEAT_HZ[1]:
                yield Beat(one, other, rate)


def solve_noise(prepared: Prepared) -> NoiseResult | None:
    """The sound of the state itself; None when nothing in it makes any that is stated."""
    model = NoiseModel.of(prepared)
    levels = model.levels_db(prepared.nominal())
    known = [i for i, source in enumerate(model.sources) if source.sound is not None]
    if not known:
        return None
    total = float(model.total_db(levels)[0])
    background = prepared.loop.limits.background_db
    heard = None if background is None else float(energy_sum_db(np.array([total, float(background)])))
    silent = tuple(source.id for source in model.sources if source.sound is None)
    notes = tuple(_notes(model, silent))
    return NoiseResult(
        model.distance_m,
        {model.sources[i].id: float(levels[0, i]) for i in known},
        total,
        None if background is None else float(background),
        heard,
        silent,
        notes,
    )


def _fan_source(path: AirPath) -> Source:
    assert path.fan is not None
    sound = path.fan.sound
    if sound is not None and sound.speed_hz is None and path.fan.full_speed_hz is None:
        sound = None
    spread = find_spread(sound) if sound is not None else None
    count = path.live_fans() * path.in_series if path.abreast is not None else 1.0
    if path.speed_hz is None or path.abreast is None:
        sound = None
    sigma = float(spread.width) if spread else 0.0
    return Source(path.id, count, sound, sigma, spread.assumed if spread else False, path.fan.id)


def _pump_source(loop: Loop, part: PlacedPart) -> Source:
    sound = part.card.sound if isinstance(part.card, Pump) else None
    if sound is None:
        return Source(part.id, 1.0, None, 0.0, False)
    spread = find_spread(sound)
    sigma = float(spread.width) if spread else 0.0
    softer = float(loop.thresholds("soft_mount"))
    change, said, mounted = 0.0, "as its card was heard", 0.0
    if part.mounting is not None and sound.mounting is not None and part.mounting != sound.mounting:
        change = -softer if part.mounting == "soft" else softer
        said = f"mounted {part.mounting}, heard {sound.mounting}: {change:+.1f} dB"
        mounted = float(default_spreads()["pump mounting"])
    assumed = spread.assumed if spread else False
    return Source(part.id, 1.0, sound, sigma, assumed, part.card.id, mounted, change, said)


def _notes(model: NoiseModel, silent: Sequence[str]) -> Iterator[str]:
    for id_ in silent:
        yield f'sound of "{id_}": no card states it, so the sum lacks it and is too low'
    if model.prepared.loop.limits.noise_at_m is None:
        yield f"sound is told at {show(model.distance_m, 'distance_m')}, as [limits] names no noise_at"
    for beat in find_beats(model.prepared.air_model.paths):
        pair = f'"{beat.one.id}" and "{beat.other.id}"'
        yield f"fans of {pair} beat: the sound swells and falls {beat.rate_hz:.1f} times a second"
