"""The report of cards: a list, or one card with every value it states."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel

from headrace.parts.card import Card
from headrace.parts.fields import Record
from headrace.parts.spread import find_spread
from headrace.report.tree import Branch, Cell, Column, Line, Section, Table
from headrace.units import Figure, Kind, Unit, show


def report_cards(cards: Iterable[Card]) -> Section:
    """One row a card, by kind and id."""
    rows = sorted((str(getattr(card, "kind", "")), card.id, card.name, card.invented) for card in cards)
    columns = (Column("kind"), Column("card"), Column("name"), Column("data"))
    return Section(
        f"{len(rows)} cards",
        (
            Table(
                columns,
                tuple((Cell(k), Cell(i), Cell(n), Cell("invented" if v else "stated", "quiet")) for k, i, n, v in rows),
            ),
        ),
    )


def report_card(card: Card) -> Section:
    """Every value a card states, as it was typed; what is not stated is unknown."""
    return Section(f"{card.id}: {card.name}" if card.name else card.id, (_branch("states", card),))


def _branch(name: str, record: BaseModel) -> Branch:
    below = []
    for field_name in type(record).model_fields:
        if field_name not in record.model_fields_set or field_name in ("id", "name"):
            continue
        alias = type(record).model_fields[field_name].alias or field_name
        below += _value(alias, getattr(record, field_name), field_name)
    spread = find_spread(record) if isinstance(record, Record) else None
    lines = (Line(f"known to {spread}", "quiet"),) if spread else ()
    return Branch(name, lines, tuple(below))


def _value(name: str, value: Any, field_name: str) -> list[Branch]:  # noqa: ANN401 - any value a card may hold
    if isinstance(value, BaseModel):
        return [_branch(name, value)]
    if isinstance(value, Figure):
        return [Branch(f"{name} = {value.text or show(value, value.kind)}")]
    if isinstance(value, Unit):
        return [Branch(f"{name} in {value.text}")]
    if isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
        return [_branch(f"{name} {getattr(item, 'name', number)}", item) for number, item in enumerate(value, 1)]
    if field_name.endswith("_m") and isinstance(value, tuple):
        return [Branch(f"{name} = {_millimetres(value)}")]
    return [Branch(f"{name} = {_plain(value)}")]


def _millimetres(value: Any) -> str:  # noqa: ANN401 - nested tuples of metres
    if isinstance(value, tuple):
        return "[" + ", ".join(_millimetres(item) for item in value) + "]"
    return show(value, Kind.POSITION, unit="mm").removesuffix(" mm")


def _plain(value: Any) -> str:  # noqa: ANN401 - any plain value
    if isinstance(value, tuple):
        return "[" + ", ".join(_plain(item) for item in value) + "]"
    return str(value).lower() if isinstance(value, bool) else f"{value:g}" if isinstance(value, float) else str(value)
