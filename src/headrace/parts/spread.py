"""How well a stated value is known: as the card says, or by the default of its kind, and then named assumed.

Answers   one standard uncertainty of a curve, law, level or scalar, and whether anybody stated it
Assumes   a spread in % is a share of the value, any other (dB, K) is added to it
Source    the first line of spreads.csv
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from headrace.parts.air import FanTable, Screen
from headrace.parts.block import BlockResistance
from headrace.parts.core import AirLoss, CoreGeometry
from headrace.parts.fields import Record, read_level_change
from headrace.parts.loss import Loss
from headrace.parts.pump import PowerTable, PumpTable
from headrace.parts.radiator import StrengthTable, UaLaw
from headrace.parts.sound import PumpSound, SoundLevel
from headrace.units import Figure, Kind, read_either, read_rows, show

_KINDS: dict[type[Record], str] = {
    PumpTable: "pump curve",
    PowerTable: "power",
    BlockResistance: "resistance",
    StrengthTable: "strength",
    UaLaw: "ua law",
    CoreGeometry: "geometry",
    AirLoss: "air loss",
    FanTable: "fan curve",
    Screen: "screen loss",
    SoundLevel: "fan sound",
    PumpSound: "pump sound",
}


@dataclass(frozen=True)
class Spread:
    """One standard uncertainty: a share of the value where its kind is a fraction, else in the value's own unit."""

    width: Figure
    assumed: bool

    def __str__(self) -> str:
        width = show(self.width, self.width.kind)
        if self.width.kind is Kind.SOUND:
            width = width.replace("dBA", "dB")  # a difference of levels
        return f"± {width}{' (assumed)' if self.assumed else ''}"


@cache
def default_spreads() -> dict[str, Figure]:
    """The default of each kind."""
    return {row["kind"]: _read(row["spread"]) for row in read_rows("headrace.parts", "spreads.csv")}


def _read(text: str) -> Figure:
    return read_level_change(text) if text.endswith("dB") else read_either(text, Kind.FRACTION, Kind.TEMP_DIFFERENCE)


def find_spread(record: Record) -> Spread | None:
    """The uncertainty of a curve, law or level of a card; None for a record that is none of these."""
    kind = _loss_kind(record) if isinstance(record, Loss) else _KINDS.get(type(record))
    if kind is None:
        return None
    stated = _stated(record)
    return Spread(default_spreads()[kind], assumed=True) if stated is None else Spread(stated, assumed=False)


def _stated(record: Record) -> Figure | None:
    """What the record says itself: its `spread`, or the ± of its one value."""
    if isinstance(record, SoundLevel | PumpSound):
        sigma = record.level_db.sigma
        return None if sigma is None else Figure(sigma, Kind.SOUND, unit="dB")
    spread: Figure | None = getattr(record, "spread_frac", None)
    value = getattr(record, "value_k_w", None) if not isinstance(record, Screen) else record.face_loss_pa
    if spread is None and value is not None and value.relative is not None:
        return Figure(value.relative, Kind.FRACTION)
    return spread


def _loss_kind(loss: Loss) -> str:
    if loss.kv_m3_s is not None:
        return "valve"
    return "loss points" if loss.fit() is not None else "loss coefficient"
