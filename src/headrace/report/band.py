"""Bands beside the numbers: what a state is likely to be, the chance of meeting each limit, what widens it most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from headrace.report.tree import Line
from headrace.solve.band import Band, Contributor
from headrace.units import show, show_span

_NAMED = 3
_SURE_FRAC = 0.01  # nearer to never or always the samples cannot tell


def band_text(band: Band | None, quantity: str, id_: str = "", unit: str | None = None) -> str:
    """The band of one output as text: "76.9 to 89.2 °C"; empty without one."""
    pair = None if band is None else band.bands.get(quantity, {}).get(id_)
    return "" if pair is None else show_span(*pair, quantity, unit=unit)


def beside(band: Band | None, quantity: str, id_: str = "", unit: str | None = None) -> str:
    """The band of one output in brackets behind its number; empty without one."""
    text = band_text(band, quantity, id_, unit)
    return f" ({text})" if text else ""


def report_band(band: Band) -> Iterator[Line]:
    """What the bands mean, the chances, and what widens them."""
    yield Line(
        f"in brackets: 90 % bands from {band.samples} samples of everything uncertain; one time in ten it lies outside"
    )
    if band.chance_frac:
        chances = ", ".join(f"{name} {_chance(chance)}" for name, chance in band.chance_frac.items())
        yield Line(f"chance of keeping each limit: {chances}")
    for what, ranked in (("the hottest coolant", band.contributors), *_of_chips(band)):
        if ranked:
            yield Line(f"what widens {what} most: {_named(ranked)}")
    yield Line("ranked by the share of its variance each explains alone (squared correlation)", "quiet")
    yield from (Line(f"note: {note}", "quiet") for note in band.notes)


def _chance(chance: float) -> str:
    """A chance in words that do not claim more than the samples know."""
    if chance < _SURE_FRAC:
        return f"under {show(_SURE_FRAC, 'x_frac')}"
    if chance > 1.0 - _SURE_FRAC:
        return f"over {show(1.0 - _SURE_FRAC, 'x_frac')}"
    return show(chance, "x_frac", digits=0)


def _of_chips(band: Band) -> Iterator[tuple[str, Sequence[Contributor]]]:
    for name, ranked in band.by_output.items():
        quantity, _, part = name.partition(".")
        if quantity == "part_temp_k":
            yield f"the chip of {part}", ranked


def _named(ranked: Sequence[Contributor]) -> str:
    return ", ".join(
        f"{item.name} {show(item.share_frac, 'share_frac', digits=0)}{' (assumed)' if item.assumed else ''}"
        for item in ranked[:_NAMED]
    )


def band_json(band: Band) -> dict[str, Any]:
    """Bands under the keys of the solution, [low, high] in SI; a quantity without ids has its pair alone."""
    pairs = {
        quantity: list(found[""]) if "" in found else {id_: list(pair) for id_, pair in found.items()}
        for quantity, found in band.bands.items()
    }
    return {
        **pairs,
        "samples": band.samples,
        "chance_frac": dict(band.chance_frac),
        "contributors": _ranked_json(band.contributors),
        "contributors_by_output": {name.rstrip("."): _ranked_json(ranked) for name, ranked in band.by_output.items()},
        "notes": list(band.notes),
    }


def _ranked_json(ranked: Sequence[Contributor]) -> list[dict[str, Any]]:
    return [{"name": c.name, "share_frac": c.share_frac, "assumed": c.assumed} for c in ranked]
