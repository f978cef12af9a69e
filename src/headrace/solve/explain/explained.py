"""
What an opened number is made of, and what opens it: the loop, its state, its solution.

Answers   which formulas, place and inputs a number has, and how a stated value is told
Assumes   the formula text is the second paragraph of the formula's own docstring, so that it stands once
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from headrace.loop.model import Loop, State
from headrace.loop.route import stated_route
from headrace.parts.card import Card
from headrace.parts.fields import Record
from headrace.parts.spread import Spread, default_spreads, find_spread
from headrace.solve.prepared import Prepared
from headrace.solve.solution import LinkResult, RadiatorResult, Solution
from headrace.units import Figure

LEVEL_STEP = "diff_db"  # unit of a difference of levels: dB, not dBA
_CODE = re.compile(r" as in `\w+`")  # a docstring names another formula so
_KEY = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)+)\]")


@dataclass(frozen=True)
class Explained:
    """One number opened: its formulas, where it was stated, and the numbers it was made from.

    `unit` is a name that ends in a suffix of the closed list. With `closed` it can be opened by asking for its name.
    """

    name: str
    value: float | str
    unit: str = ""
    formulas: tuple[str, ...] = ()
    said: str = ""
    inputs: tuple[Explained, ...] = ()
    closed: bool = False

    @property
    def sources(self) -> tuple[str, ...]:
        """The source keys named by the formulas and the text of this number alone."""
        return tuple(dict.fromkeys(_KEY.findall(" ".join((*self.formulas, self.said)))))


class Opened(NamedTuple):
    """What an opener finds out about one number."""

    formulas: tuple[str, ...]
    inputs: tuple[Explained, ...] = ()
    said: str = ""


class Number(NamedTuple):
    """The numbers under one head: their unit, their values by id ("" for a number alone), and how one opens."""

    unit: str
    values: Mapping[str, float]
    opener: Callable[[Book, str, int], Opened]


def formula_of(function: Callable[..., Any]) -> str:
    """The formula a function computes, as its docstring writes it, with its source key."""
    paragraphs = inspect.cleandoc(function.__doc__ or "").split("\n\n")
    text = paragraphs[1] if len(paragraphs) > 1 else paragraphs[0]
    return re.sub(r" {4,}", "; ", _CODE.sub(" by the formula below", re.sub(r"\s*\n\s*", " ", text)))


def formulas_of(*functions: Callable[..., Any]) -> tuple[str, ...]:
    """The formulas of several functions, each text once."""
    return tuple(dict.fromkeys(formula_of(function) for function in functions))


def stated(name: str, figure: float | None, unit: str, place: object, spread: str = "") -> Explained:
    """A value from a file, with its text and where it stands; `spread` names the default of a value without ±."""
    if figure is None:
        return Explained(name, "not stated", said=f"missing in {place}")
    typed = f' as "{figure.text}"' if isinstance(figure, Figure) and figure.text else ""
    origin = f", {figure.origin}" if isinstance(figure, Figure) and figure.origin else ""
    wide = isinstance(figure, Figure) and figure.sigma is not None
    known = "" if wide or not spread else f", {Spread(default_spreads()[spread], assumed=True)}"
    return Explained(name, float(figure), unit, (), f"stated in {place}{typed}{origin}{known}")


def from_card(card: Card, key: str, place: object, spread_of: str = "") -> str:
    """Which card a value comes from, how well it is known, and where the card is used.

    Origin and spread are those of what stands under `key`; what is only computed from it has the default `spread_of`.
    """
    record = card if find_spread(card) else getattr(card, key, None)
    record = record[0] if isinstance(record, tuple) and record else record
    spread = find_spread(record) if isinstance(record, Record) else None
    spread = Spread(default_spreads()[spread_of], assumed=True) if spread_of else spread
    own = None if record is card else getattr(record, "origin", None)
    words = [own or card.origin_of(key), str(spread) if spread else None, "invented" if card.invented else None]
    known = ", ".join(word for word in words if word)
    return f'from card "{card.id}"{f" ({known})" if known else ""}, used in {place}'


class Book:
    """One solution with the loop and state it is of; openers read it and open each other's numbers through it."""

    def __init__(self, loop: Loop, state: State, solution: Solution) -> None:
        self.loop, self.state, self.solution = loop, state, solution
        self.links: dict[str, LinkResult] = {link.id: link for link in solution.links}
        self.radiators: dict[str, RadiatorResult] = {radiator.part: radiator for radiator in solution.radiators}
        self.numbers: dict[str, Number] = {}

    @cached_property
    def prepared(self) -> Prepared:
        """What the solver was given: ways of the air, cores, sources of sound."""
        return Prepared.of(self.loop, stated_route(self.loop), self.state)

    def open_at(self, name: str, depth: int) -> Explained:
        """The number called `name`, closed when no depth is left; KeyError when there is none."""
        head, _, id_ = name.partition(".")
        unit, values, opener = self.numbers[head]
        value = values[id_]
        if depth <= 0:
            return Explained(name, value, unit, closed=True)
        opened = opener(self, id_, depth - 1)
        return Explained(name, value, unit, opened.formulas, opened.said, opened.inputs)

    def threshold(self, key: str) -> Explained:
        """A threshold, with its meaning and mark."""
        row = self.loop.thresholds[key]
        figure = row.value if isinstance(row.value, Figure) else None
        unit = "" if figure is None else LEVEL_STEP if figure.unit == "dB" else str(figure.kind)
        return Explained(f"threshold.{key}", float(row.value), unit, (row.meaning,), row.mark)

    def room(self) -> Explained:
        """The room of this state."""
        return stated("room", self.state.room_k, "temp_k", self.state.place, "room")

    def part_card(self, part: str, key: str, spread_of: str = "") -> str:
        """Which card a value of a part comes from; empty for what is no part."""
        placed = next((placed for placed in self.loop.parts if placed.id == part), None)
        return "" if placed is None else from_card(placed.card, key, placed.place, spread_of)

    def cooling_link(self, part: str) -> LinkResult:
        """The passage in which a radiator cools."""
        return next(link for link in self.solution.links if link.owner == part and link.does == "cool")


def outlet(link: LinkResult) -> str:
    """The port at which the water leaves a link."""
    return link.end if link.flow_m3_s >= 0 else link.start


def inlet(link: LinkResult) -> str:
    """The port at which the water enters a link."""
    return link.start if link.flow_m3_s >= 0 else link.end
