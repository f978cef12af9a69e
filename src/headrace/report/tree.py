"""The report tree: plain values that every rendering reads."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

Tone: TypeAlias = Literal["", "good", "warn", "bad", "quiet"]


@dataclass(frozen=True)
class Cell:
    """One text in a table or line, with its tone; numbers stand right."""

    text: str
    tone: Tone = ""


@dataclass(frozen=True)
class Column:
    """A column head; `number` columns stand right."""

    head: str
    number: bool = False


@dataclass(frozen=True)
class Table:
    """Rows under heads; every row has one cell a column."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Line:
    """One sentence."""

    text: str
    tone: Tone = ""


@dataclass(frozen=True)
class Item:
    """A labelled entry of a list: what it says, and below it in a quieter voice what follows from it."""

    label: str
    text: str
    more: str = ""
    tone: Tone = ""


@dataclass(frozen=True)
class Branch:
    """A node of an opened number: its text, the lines under it, and the numbers it was made from."""

    text: str
    lines: tuple[Line, ...] = ()
    below: tuple[Branch, ...] = ()


@dataclass(frozen=True)
class Section:
    """A title and what stands under it."""

    title: str
    body: tuple[Section | Table | Line | Item | Branch, ...] = field(default_factory=tuple)
