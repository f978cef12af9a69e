"""How a table fits a terminal: what never breaks, how wide each column is, and when rows become blocks.

Answers   widths of the columns of a table in so many letters, or that it needs more
Assumes   a number and its unit never part, nor does a word of up to 24 letters
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len

from headrace.report.tree import Column, Table
from headrace.units.table import ROWS

GLUE = "\ue000"  # a blank that never breaks; no-break spaces do in rich
GAP = 2  # letters between two columns
_WORD = 24  # longer ids may break
_UNITS = sorted({row.spellings.split("|")[0] for rows in ROWS.values() for row in rows} - {""}, key=len, reverse=True)
_NUMBER = re.compile(rf"(?<=[\d.]) (?=(?:{'|'.join(map(re.escape, [*_UNITS, 'dB', 'm³/h']))})(?![\w/]))")


def glued(text: str) -> str:
    """Text in which no number parts from its unit."""
    return _NUMBER.sub(GLUE, text)


def glued_cell(column: Column, text: str) -> str:
    """The text of a cell; all of a number stays on one line."""
    return text.replace(" ", GLUE) if column.number else glued(text)


def find_widths(table: Table, room: int) -> list[int] | None:
    """The width of each column within `room` letters; None when that cannot be without breaking a word or a number."""
    cells = [[glued_cell(column, row[i].text) for row in table.rows] for i, column in enumerate(table.columns)]
    least = [_least(column, texts) for column, texts in zip(table.columns, cells, strict=True)]
    widths = [max(map(cell_len, (c.head, *texts))) for c, texts in zip(table.columns, cells, strict=True)]
    room -= GAP * (len(widths) - 1)
    if sum(least) > room:
        return None
    while sum(widths) > room:
        widest = max((i for i, width in enumerate(widths) if width > least[i]), key=lambda i: widths[i])
        widths[widest] -= 1
    return widths


def _least(column: Column, texts: Sequence[str]) -> int:
    """Width of the longest word: whole for a number and for heads, up to 24 letters for other text."""
    head, *longest = (max(map(cell_len, text.split(" "))) for text in (column.head, *texts))
    return max(head, *(width if column.number else min(width, _WORD) for width in longest), 1)
