"""
Read a build folder into a loop.

Answers   what is built, or everything that is wrong with its files: line, column, what to write instead
Assumes   `build.toml` and `parts/*.toml` are the only files read here
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from headrace.errors import BadInput, Fault, Place
from headrace.loop.airfile import StackEntry, VentEntry
from headrace.loop.buildfile import (
    BuildFile,
    CaseEntry,
    CoolantEntry,
    DefaultsEntry,
    JointEntry,
    LeadEntry,
    LimitsEntry,
    OrderEntry,
    PartEntry,
    PortEntry,
    RunEntry,
    StateEntry,
)
from headrace.loop.handling import HandlingEntry, WaiverEntry
from headrace.loop.linker import Linker
from headrace.loop.model import Loop
from headrace.loop.names import Names, Read
from headrace.loop.thresholds import load_thresholds
from headrace.parts.card import Card
from headrace.parts.faults import read_table
from headrace.parts.fields import Record
from headrace.parts.loader import Cards, find_format_faults, load_cards, load_catalogue
from headrace.parts.tomltext import TomlText, parse_toml, read_toml

R = TypeVar("R", bound=Record)
_LISTS: dict[str, type[Record]] = {
    "part": PartEntry,
    "run": RunEntry,
    "joint": JointEntry,
    "port": PortEntry,
    "order": OrderEntry,
    "stack": StackEntry,
    "vent": VentEntry,
    "lead": LeadEntry,
    "state": StateEntry,
    "waiver": WaiverEntry,
}


MORE = "more may follow once these are cured"
_HEADS: dict[str, Record] = {
    "coolant": CoolantEntry(),
    "defaults": DefaultsEntry(),
    "limits": LimitsEntry(),
    "handling": HandlingEntry(),
}


def load_build(folder: Path) -> Loop:
    """The loop of a build folder. Raises BadInput with every fault of build.toml and of its part files."""
    path = folder / "build.toml" if folder.is_dir() or not folder.suffix else folder
    if folder.is_dir() and not path.exists():
        fix = "Name a folder with a build.toml, or make one with: headrace new FOLDER"
        raise BadInput(Fault(Place(str(folder)), "", "there is no build.toml in this folder", "", fix))
    toml = read_toml(path)
    faults: list[Fault] = []
    cards = load_catalogue()
    try:
        cards = load_own_cards(path.parent)
    except BadInput as error:
        faults += error.faults
    return _link(toml, cards, faults)


def load_own_cards(folder: Path) -> Cards:
    """The catalogue and, over it, the cards of a build folder. Raises BadInput."""
    own = sorted((folder / "parts").glob("*.toml"))
    return load_cards(own, load_catalogue()) if own else load_catalogue()


def parse_build(text: str, shown: str = "build.toml", cards: Mapping[str, Card] | None = None) -> Loop:
    """The loop of a build text, with the catalogue or with `cards`. Raises BadInput."""
    return _link(parse_toml(text, shown), load_catalogue() if cards is None else cards, [])


def _link(toml: TomlText, cards: Mapping[str, Card], faults: list[Fault]) -> Loop:
    cards_known = not faults
    faults += find_format_faults(toml, {field.alias or name for name, field in BuildFile.model_fields.items()})
    heads: dict[str, Record] = dict(_HEADS)
    for key, model in (
        ("case", CaseEntry),
        ("coolant", CoolantEntry),
        ("defaults", DefaultsEntry),
        ("limits", LimitsEntry),
        ("handling", HandlingEntry),
    ):
        raw = toml.data.get(key, {})
        if key == "case" and key not in toml.data:
            continue
        entry, found = read_table(model, toml, (key,), raw, key)
        faults += found
        if entry is not None:
            heads[key] = entry
        elif key == "defaults":
            del heads[key]
    lists = {key: _read_list(key, model, toml, faults) for key, model in _LISTS.items()}
    faults += _text_faults(toml)
    overrides = toml.data.get("thresholds", {})
    thresholds, found = load_thresholds(overrides if isinstance(overrides, dict) else {}, toml)
    faults += found
    names = Names(toml, cards, lists, faults, cards_known)
    loop = Linker(names, heads, thresholds).link()
    if faults:
        order = {fault: (fault.place.file != toml.shown, fault.place.line, fault.place.column) for fault in faults}
        unread = (
            not cards_known
            or "defaults" not in heads
            or any(r.entry is None for reads in lists.values() for r in reads)
        )
        last = [Fault(Place(toml.shown), "", MORE)] if unread else []  # names in what did not read are not looked up
        raise BadInput(*sorted(order, key=order.__getitem__), *last)
    return loop


def _read_list(key: str, model: type[R], toml: TomlText, faults: list[Fault]) -> list[Read[R]]:
    raws = toml.data.get(key, [])
    if not isinstance(raws, list):
        fix = f"Write [[{key}]] with two brackets."
        faults.append(Fault(toml.place((key,)), key, "is one table, a list of tables is wanted", "", fix))
        return []
    entries = []
    for index, raw in enumerate(raws):
        entry, found = read_table(model, toml, (key, index), raw, _label(key, index, raw))
        faults += found
        entries.append(Read(entry, raw if isinstance(raw, dict) else {}, (key, index)))
    return entries


def _label(key: str, index: int, raw: Any) -> str:  # noqa: ANN401 - a raw file value
    """How a message names one table: by its id, its name, its ends, else by its number."""
    if isinstance(raw, dict):
        for name in ("id", "name", "at", "part"):
            if isinstance(raw.get(name), str):
                return f'{key} "{raw[name]}"'
        if isinstance(raw.get("from"), str):
            return f'{key} "{raw["from"]} to {raw.get("to", "?")}"'
    return f"{key} {index + 1}"


def _text_faults(toml: TomlText) -> list[Fault]:
    faults = []
    for key, kind, word in (
        ("name", str, "text in quotes"),
        ("note", str, "text in quotes"),
        ("invented", bool, "true or false"),
        ("thresholds", dict, "a table"),
    ):
        if key in toml.data and not isinstance(toml.data[key], kind):
            faults.append(Fault(toml.place((key,)), key, f"{toml.data[key]!r} is not {word}"))
    return faults
