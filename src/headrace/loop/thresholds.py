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


MOST_FACTOR = 10.0  # a factor beyond this no longer guards anything


def _read(text: str, kind: str) -> Figure | float:
    """The value of one row in SI. Raises UnitFault, or ValueError for a number that would switch a check off."""
    if kind == "level difference":
        return read_level_change(text)
    if kind != "number":
        return read_figure(text, Kind(kind))
    value = float(text)
    if not 0.0 < value <= MOST_FACTOR:
        raise ValueError(text)
    return value


def load_thresholds(overrides: Mapping[str, object], toml: TomlText) -> tuple[Thresholds, list[Fault]]:
    """The table with the overrides of one build, and what is wrong with them."""
    table = Thresholds()
    faults = []
    rows = {row["name"]: row for row in read_rows("headrace.loop", "thresholds.csv")}
    for name, row in rows.items():
        table[name] = Threshold(name, _read(row["value"], row["kind"]), row["mark"], row["meaning"])
    for name, text in overrides.items():
        path = ("thresholds", name)
        if name not in rows:
            faults.append(
                Fault(toml.place(path, key=True), "thresholds", f'unknown key "{name}"', "", nearest(name, rows))
            )
            continue
        row = rows[name]
        try:
            table[name] = Threshold(
                name, _read(str(text), row["kind"]), "set in this build", row["meaning"], overridden=True
            )
        except UnitFault as fault:
            faults.append(Fault(toml.place(path), f"thresholds: {name}", fault.found, fault.limit, fault.fix))
        except ValueError:
            faults.append(
                Fault(
                    toml.place(path),
                    f"thresholds: {name}",
                    f'"{text}" is no factor above 0 and up to {MOST_FACTOR:g}',
                    "",
                    "Write for example 1.5.",
                )
            )
    return table, faults
