"""How well a stated value is known: as the card says, or by the default of its kind, and then named assumed.

Answers   one standard uncertainty of a curve, law or scalar, and whether anybody stated it
Source    the first line of spreads.csv
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from headrace.parts.air import FanTable
from headrace.parts.block import BlockResistance
from headrace.parts.fields import Record
from headrace.parts.loss import Loss
from headrace.parts.pump import PowerTable, PumpTable
from headrace.parts.radiator import StrengthTable, UaLaw
from headrace.units import Kind, read_figure, read_rows, show

_KINDS: dict[type[Record], str] = {
    PumpTable: "pump curve",
    PowerTable: "power",
    BlockResistance: "resistance",
    StrengthTable: "strength",
    UaLaw: "ua law",
    FanTable: "fan curve",
}


@dataclass(frozen=True)
class Spread:
    """One standard uncertainty as a share of the value."""

    spread_frac: float
    assumed: bool

    def __str__(self) -> str:
        return f"± {show(self.spread_frac, 'spread_frac')}{' (assumed)' if self.assumed else ''}"


@cache
def default_spreads() -> dict[str, float]:
    """The default of each kind."""
    rows = read_rows("headrace.parts", "spreads.csv")
    return {row["kind"]: float(read_figure(row["spread"], Kind.FRACTION)) for row in rows}


def find_spread(record: Record) -> Spread | None:
    """The uncertainty of a curve or law of a card; None for a record that is neither."""
    kind = _loss_kind(record) if isinstance(record, Loss) else _KINDS.get(type(record))
    if kind is None:
        return None
    stated = getattr(record, "spread_frac", None)
    value = record.value_k_w if isinstance(record, BlockResistance) else None
    if stated is None and value is not None:
        stated = value.relative
    return Spread(default_spreads()[kind], assumed=True) if stated is None else Spread(float(stated), assumed=False)


def _loss_kind(loss: Loss) -> str:
    if loss.kv_m3_s is not None:
        return "valve"
    return "loss points" if loss.fit() is not None else "loss coefficient"
