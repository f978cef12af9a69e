"""
Validate one table of a file, and turn what pydantic finds into faults with a place and a way out.

Answers   what is wrong with a table of a card or build file, all of it at once
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from pydantic import ValidationError

from headrace.errors import Fault
from headrace.parts.fields import Record
from headrace.parts.tomltext import KeyPath, TomlText

R = TypeVar("R", bound=Record)
_WANTED = {
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "tuple_type": "a list",
    "list_type": "a list",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
}
_WANTED_FIX = {
    "text in quotes": 'Write it in "quotes".',
    "true or false": "Write true or false, without quotes.",
    "a list": 'Write a list, such as ["a", "b"].',
    "a table": 'Write a table, such as { key = "value" }.',
    "a whole number": "Write a whole number, without quotes.",
}
_BOUNDS = {
    "greater_than_equal": ("ge", "at least"),
    "greater_than": ("gt", "above"),
    "less_than_equal": ("le", "at most"),
    "less_than": ("lt", "below"),
}
_BOUND_FIX = {
    "at least": "Write {} or more.",
    "above": "Write a number above {}.",
    "at most": "Write {} or less.",
    "below": "Write a number below {}.",
}


def nearest(word: str, allowed: Iterable[str]) -> str:
    """The sentence that offers the nearest right spelling, or lists a few of the allowed words."""
    words = sorted(set(allowed))
    close = difflib.get_close_matches(word, words, n=1, cutoff=0.6)
    if close:
        return f'Did you mean "{close[0]}"?'
    if not words:
        return ""
    return "Known: " + ", ".join(words[:12]) + (", ..." if len(words) > 12 else "") + "."


def read_table(
    model: type[R], toml: TomlText, path: KeyPath, raw: object, subject: str
) -> tuple[R | None, list[Fault]]:
    """Validate `raw`, found at `path` of `toml`, as a `model`; either the record or the faults."""
    try:
        return model.model_validate(raw), []
    except ValidationError as error:
        items = error.errors(include_url=False)
        below = {item["loc"][:end] for item in items for end in range(len(item["loc"]))}
        kept = [item for item in items if item["type"] != "too_short" or item["loc"] not in below]
        found = [_fault(item, model, toml, path, subject) for item in kept]
        return None, sorted(set(found), key=lambda fault: (fault.place.line, fault.place.column))


def _fault(item: Any, model: type[Record], toml: TomlText, base: KeyPath, subject: str) -> Fault:  # noqa: ANN401
    path = real_path(toml, (*base, *item["loc"]))
    kind, context = item["type"], item.get("ctx", {})
    key = str(path[-1]) if path else ""
    label = f"{subject}: {_dotted(path[len(base) :])}" if len(path) > len(base) else subject
    if kind == "headrace":
        at = (context["at"],) if context["at"] else ()
        return Fault(toml.place((*path, *at)), label, context["found"], context["limit"], context["fix"])
    if kind == "missing" and isinstance(item["loc"][-1], int):
        found = f"holds {item['loc'][-1]} number{'s' if item['loc'][-1] != 1 else ''}, more are wanted"
        return Fault(toml.place(path), label, found, "", _list_fix(key))
    if kind == "missing":
        missing = str(item["loc"][-1])
        return Fault(toml.place(path[:-1] if path[-1:] == (missing,) else path), subject, f'"{missing}" is missing')
    if kind == "extra_forbidden":
        fix = nearest(key, _keys_beside(model, item["loc"]))
        return Fault(toml.place(path, key=True), subject, f'unknown key "{key}"', "", fix)
    if kind == "literal_error":
        allowed = [word.strip("' ") for word in context["expected"].replace(" or ", ", ").split(", ")]
        return Fault(
            toml.place(path),
            label,
            f"{item['input']!r} is none of the known words",
            "",
            nearest(str(item["input"]), allowed),
        )
    if kind in ("too_short", "too_long"):
        bound = context.get("min_length", context.get("max_length"))
        limit = f"at {'least' if kind == 'too_short' else 'most'} {bound} are wanted"
        return Fault(toml.place(path), label, f"holds {context['actual_length']} entries", limit)
    if kind == "string_pattern_mismatch":
        fix = 'A name holds letters, digits, "-" and "_"; a port is written "part.port".'
        return Fault(toml.place(path), label, f"{_short(item['input'])} is no name", "", fix)
    found, limit, fix = _in_own_words(kind, context, item["input"])
    return Fault(toml.place(path), label, found, limit, _list_fix(key) if key.endswith("_mm") else fix)


def _list_fix(key: str) -> str:
    """What to write where a list of numbers is wanted."""
    if key.endswith("_mm"):
        return f"Write numbers in millimetres along x, y and z, such as {key} = [150, 45, 370]."
    return "Write as many as the example of this key in the manual has."


def _in_own_words(kind: str, context: Mapping[str, Any], value: object) -> tuple[str, str, str]:
    """Found, limit and fix of what the library says in its own words."""
    if kind in _BOUNDS:
        sign, word = _BOUNDS[kind]
        bound = f"{context[sign]:g}"
        return f"{_short(value)} is out of reason", f"limit {word} {bound}", _BOUND_FIX[word].format(bound)
    wanted = _WANTED.get(kind)
    if wanted is not None:
        return f"{_short(value)} is not {wanted}", "", _WANTED_FIX[wanted]
    return f"{_short(value)} is not what belongs here", "", "Compare it with the example of this key in the manual."


def real_path(toml: TomlText, loc: tuple[str | int, ...]) -> KeyPath:
    """The part of a pydantic location that stands in the file; steps of its own are left out."""
    here: Any = toml.data
    path: list[str | int] = []
    for step in loc:
        inside = step in here if isinstance(here, dict) else isinstance(step, int) and step < len(here or ())
        if inside and isinstance(here, dict | list):
            here = here[step]  # type: ignore[index]  # a step fits what it steps into
            path.append(step)
        elif step == loc[-1] and isinstance(step, str):
            path.append(step)
    return tuple(path)


def _keys_beside(model: type[Record], loc: tuple[str | int, ...]) -> list[str]:
    """The keys allowed where an unknown one was found."""
    here: Any = model
    for step in loc[:-1]:
        if isinstance(step, str) and isinstance(here, type) and issubclass(here, Record):
            field = next((f for n, f in here.model_fields.items() if (f.alias or n) == step), None)
            here = _record_in(field.annotation) if field else None
    if not (isinstance(here, type) and issubclass(here, Record)):
        return []
    return [field.alias or name for name, field in here.model_fields.items()]


def _record_in(annotation: Any) -> type[Record] | None:  # noqa: ANN401
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _record_in(inner)
        if found:
            return found
    return None


def _dotted(path: KeyPath) -> str:
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."
