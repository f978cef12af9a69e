"""Refusals: what is wrong with a typed figure, and the sentence to write instead.

Answers   found, limit and fix for everything `parse` cannot read
Assumes   it is called only after reading failed, so it may take its time
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence

from headrace.errors import Fault, HeadraceError, Place
from headrace.units.kinds import Kind
from headrace.units.table import ROWS, STRICT, find_unit, plain, usual_text


class UnitFault(HeadraceError, ValueError):
    """A text that states no figure of the kind wanted; found and limit are clauses, fix is a sentence."""

    def __init__(self, found: str, limit: str, fix: str) -> None:
        self.found, self.limit, self.fix = found, limit, fix
        super().__init__(f"{found}, {limit}. {fix}" if limit else f"{found}. {fix}")

    def at(self, place: Place, subject: str) -> Fault:
        """The same refusal as a fault of a file: where it stands and what it is about."""
        return Fault(place, subject, self.found, self.limit, self.fix)

    def __reduce__(self) -> tuple[type[UnitFault], tuple[str, str, str]]:
        return UnitFault, (self.found, self.limit, self.fix)


# what people write for a kind, and what to write instead of it; keys are folded plain spellings
_INSTEAD: dict[Kind, dict[str, str]] = {
    Kind.FLOW: {"lph": "L/h", "lpm": "L/min", "slpm": "L/min", "cmh": "m³/h", "gph": "L/h"},
    Kind.PRESSURE: {
        "m": "mH2O",
        "mm": "mmH2O",
        "ft": "ftH2O",
        "in": "inH2O",
        "mws": "mH2O",
        "psig": "psi",
        "barg": "bar",
        "bar(g)": "bar",
    },
    Kind.ABS_PRESSURE: {"psia": "psi", "bara": "bar", "bar(a)": "bar"},
    Kind.TEMPERATURE: {"c": "°C", "f": "°F", "celsius": "°C", "fahrenheit": "°F", "deg": "°C", "°": "°C"},
    Kind.TEMP_DIFFERENCE: {"°c": "K", "degc": "K", "deg c": "K", "c": "K", "k": "K"},
    Kind.SOUND: {"db": "dBA"},
    Kind.SPEED: {"u/min": "rpm", "rps": "1/s"},
    Kind.VOLUME: {"cc": "mL", "ccm": "mL"},
    Kind.VOLUME_FRACTION: {"%": "vol%", "percent": "vol%"},
    Kind.MASS_FRACTION: {"%": "mass%", "percent": "mass%"},
    Kind.MONEY: {"€": "EUR", "$": "USD", "£": "GBP"},
}
_INSTEAD[Kind.AIR_FLOW] = _INSTEAD[Kind.FLOW]
_AIR = {
    Kind.PRESSURE: ("psia", "bara", "bar(a)", "atm"),
    Kind.ABS_PRESSURE: ("psig", "barg", "bar(g)", "kpag", "kpa(g)"),
}
_AIR_FIX = {
    Kind.PRESSURE: "Take off the pressure of the surrounding air, about 101 kPa, and write what is left in kPa.",
    Kind.ABS_PRESSURE: "Add the pressure of the surrounding air, about 101 kPa, and write the sum in kPa.",
}
_GALLON = re.compile(r"gal|gpm|gph|fl ?oz", re.IGNORECASE)


def quote(text: str) -> str:
    """The text as typed, on one line, shortened, in quotes it does not hold itself."""
    line = " ".join(text.split())
    line = line if len(line) <= 40 else line[:37] + "..."
    return f"'{line}'" if '"' in line else f'"{line}"'


def wanted(kinds: Sequence[Kind]) -> str:
    """The clause that names what belongs here."""
    return f"{' or '.join(kind.noun for kind in kinds)} is wanted"


def example(kind: Kind, number: str = "") -> str:
    """A figure of `kind` as it should be typed."""
    text = usual_text(kind)
    return quote(f"{number or '10'}{'' if text == '°' else ' '}{text}")


def no_unit(number: str, kinds: Sequence[Kind]) -> UnitFault:
    """A bare number where a unit belongs."""
    kind, found = kinds[0], f"{number} has no unit"
    if kind is Kind.FRACTION and re.fullmatch(r"0?\.[0-9]+|[01](\.0*)?", number):
        number = f"{float(number) * 100:.12g}"
    return UnitFault(found, wanted(kinds), f"Write {' or '.join(example(kind, number) for kind in kinds)}.")


def bad_unit(text: str, number: str, unit: str, kinds: Sequence[Kind]) -> UnitFault:
    """A unit that belongs to another kind, to none, or to more than one."""
    folded = plain(unit).casefold()
    for kind in kinds:
        instead = _INSTEAD.get(kind, {}).get(folded)
        if instead:
            return _say_instead(number, unit, instead, kinds)
    if kinds[0] is Kind.TEMP_DIFFERENCE and folded in ("°f", "degf", "deg f"):
        return UnitFault(f"{quote(text)} is a temperature", wanted(kinds), 'Write 1.8 °F of difference as "1 K".')
    if re.search(r"(^|[\s-])[0-9]", unit):
        fix = f"Write one number and its unit, such as {example(kinds[0])}; a span is its middle ± half of it (max)."
        return UnitFault(f"{quote(text)} holds more than one number", wanted(kinds), fix)
    if kinds[0] in _AIR and folded in _AIR[kinds[0]]:
        return UnitFault(f"{quote(unit)} is not {kinds[0].noun}", wanted(kinds), _AIR_FIX[kinds[0]])
    if _GALLON.search(unit):
        return _which_gallon(unit, kinds)
    other = next((kind for kind in Kind if kind is not Kind.MONEY and find_unit(unit, kind)), None)
    if other is not None:
        like = example(kinds[0], "± 1" if number.startswith("±") else "")
        return UnitFault(f"{quote(text)} is {other.noun}", wanted(kinds), f"Write it like {like}.")
    return UnitFault(f"{quote(unit)} is no unit known here", wanted(kinds), _nearest(unit, kinds))


def _say_instead(number: str, unit: str, instead: str, kinds: Sequence[Kind]) -> UnitFault:
    write = quote(f"{number} {instead}".strip())
    if plain(unit).casefold() in ("gph",):
        return UnitFault(f"{quote(unit)} is not read", wanted(kinds), f"Convert it to {quote(instead)} first.")
    return UnitFault(f"{quote(unit)} is not how {kinds[0].noun} is written", wanted(kinds), f"Write {write}.")


def _which_gallon(unit: str, kinds: Sequence[Kind]) -> UnitFault:
    flow = Kind.FLOW in kinds or Kind.AIR_FLOW in kinds
    us, metric = ("US gpm", "L/min") if flow else ("US fl oz", "mL")
    found = (
        f"{quote(unit)} does not say which gallon"
        if not re.search("uk|imp", unit, re.I)
        else f"{quote(unit)} is imperial"
    )
    return UnitFault(
        found, "only the US one is read, and by name", f'Write "{us}" if it is the US one, else "{metric}".'
    )


def _nearest(unit: str, kinds: Sequence[Kind]) -> str:
    spellings = [row.spellings.split("|")[0] for kind in kinds for row in ROWS[kind]]
    if kinds == (Kind.MONEY,) or not spellings:
        return 'Write a currency in three capital letters, such as "49.90 EUR".'
    same = [text for text in spellings if plain(text).casefold() == plain(unit).casefold()]
    known = sorted({text for kind in kinds for text in STRICT[kind]})
    near = same or difflib.get_close_matches(unit, known, n=1, cutoff=0.6)
    if near:
        return f"Did you mean {' or '.join(quote(text) for text in near)}?"
    return f"Use one of {', '.join(dict.fromkeys(spellings))}."


def bad_number(text: str, kinds: Sequence[Kind]) -> UnitFault:
    """A text that does not follow "number unit ± uncertainty"."""
    limit, like = wanted(kinds), example(kinds[0])
    if not text.strip():
        return UnitFault("nothing is written", limit, f"Write a number and a unit, such as {like}.")
    if re.match(r"\s*[-+]?(nan|inf)", text, re.I):
        return UnitFault(f"{quote(text)} is not a finite number", limit, f"Write a number and a unit, such as {like}.")
    if re.search(r"[0-9],[0-9]|(?<![0-9]),[0-9]", text):
        return _comma(text, limit)
    money = re.match(r"\s*([€$£])\s*([0-9.]+)\s*$", text)
    if money and Kind.MONEY in kinds:
        code = _INSTEAD[Kind.MONEY][money[1]]
        return UnitFault(f"{quote(text)} names no currency", limit, f'Write "{money[2]} {code}".')
    if re.search(r"(?<![0-9.])[0-9]{1,3}( [0-9]{3})+(?![0-9/])", text):
        joined = re.sub(r"(?<=[0-9]) (?=[0-9]{3}(?![0-9]))", "", text.strip())
        return UnitFault(f"{quote(text)} holds two numbers", limit, f"Write {quote(joined)} if it is one.")
    if text.count("±") > 1:
        return UnitFault(f"{quote(text)} holds ± twice", limit, 'State one uncertainty, such as "± 5 %".')
    if "±" in text:
        fix = 'Write "± 5 %", "± 0.5" with a unit, or "± 0.5" with a unit and "(max)".'
        return UnitFault(f"{quote(text)} cannot be read", limit, fix)
    return UnitFault(
        f"{quote(text)} is not a number and a unit", limit, f"Write one number and a unit, such as {like}."
    )


def _comma(text: str, limit: str) -> UnitFault:
    found = f"{quote(text)} holds a comma"
    point = quote(re.sub(r",(?=[0-9])", ".", text.strip()))
    if text.count(",") > 1:
        point = quote(re.sub(r",(?=[0-9])", "", text.strip()))
    elif re.search(r"[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", text):
        whole = quote(text.strip().replace(",", ""))
        return UnitFault(found, limit, f"Write {whole} or {point}, whichever is meant.")
    return UnitFault(found, limit, f"Write {point}.")
