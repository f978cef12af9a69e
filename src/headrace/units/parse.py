"""Reading figures: "3/8 in", "0.15 K/W ± 8 %", "43.7 °C ± 0.5 K (max)" into SI.

Answers   what a typed figure is in SI, how well it is known, or why it cannot be read
Assumes   decimal points, no thousands marks; `± x` is one standard uncertainty (k = 1)
"""

from __future__ import annotations

import re
from decimal import Decimal
from math import isfinite

from headrace.units.figure import Figure, Shape
from headrace.units.kinds import Kind, Unit
from headrace.units.refuse import UnitFault, bad_number, bad_unit, example, no_unit, quote, wanted
from headrace.units.table import find_unit, usual_text

_NUMBER = r"[0-9]+(?:[ ]+|-)[0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
_UNIT = r"(?<=\s)1/(?:s|min)|[^0-9±\s.,/][^±]*?"  # never a digit first, but for "1/s"
_FIGURE = re.compile(
    rf"\s*([-+]?(?:{_NUMBER}))\s*({_UNIT})?\s*"
    rf"(?:±\s*({_NUMBER})\s*({_UNIT})?\s*(\(\s*max\s*\)\s*)?)?",
)
_TYPED = {
    "\u2212": "-", "\u2013": "-", "\u2010": "-", "\u2011": "-", "\u2044": "/", "\u00ba": "°", "\u2103": "°C",
    "\u2109": "°F", "\u2033": '"', "\u201d": '"', "\u201c": '"', "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8",
    "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "\u212a": "K", "\ufeff": "",
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2007": " ",
}  # fmt: skip
_TRANSLATE = str.maketrans(_TYPED)
_LONGEST = 200
_HUGE = 1e300


def read_figure(text: object, kind: Kind) -> Figure:
    """The figure of `kind` that `text` states, in SI.

    `± x` has the unit of the kind or `%` of the value and is one standard uncertainty; with `(max)` it is the
    half-width of a rectangular one. For kinds that are themselves percent, `± 5 %` means five percentage points.
    A relative ± of a positive kind is lognormal, every other normal. At a temperature, ± is a difference.

    Raises UnitFault, with the sentence to write instead, for anything else; a bare number is refused.
    """
    return read_either(text, kind)


def read_either(text: object, *kinds: Kind) -> Figure:
    """The figure that `text` states, of whichever of `kinds` its unit belongs to; `figure.kind` says which.

    Raises UnitFault when it belongs to none of them.
    """
    if not isinstance(text, str):
        return _not_text(text, kinds)
    typed = text if text.isascii() else text.translate(_TRANSLATE)
    if "+" in typed:
        typed = typed.replace("+/-", "±").replace("+-", "±")
    match = _FIGURE.fullmatch(typed) if len(typed) <= _LONGEST else None
    if match is None:
        raise bad_number(typed, kinds)
    number, unit_text, width, width_unit, is_max = match.groups()
    if unit_text is None and width_unit and (width_unit != "%" or any(kind.is_share for kind in kinds)):
        unit_text = width_unit  # "12 ± 0.5 mm": one unit for both
    unit = _unit_of(text, number, unit_text, kinds)
    value_si = _value(text, number, unit)
    kind = unit.kind
    exact = Decimal(number) if kind is Kind.MONEY and "/" not in number else None
    if width is None:
        return Figure(value_si, kind, text=text, unit=unit.text, exact=exact)
    width_si, relative = _width(text, value_si, width, width_unit, unit)
    if is_max:
        return Figure(value_si, kind, half_width=width_si, text=text, unit=unit.text, exact=exact)
    lognormal = relative and kind.positive and value_si > 0.0
    shape: Shape = "lognormal" if lognormal else "normal"
    return Figure(value_si, kind, sigma=width_si, shape=shape, text=text, unit=unit.text, exact=exact)


def read_unit(text: object, *kinds: Kind) -> Unit:
    """The unit a table header or curve key states, of one of `kinds`. Raises UnitFault when there is none."""
    if not isinstance(text, str) or not text.strip():
        found = "no unit is stated" if text is None or isinstance(text, str) else f"{quote(str(text))} is no unit"
        raise UnitFault(found, wanted(kinds), f"Write a unit, such as {quote(usual_text(kinds[0]))}.")
    typed = text.translate(_TRANSLATE).strip()
    for kind in kinds:
        unit = find_unit(typed, kind)
        if unit is not None:
            return unit
    raise bad_unit(text, "", typed, kinds)


def _not_text(value: object, kinds: tuple[Kind, ...]) -> Figure:
    if isinstance(value, Figure):
        if value.kind in kinds:
            return value
        raise UnitFault(
            f"{quote(value.text)} is {value.kind.noun}", wanted(kinds), f"Write it like {example(kinds[0])}."
        )
    if isinstance(value, int | float) and not isinstance(value, bool):
        number = f"{value:.12g}" if abs(value) < _HUGE else ""
        raise no_unit(number, kinds) if number else bad_number("nan" if value != value else "inf", kinds)
    found = "nothing is written" if value is None else f"{quote(str(value))} is not a text with a number and a unit"
    raise UnitFault(found, wanted(kinds), f"Write a text such as {example(kinds[0])}.")


def _unit_of(text: str, number: str, unit_text: str | None, kinds: tuple[Kind, ...]) -> Unit:
    if unit_text is None:
        raise no_unit(number, kinds)
    for kind in kinds:
        unit = find_unit(unit_text, kind)
        if unit is not None:
            return unit
    raise bad_unit(text, number, unit_text, kinds)


def _number(text: str, typed: str) -> float:
    if "/" not in typed:
        return float(typed)
    sign = -1.0 if typed[0] == "-" else 1.0
    whole, _, part = typed.lstrip("+-").replace("-", " ").rpartition(" ")
    above, below = (float(side) for side in part.split("/"))
    if below == 0.0 or (whole and above >= below):
        raise UnitFault(
            f"{quote(text)} holds no proper fraction", "", 'Write a fraction such as "3/8 in" or "1 1/2 in".'
        )
    return sign * (float(whole or 0) + above / below)


def _value(text: str, typed: str, unit: Unit) -> float:
    kind = unit.kind
    value_si = unit.to_si(_number(text, typed))
    if not isfinite(value_si):
        raise UnitFault(f"{quote(text)} is too large a number", wanted((kind,)), f"Write it like {example(kind)}.")
    if value_si < 0.0 and kind.positive:
        limit = f"{kind.noun} is zero or more"
        raise UnitFault(f"{quote(text)} is below zero", limit, f"Write {quote(text.strip().lstrip('-−– '))}.")
    if value_si < 0.0 and kind is Kind.TEMPERATURE:
        raise UnitFault(f"{quote(text)} is below absolute zero", "the lowest is -273.15 °C", "Check number and unit.")
    if value_si > 1.0 and kind.is_share:
        raise UnitFault(f"{quote(text)} is more than the whole", "the most is 100 %", 'Write a share such as "60 %".')
    return value_si + 0.0


def _width(text: str, value_si: float, typed: str, unit_text: str | None, unit: Unit) -> tuple[float, bool]:
    """The ± in SI, and whether it was stated relative to the value."""
    kind, number = unit.kind, _number(text, typed)
    if unit_text is None:
        fix = f"Write {quote(f'± {typed} {_width_unit(unit)}')}."
        raise UnitFault(f"± {typed} has no unit", "± takes a unit or %", fix)
    if unit_text == "%" and kind in (Kind.TEMPERATURE, Kind.SOUND):
        fix = f"Write {quote(f'± 1 {_width_unit(unit)}')}."
        raise UnitFault(f"± {typed} % of {kind.noun} has no meaning", "± takes a unit here", fix)
    if unit_text == "%" and number > 100.0:
        fix = 'Write what is known of it, such as "± 20 %".'
        raise UnitFault(f"± {typed} % is more than the whole", "limit ± 100 %", fix)
    relative = unit_text == "%" and not kind.is_share
    if unit_text == "%":
        width_si = number / 100.0 * (abs(value_si) if relative else 1.0)
    elif kind is Kind.SOUND and unit_text in ("dB", "db"):
        width_si = number
    else:
        width_unit = find_unit(unit_text, kind)
        if width_unit is None:
            raise bad_unit(f"± {typed} {unit_text}", f"± {typed}", unit_text, (kind,))
        width_si = width_unit.width_to_si(number)
    if not isfinite(width_si):
        raise UnitFault(f"{quote(text)} holds too large an uncertainty", "± is finite", 'Write one such as "± 5 %".')
    return width_si, relative


def _width_unit(unit: Unit) -> str:
    if unit.kind is Kind.TEMPERATURE:
        return "K"
    return "dB" if unit.kind is Kind.SOUND else unit.text
