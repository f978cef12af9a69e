"""
The limits table: every threshold a check or an assumption uses, once, each with its mark.

Answers   what a threshold is in this build, and whether the workshop changed it
Source    the mark of each row of thresholds.csv
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from headrace.errors import Fault
from headrace.parts.faults import nearest
from headrace.parts.fields import read_level_change
from headrace.parts.tomltext import TomlText
from headrace.units import Figure, Kind, UnitFault, read_figure, read_rows


@dataclass(frozen=True)
class Threshold:
    """One row: the value in SI, its mark, what it means, and whether the build overrides it."""

    name: str
    value: Figure | float
    mark: str
    meaning: str
    overridden: bool = False


class Thresholds(dict[str, Threshold]):
    """The table by name. `thresholds("collar_gap")` is the value in SI."""

    def __call__(self, name: str) -> float:
        """The value of one threshold in SI; KeyError for a name that is not in the table."""
        return float(self[name].value)


_SLACK = 1e-9  # rounding of an end typed in another unit


def _read(text: str, kind: str) -> Figure | float:
    """The value of one row in SI. Raises UnitFault."""
    if kind == "level difference":
        return read_level_change(text)
    if kind != "number":
        return read_figure(text, Kind(kind))
    try:
        return float(text)
    except ValueError:
        raise UnitFault(f'"{text}" is no plain number', "", 'Write for example "1.5".') from None


def _read_override(text: str, row: Mapping[str, str]) -> Figure | float:
    """The value a build gives to one row. Raises UnitFault, also outside the ends of the row."""
    value = _read(text, row["kind"])
    low, high = (float(_read(row[end], row["kind"])) for end in ("low", "high"))
    slack = _SLACK * max(abs(low), abs(high))
    if not low - slack <= float(value) <= high + slack:
        limit = f"limit {row['low']} to {row['high']}: {row['beyond']}"
        raise UnitFault(f'"{text}" is out of reason', limit, f'The usual one is "{row["value"]}".')
    return value


def usual_thresholds() -> Thresholds:
    """The table as it stands, without overrides."""
    table = Thresholds()
    for row in read_rows("headrace.loop", "thresholds.csv"):
        table[row["name"]] = Threshold(row["name"], _read(row["value"], row["kind"]), row["mark"], row["meaning"])
    return table


def load_thresholds(overrides: Mapping[str, object], toml: TomlText) -> tuple[Thresholds, list[Fault]]:
    """The table with the overrides of one build, and what is wrong with them."""
    table = usual_thresholds()
    faults = []
    rows = {row["name"]: row for row in read_rows("headrace.loop", "thresholds.csv")}
    for name, text in overrides.items():
        path = ("thresholds", name)
        if name not in rows:
            place = toml.place(path, key=True)
            faults.append(Fault(place, "thresholds", f'unknown key "{name}"', "", nearest(name, rows)))
            continue
        try:
            value = _read_override(str(text), rows[name])
        except UnitFault as fault:
            faults.append(fault.at(toml.place(path), f"thresholds: {name}"))
        else:
            table[name] = Threshold(name, value, "set in this build", rows[name]["meaning"], overridden=True)
    return table, faults
