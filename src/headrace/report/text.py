"""A report tree on a terminal: tables that fit, colour only where a terminal can show it."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text
from rich.tree import Tree

from headrace.report.tree import Branch, Item, Line, Section, Table, Tone

_LABEL = 10  # the width of the longest check id
_STYLES: dict[Tone, str] = {"": "", "good": "green", "warn": "yellow", "bad": "bold red", "quiet": "dim"}


def clean(text: str) -> str:
    """Text without control characters: what a person wrote must not steer the terminal."""
    return "".join(char if char.isprintable() or char == "\n" else "\N{REPLACEMENT CHARACTER}" for char in text)


def print_report(report: Section, console: Console, level: int = 0) -> None:
    """Print `report`. Text that a person wrote is never taken as markup."""
    if level:
        console.print()
    if report.title:
        console.print(Text(clean(report.title), style="bold"))
    for item in report.body:
        if isinstance(item, Section):
            print_report(item, console, level + 1)
        elif isinstance(item, Table):
            console.print(_table(item))
        elif isinstance(item, Branch):
            console.print(_tree(item))
        elif isinstance(item, Item):
            console.print(_item(item))
        else:
            console.print(_line(item))


def _line(line: Line) -> Text:
    return Text(clean(line.text), style=_STYLES[line.tone])


def _item(item: Item) -> RichTable:
    """The label in a column of its own, so that long text hangs beside it."""
    grid = RichTable.grid(padding=(0, 2))
    grid.add_column(no_wrap=True, min_width=_LABEL)
    grid.add_column(overflow="fold")
    grid.add_row(Text(clean(item.label), style=_STYLES[item.tone]), Text(clean(item.text)))
    if item.more:
        grid.add_row("", Text(clean(item.more), style=_STYLES["quiet"]))
    return grid


def _table(table: Table) -> RichTable:
    rich = RichTable(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False, header_style="dim")
    for column in table.columns:
        rich.add_column(
            Text(clean(column.head)),
            justify="right" if column.number else "left",
            overflow="fold",
            no_wrap=column.number,
        )
    for row in table.rows:
        rich.add_row(*(Text(clean(cell.text), style=_STYLES[cell.tone]) for cell in row))
    return rich


def _tree(branch: Branch) -> Tree:
    tree = Tree(Text(clean(branch.text)), guide_style="dim")
    _grow(tree, branch)
    return tree


def _grow(tree: Tree, branch: Branch) -> None:
    for line in branch.lines:
        tree.add(_line(line))
    for below in branch.below:
        _grow(tree.add(Text(clean(below.text))), below)
