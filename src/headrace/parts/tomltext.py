"""
A TOML file as text, as values, and with the place of every key and value.

Answers   what a file says, and in which line and column it says it
Assumes   UTF-8 text of at most MOST_BYTES; tomllib is the judge of what is TOML, the syntax tree only gives places
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from headrace.errors import BadInput, Fault, Place

if TYPE_CHECKING:
    from tree_sitter import Node

KeyPath: TypeAlias = tuple[str | int, ...]
MOST_DEEP = 50  # tables in tables; a card needs six
MOST_BYTES = 4_000_000  # a build of 500 parts is 100 kB; ten times forty of them is no longer written by a person


_LINE = 'A line is key = value; text stands in "quotes".'
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Duplicate")
_NO_TOML = {  # how the reader's own words begin: found, fix
    "Invalid value": ("here stands no value", 'Text stands in "quotes"; numbers, true and false stand bare.'),
    "Invalid statement": ("here stands no key", _LINE),
    "Invalid initial character": ("here stands no key", _LINE),
    "Expected '=' after a key": ('a key without "="', _LINE),
    "Expected newline": ("the line goes on after its value", 'Text stands in "quotes", such as length = "0.5 m".'),
    "Expected ']'": ('a head without "]"', "A head is [case], or [[part]] for one of several."),
    "Illegal character": ("a text is not closed on its line", 'Close it with a ".'),
    "Unescaped": ('a "\\" in a text', "Put the text in 'single quotes'."),
}


@dataclass(frozen=True)
class TomlText:
    """One file: the name to show, its text and its values. Places are worked out at the first question."""

    shown: str
    text: str
    data: dict[str, Any] = field(repr=False)

    @cached_property
    def _places(self) -> dict[tuple[KeyPath, bool], Place]:
        return dict(_find_places(self.shown, self.text))

    def place(self, path: KeyPath, *, key: bool = False) -> Place:
        """Place of the value at `path` (of its key with `key`); where it is absent, of what should hold it."""
        for end in range(len(path), 0, -1):
            is_key = key and end == len(path)
            found = self._places.get((path[:end], is_key)) or self._places.get((path[:end], not is_key))
            if found:
                return found
        return Place(self.shown, 1, 1)


def read_toml(path: Path, shown: str | None = None) -> TomlText:
    """Read `path`; `shown` is the name used in messages. Raises BadInput with the reason and the place."""
    name = shown or str(path)
    try:
        if path.is_dir():
            raise IsADirectoryError(21, "is a folder")
        size = path.stat().st_size
        raw = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as error:
        reason = (
            "there is no such file" if isinstance(error, FileNotFoundError) else f"cannot be read: {error.strerror}"
        )
        raise BadInput(Fault(Place(name), "", reason, "", "Check the path.")) from error
    if size > MOST_BYTES:
        limit = f"limit {MOST_BYTES / 1e6:.0f} MB"
        raise BadInput(Fault(Place(name), "", f"is {size / 1e6:.1f} MB", limit, "Is this really a build or card file?"))
    return parse_toml(_decode(raw, name), name)


def _decode(raw: bytes, name: str) -> str:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        fix = "Save it as UTF-8 text."
        raise BadInput(Fault(Place(name, line), "", "is not UTF-8 text", "", fix)) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise BadInput(Fault(Place(name, line), "", "is a binary file", "", "A build or card file is TOML text."))
    return text


def parse_toml(text: str, shown: str) -> TomlText:
    """Parse TOML text. Raises BadInput at the place of the first thing that is not TOML."""
    try:
        data = tomllib.loads(text)
        if _depth(data) > MOST_DEEP:
            raise RecursionError
        return TomlText(shown, text, data)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(_no_toml(str(error), text, shown)) from error
    except RecursionError as error:
        raise BadInput(Fault(Place(shown), "", "is nested too deeply", "", "Flatten the tables.")) from error
    except ValueError as error:
        fix = "No number of a build is that long."
        raise BadInput(Fault(Place(shown), "", "holds a number of thousands of digits", "", fix)) from error


def _no_toml(message: str, text: str, shown: str) -> Fault:
    """The fault for what the TOML reader says in its own words."""
    match = re.search(r"\(at line (\d+), column (\d+)\)", message)
    place = Place(shown, int(match[1]), int(match[2])) if match else Place(shown, text.count("\n") + 1)
    if message.startswith(_TWICE):
        return _find_twice(text, place)
    if match is None:
        return Fault(place, "", "the file ends inside a value", "", 'Close the [, { or " that is still open.')
    own = (words for start, words in _NO_TOML.items() if message.startswith(start))
    found, fix = next(own, ("this is no TOML", _LINE))
    return Fault(place, "", found, "", fix)


def _find_twice(text: str, end: Place) -> Fault:
    """The fault for the last key up to `end` that stands a second time."""
    first: dict[KeyPath, Place] = {}
    fault = Fault(end, "", "a key or table is there twice", "", "Keep one of them.")
    named: KeyPath = ()
    for (path, is_key), place in _find_places(end.file, text):
        if place.line > end.line:
            break
        if not is_key and path == named:
            continue  # the value of the key before
        named = path if is_key else ()
        if path in first:
            fault = Fault(place, "", f'"{path[-1]}" is there twice', f"first at {first[path]}", "Keep one of them.")
        first.setdefault(path, place)
    return fault


def _depth(data: object) -> int:
    """How many tables and lists stand in one another."""
    deep, level = 0, [data]
    while level and deep <= MOST_DEEP:
        deep += 1
        level = [
            inner
            for item in level
            if isinstance(item, dict | list)
            for inner in (item.values() if isinstance(item, dict) else item)
        ]
    return deep


def _find_places(shown: str, text: str) -> Iterator[tuple[tuple[KeyPath, bool], Place]]:
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    tree = Parser(Language(tree_sitter_toml.language())).parse(text.encode())
    lines = text.split("\n")
    counts: dict[KeyPath, int] = {}

    def at(node: Node) -> Place:
        row, byte = node.start_point
        column = len(lines[row].encode()[:byte].decode(errors="replace")) + 1
        return Place(shown, row + 1, column)

    def resolve(keys: tuple[str, ...]) -> KeyPath:
        path: KeyPath = ()
        for key in keys:
            path = (*path, key)
            if path in counts:
                path = (*path, counts[path])
        return path

    def value(node: Node, path: KeyPath) -> Iterator[tuple[tuple[KeyPath, bool], Place]]:
        yield (path, False), at(node)
        if node.type == "inline_table":
            yield from pairs(node, path)
        elif node.type == "array":
            items = [child for child in node.named_children if child.type != "comment"]
            for index, item in enumerate(items):
                yield from value(item, (*path, index))

    def pairs(node: Node, base: KeyPath) -> Iterator[tuple[tuple[KeyPath, bool], Place]]:
        for pair in (child for child in node.named_children if child.type == "pair"):
            key, *rest = [child for child in pair.named_children if child.type != "comment"]
            path = (*base, *_keys(key))
            yield (path, True), at(key)
            if rest:
                yield from value(rest[0], path)

    yield from pairs(tree.root_node, ())
    for table in tree.root_node.named_children:
        if table.type not in ("table", "table_array_element"):
            continue
        keys = _keys(table.named_children[0])
        path = (*resolve(keys[:-1]), keys[-1])
        if table.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
            yield (path, False), at(table)
            path = (*path, counts[path])
        yield (path, False), at(table)
        yield from pairs(table, path)


def _keys(node: Node) -> tuple[str, ...]:
    if node.type == "dotted_key":
        return tuple(key for child in node.named_children for key in _keys(child))
    text = (node.text or b"").decode()
    return (str(next(iter(tomllib.loads(f"{text} = 0")))),) if node.type == "quoted_key" else (text,)
