"""
Threads, wetted materials and electric connectors that a card may name.

Answers   what a thread or material name means, and what current a kind of connector bears
Source    the first line of threads.csv and of materials.csv; the mark of each row of connectors.csv
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from headrace.parts.faults import nearest
from headrace.parts.fields import fault_error
from headrace.units import read_rows


@dataclass(frozen=True)
class Thread:
    """A screw thread: family, whether it seals on a flat face (parallel) or in the flanks (tapered), its size."""

    name: str
    family: str
    form: str
    major_m: float
    pitch_m: float


@dataclass(frozen=True)
class Material:
    """A wetted material: its group for the corrosion check, its anodic index if it is a metal, its specific heat."""

    name: str
    group: str
    index_v: float | None
    heat_capacity_j_kg_k: float


Plug: TypeAlias = Literal["fan header", "pump header", "drive plug", "peripheral plug"]


@dataclass(frozen=True)
class Connector:
    """A kind of 12 V connector: the current one of unknown make bears, and the most any of its kind does."""

    name: Plug
    bears_a: float
    most_a: float
    mark: str


@cache
def connectors() -> dict[Plug, Connector]:
    """All kinds of connector by name."""
    rows = ((cast("Plug", row["name"]), row) for row in read_rows("headrace.parts", "connectors.csv"))
    return {name: Connector(name, float(row["bears_a"]), float(row["most_a"]), row["mark"]) for name, row in rows}


@cache
def threads() -> dict[str, Thread]:
    """All known threads by name."""
    rows = read_rows("headrace.parts", "threads.csv")
    return {
        row["name"]: Thread(
            row["name"], row["family"], row["form"], float(row["major_mm"]) / 1000, float(row["pitch_mm"]) / 1000
        )
        for row in rows
    }


@cache
def materials() -> dict[str, Material]:
    """All known wetted materials by name."""
    rows = read_rows("headrace.parts", "materials.csv")
    return {
        row["name"]: Material(
            row["name"],
            row["group"],
            float(row["index_v"]) if row["index_v"] else None,
            float(row["heat_capacity_j_kg_k"]),
        )
        for row in rows
    }


def find_thread(name: str) -> Thread:
    """The thread called `name`; blanks do not count ("G 1/4" is "G1/4")."""
    found = threads().get(name.replace(" ", ""))
    if found is None:
        raise fault_error(f'unknown thread "{name}"', "", nearest(name.replace(" ", ""), threads()))
    return found


def find_material(name: str) -> Material:
    """The wetted material called `name`, in any case."""
    known = {key.lower(): value for key, value in materials().items()}
    found = known.get(name.strip().lower())
    if found is None:
        raise fault_error(f'unknown material "{name}"', "", nearest(name, materials()))
    return found
