"""The report of an opened number: value, formula, source, and the numbers below it."""

from __future__ import annotations

import re
from functools import cache

from headrace.parts.shipped import shipped
from headrace.report.tree import Branch, Line, Section
from headrace.solve.explain.explained import LEVEL_STEP, Explained
from headrace.units import Kind, kind_of, show

_THIN_M = 1e-3  # below, lengths are told in µm
_LIGHT_KG_M3 = 10.0  # below, a density is that of air


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
