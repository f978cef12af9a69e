"""A report tree on a terminal: tables that fit, colour only where a terminal can show it."""

from __future__ import annotations

from collections.abc import Iterator

from rich import box
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table as RichTable
from rich.text import Text
from rich.tree import Tree

from headrace.report.fit import GLUE, find_widths, glued, glued_cell
from headrace.report.tree import Branch, Cell, Column, Item, Line, Section, Table, Tone

_LABEL = 10  # the width of the longest check id
_STYLES: dict[Tone, str] = {"": "", "good": "green", "warn": "yellow", "bad": "bold red", "quiet": "dim"}


def clean(text: str) -> str:
    """Text without control characters: what a person wrote must not steer the terminal."""
    return "".join(char if char.isprintable() or char == "\n" else "\N{REPLACEMENT CHARACTER}" for char in text)


class _Unglued:
    """What is printed, with ordinary spaces where the layout must not break."""

    def __init__(self, laid_out: RenderableType) -> None:
        self.laid_out = laid_out

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for segment in console.render(self.laid_out, options):
            yield Segment(segment.text.replace(GLUE, " "), segment.style, segment.control)


def print_report(report: Section, console: Console, level: int = 0) -> None:
    """Print `report`. Text that a person wrote is never taken as markup."""
    if level:
        console.print()
    if report.title:
        console.print(_Unglued(Text(glued(clean(report.title)), style="bold")))
    for item in report.body:
        if isinstance(item, Section):
            print_report(item, console, level + 1)
        elif isinstance(item, Table):
            for part in _table(item, console.width):
                console.print(_Unglued(part))
        elif isinstance(item, Branch):
            console.print(_Unglued(_tree(item)))
        elif isinstance(item, Item):
            console.print(_Unglued(_item(item)))
        else:
            console.print(_Unglued(_line(item)))


def _line(line: Line) -> Text:
    return Text(glued(clean(line.text)), style=_STYLES[line.tone])


def _item(item: Item) -> RichTable:
    """The label in a column of its own, so that long text hangs beside it."""
    grid = RichTable.grid(padding=(0, 2))
    grid.add_column(no_wrap=True, min_width=_LABEL)
    grid.add_column(overflow="fold")
    grid.add_row(Text(clean(item.label), style=_STYLES[item.tone]), Text(glued(clean(item.text))))
    if item.more:
        grid.add_row("", Text(glued(clean(item.more)), style=_STYLES["quiet"]))
    return grid


def _table(table: Table, room: int) -> Iterator[RenderableType]:
    """Rows under heads; where the terminal is too narrow for that, a block of lines each."""
    widths = find_widths(table, room)
    if widths is None:
        for row in table.rows:
            yield from _block(table.columns, row)
        return
    rich = RichTable(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False, header_style="dim")
    for column, width in zip(table.columns, widths, strict=True):
        rich.add_column(
            Text(clean(column.head)), justify="right" if column.number else "left", overflow="fold", width=width
        )
    for row in table.rows:
        rich.add_row(*(_cell(column, cell) for column, cell in zip(table.columns, row, strict=True)))
    yield rich


def _cell(column: Column, cell: Cell) -> Text:
    return Text(glued_cell(column, clean(cell.text)), style=_STYLES[cell.tone])


def _block(columns: tuple[Column, ...], row: tuple[Cell, ...]) -> Iterator[RenderableType]:
    """One row as lines "head: value", all but the first set in; what is empty is left out."""
    said = [(column, cell) for column, cell in zip(columns, row, strict=True) if cell.text]
    for place, (column, cell) in enumerate(said):
        head = f"{clean(column.head)}: " if column.head else ""
        yield Padding(Text.assemble((head, "dim"), _cell(column, cell)), (0, 0, 0, 2 if place else 0), expand=False)


def _tree(branch: Branch) -> Tree:
    tree = Tree(Text(glued(clean(branch.text))), guide_style="dim")
    _grow(tree, branch)
    return tree


def _grow(tree: Tree, branch: Branch) -> None:
    for line in branch.lines:
        tree.add(_line(line))
    for below in branch.below:
        _grow(tree.add(Text(glued(clean(below.text)))), below)
