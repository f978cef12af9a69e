"""The report of an opened number: value, formula, source, and the numbers below it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from headrace.parts.shipped import shipped
from headrace.report.tree import Branch, Cell, Column, Line, Section, Table
from headrace.solve.explain.explained import LEVEL_STEP, Explained
from headrace.solve.explain.explainer import Explainer
from headrace.units import Kind, kind_of, show

_THIN_M = 1e-3  # below, lengths are told in µm
_LIGHT_KG_M3 = 10.0  # below, a density is that of air


_HEADS = {
    "coolant_rise": "How far the coolant differs around a loop",
    "flow": "Flow of every run and part",
    "dp": "Pressure each takes, below zero where it adds",
    "share": "Share of the pumping each takes",
    "coolant_temp": "Coolant at every port",
    "part_temp": "Chips",
    "margin": "Margin of every chip",
    "pressure": "Pressure at every port over that of the reservoir",
    "heat": "Heat each radiator gives off",
    "strength": "Strength of every radiator",
    "air_flow": "Airflow",
    "air_in_temp": "Air into every radiator",
    "air_out_temp": "Air out of every radiator",
    "case_temp": "Air in the case",
    "case_pressure": "Pressure in the case over that of the room",
    "noise": "Sound: all together, then every source",
    "noise_heard": "Sound with that of the room",
    "time_constant": "How slowly the loop answers",
}


@cache
def citations() -> dict[str, str]:
    """Every source key with its citation and how it is held, from the list of sources."""
    rows = re.findall(
        r"^\| \[([^\]]+)\] \| (.*?) \| (.*?) \|$", shipped("sources.md").read_text(encoding="utf-8"), re.M
    )
    return {key: f"{citation} ({held})" for key, citation, held in rows}


def report_explained(node: Explained) -> Section:
    """The tree, and the full citation of every source it names."""
    keys = list(dict.fromkeys(_keys(node)))
    known = citations()
    sources = tuple(Line(f"[{key}] {known[key]}", "quiet") for key in keys if key in known)
    return Section("", (_branch(node), *((Section("Sources", sources),) if sources else ())))


def report_names(explainer: Explainer) -> Section:
    """Every name that can be opened with its value, under what it is; thresholds last."""
    groups = [
        Section(
            _HEADS[head], (_names((f"{head}.{id_}" if id_ else head, value, unit) for id_, value in values.items()),)
        )
        for head, (unit, values, _) in explainer.numbers.items()
        if values
    ]
    opened = (explainer.threshold(key) for key in explainer.loop.thresholds)
    return Section("", (*groups, Section("Thresholds", (_names((t.name, t.value, t.unit) for t in opened),))))


def _names(rows: Iterable[tuple[str, float | str, str]]) -> Table:
    cells = ((Cell(name), Cell(value_text(Explained(name, value, unit)))) for name, value, unit in rows)
    return Table((Column("name"), Column("value", number=True)), tuple(cells))


def _keys(node: Explained) -> list[str]:
    return [*node.sources, *(key for child in node.inputs for key in _keys(child))]


def _branch(node: Explained) -> Branch:
    lines = [Line(formula) for formula in node.formulas]
    if node.said:
        lines.append(Line(node.said, "quiet"))
    more = "  (opens: ask for its name)" if node.closed else ""
    return Branch(
        f"{node.name} = {value_text(node)}{more}", tuple(lines), tuple(_branch(child) for child in node.inputs)
    )


def value_text(node: Explained) -> str:
    """The value in display units, in digits that still tell a thin fin and the air of a mountain apart."""
    if isinstance(node.value, str):
        return node.value
    kind = _kind(node.unit)
    if kind is None:
        return f"{node.value:.4g}"
    if kind is Kind.LENGTH and 0.0 < abs(node.value) < _THIN_M:
        return show(node.value, kind, unit="µm")
    if kind is Kind.DENSITY and node.value < _LIGHT_KG_M3:
        return show(node.value, kind, digits=3)
    text = show(node.value, kind)
    return text.replace("dBA", "dB") if node.unit == LEVEL_STEP else text


def _kind(unit: str) -> Kind | None:
    """The kind of a value: named itself, or by the suffix of its unit; None for a plain number."""
    if unit in {kind.value for kind in Kind}:
        return Kind(unit)
    try:
        return kind_of(unit)
    except KeyError:
        return None
