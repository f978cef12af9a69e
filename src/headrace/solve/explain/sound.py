"""
Open how loud a state is: every source at its speed, all together, and with the room's own sound on top.

Answers   which card, speed, distance, count and mounting make a level
Assumes   sources are those the solver added up, each under the id of its stack, vent or pump
Source    [iso-7779-2018] the bystander's distance
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.loop.model import PlacedPart
from headrace.parts.sound import PumpSound, SoundLevel
from headrace.physics.fan import REFERENCE_KG_M3
from headrace.physics.sound import energy_sum_db, equal_sources_db, fan_level_db, room_db
from headrace.solve.explain.explained import (
    LEVEL_STEP,
    Book,
    Explained,
    Number,
    Opened,
    formula_of,
    formulas_of,
    from_card,
    stated,
)
from headrace.solve.explain.ways import air_density, fan_speed, path_of
from headrace.solve.noise import NoiseModel, Source
from headrace.solve.solution import Solution
from headrace.units import Kind

_PUMP = "L2 = L1 + x lg(n2/n1), x from the card; common practice, no source"


def sound_numbers(solution: Solution) -> dict[str, Number]:
    """The levels of a solution; none where no card states any sound."""
    noise = solution.noise
    if noise is None:
        return {}
    numbers = {"noise": Number("level_db", {"": noise.total_db, **noise.level_db}, _noise)}
    if noise.heard_db is not None:
        numbers["noise_heard"] = Number("level_db", {"": noise.heard_db}, _heard)
    return numbers


def _noise(book: Book, id_: str, depth: int) -> Opened:
    return _source(book, id_) if id_ else _total(book, depth)


def _total(book: Book, depth: int) -> Opened:
    noise = book.solution.noise
    assert noise is not None
    known = tuple(book.open_at(f"noise.{id_}", depth) for id_ in noise.level_db)
    lacks = "no card states its sound: the sum lacks it"
    silent = tuple(Explained(id_, "not stated", said=lacks) for id_ in noise.silent)
    return Opened((formula_of(energy_sum_db),), (*known, *silent))


def _heard(book: Book, _id: str, depth: int) -> Opened:
    place, limits = book.loop.limits_place, book.loop.limits
    background = stated("background", limits.background_db, "level_db", place)
    return Opened((formula_of(energy_sum_db),), (book.open_at("noise", depth), background))


def _source(book: Book, id_: str) -> Opened:
    source = next(source for source in NoiseModel.of(book.prepared).sources if source.id == id_)
    sound = source.sound
    assert sound is not None
    part = next((part for part in book.loop.parts if part.id == id_ and isinstance(sound, PumpSound)), None)
    speeds = _fan_speeds(book, id_, sound) if part is None else _pump_speeds(book, part, sound)
    inputs = (
        Explained("level", float(sound.level_db), "level_db", (), _card_said(book, id_, part)),
        *speeds,
        Explained("exponent: dB for ten times the speed", sound.exponent),
        Explained("number of them", source.count),
        Explained("stated at", float(sound.distance_m), "distance_m"),
        _listener(book),
        *(_mounting(book, source) if part is not None else ()),
    )
    by_speed = formula_of(fan_level_db) if part is None else _PUMP
    return Opened((by_speed, *formulas_of(equal_sources_db, room_db)), inputs)


def _card_said(book: Book, id_: str, part: PlacedPart | None) -> str:
    if part is not None:
        return from_card(part.card, "sound", part.place)
    path = path_of(book, id_)
    assert path.fan is not None
    return from_card(path.fan, "sound", path.place)


def _fan_speeds(book: Book, id_: str, sound: SoundLevel | PumpSound) -> Iterator[Explained]:
    path = path_of(book, id_)
    assert isinstance(sound, SoundLevel)
    assert path.fan is not None
    yield fan_speed(book, id_)
    full = path.fan.full_speed_hz
    said = "" if sound.speed_hz is not None else "the full speed of its card"
    yield Explained("speed of the level", float(sound.speed_hz or full or 1.0), "speed_hz", (), said)
    density = air_density(book, book.solution.room_k)
    yield density
    yield Explained("density of the level", REFERENCE_KG_M3, "density_kg_m3", (), "common practice, no source")


def _pump_speeds(book: Book, part: PlacedPart, sound: SoundLevel | PumpSound) -> Iterator[Explained]:
    assert isinstance(sound, PumpSound)
    figure, place = book.state.speed.get(part.id), book.state.place
    value = book.prepared.pump_speed_frac(part.id)
    if figure is None:
        said = f"full speed: none is stated in {place}"
    else:
        said = stated("", figure, "", place).said
        said += " over the full speed of its card" if figure.kind is Kind.SPEED else ""
    yield Explained("speed", value, "speed_frac", (), said)
    yield Explained("speed of the level", float(sound.speed_frac), "speed_frac")


def _listener(book: Book) -> Explained:
    distance = book.loop.limits.noise_at_m
    noise = book.solution.noise
    assert noise is not None
    if distance is not None:
        return stated("listener at", distance, "distance_m", book.loop.limits_place)
    said = "not stated: where a bystander stands [iso-7779-2018]"
    return Explained("listener at", noise.distance_m, "distance_m", (), said)


def _mounting(book: Book, source: Source) -> Iterator[Explained]:
    """What other feet than those it was heard on take off or add."""
    inputs = (book.threshold("soft_mount"),) if source.mounting_db else ()
    yield Explained("mounting", source.mounting_db, LEVEL_STEP, (), source.said, inputs)
