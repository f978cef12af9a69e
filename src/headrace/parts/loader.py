"""
Read card files and the catalogue.

Answers   which cards there are, and everything that is wrong with the files they stand in
Assumes   a file holds `format = 1` and `[[card]]` tables; `like = "id"` takes over all keys a card does not state
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from headrace.errors import BadInput, Fault, Place
from headrace.parts.card import Card
from headrace.parts.faults import nearest, read_table
from headrace.parts.kinds import KINDS
from headrace.parts.tomltext import TomlText, read_toml

FORMAT = 1


@dataclass(frozen=True)
class RawCard:
    """A card as it stands in a file, before `like` and before its kind is known."""

    toml: TomlText
    index: int
    raw: Mapping[str, Any]

    @property
    def place(self) -> Place:
        """Where its header stands."""
        return self.toml.place(("card", self.index))

    @property
    def label(self) -> str:
        """How a message names it."""
        return f'card "{self.raw.get("id", self.index + 1)}"'


class Cards(dict[str, Card]):
    """Cards by id, with the tables they were read from, so that another card may be like one of them."""

    def __init__(self, known: Cards | None = None) -> None:
        super().__init__(known or {})
        self.tables: dict[str, RawCard] = dict(known.tables) if known else {}


def load_cards(files: Iterable[Path], known: Cards | None = None, base: Path | None = None) -> Cards:
    """The cards of `files`, over those already `known`. Raises BadInput with every fault of every file."""
    faults: list[Fault] = []
    texts = []
    for path in files:
        shown = str(path.relative_to(base)) if base and path.is_relative_to(base) else str(path)
        try:
            texts.append(read_toml(path, shown))
        except BadInput as error:
            faults += error.faults
    return read_cards(texts, known, faults)


def read_cards(texts: Iterable[TomlText], known: Cards | None = None, faults: Iterable[Fault] = ()) -> Cards:
    """The cards of texts already read, over those `known`. Raises BadInput with `faults` and every fault found."""
    all_faults = list(faults)
    raws: dict[str, RawCard] = {}
    for toml in texts:
        all_faults += find_format_faults(toml, {"format", "card"})
        all_faults += _collect(toml, raws)
    cards = Cards(known)
    for raw in raws.values():
        card, found = _read_card(raw, raws, cards.tables)
        all_faults += found
        if card is not None:
            cards[card.id] = card
    if all_faults:
        raise BadInput(*all_faults)
    cards.tables |= raws
    return cards


def find_format_faults(toml: TomlText, allowed: set[str]) -> list[Fault]:
    """Faults of the top level of a file: the format number and keys that do not belong."""
    faults = []
    number = toml.data.get("format")
    if number is None:
        faults.append(
            Fault(Place(toml.shown, 1, 1), "", '"format" is missing', "", f"Write format = {FORMAT} in the first line.")
        )
    elif number != FORMAT or isinstance(number, bool):
        newer = isinstance(number, int) and number > FORMAT
        fix = "A newer Headrace may read it." if newer else f"Write format = {FORMAT}, without quotes."
        found = f'"{number}" is text' if isinstance(number, str) else f"found {number!r}"
        faults.append(Fault(toml.place(("format",)), "format", found, f"known is {FORMAT}", fix))
    strange = [key for key in toml.data if key not in allowed]
    return faults + [
        Fault(toml.place((key,), key=True), "", f'unknown key "{key}"', "", nearest(key, allowed)) for key in strange
    ]


def _collect(toml: TomlText, raws: dict[str, RawCard]) -> list[Fault]:
    faults = []
    tables = toml.data.get("card", [])
    if not isinstance(tables, list):
        return [Fault(toml.place(("card",)), "card", "is one table", "", "Write [[card]] with two brackets.")]
    for index, raw in enumerate(tables):
        card = RawCard(toml, index, raw if isinstance(raw, dict) else {})
        id_ = card.raw.get("id")
        if not isinstance(id_, str):
            faults.append(Fault(card.place, card.label, '"id" is missing', "", 'Write id = "some-name".'))
        elif id_ in raws:
            place = toml.place(("card", index, "id"))
            faults.append(
                Fault(place, card.label, "is there twice", f"first at {raws[id_].place}", "Give it another id.")
            )
        else:
            raws[id_] = card
    return faults


def _read_card(
    raw: RawCard, raws: Mapping[str, RawCard], known: Mapping[str, RawCard]
) -> tuple[Card | None, list[Fault]]:
    whole, faults = _follow_like(raw, raws, known)
    if faults:
        return None, faults
    kind = whole.get("kind")
    path = ("card", raw.index)
    if not isinstance(kind, str) or kind not in KINDS:
        found = f"unknown kind {kind!r}" if kind is not None else '"kind" is missing'
        return None, [Fault(raw.toml.place((*path, "kind")), raw.label, found, "", nearest(str(kind), KINDS))]
    return read_table(KINDS[kind], raw.toml, path, whole, raw.label)


def _follow_like(
    raw: RawCard, raws: Mapping[str, RawCard], known: Mapping[str, RawCard]
) -> tuple[dict[str, Any], list[Fault]]:
    """The card's keys over those of the cards it is like, nearest first."""
    whole = dict(raw.raw)
    chain = [str(raw.raw.get("id"))]
    here: Mapping[str, Any] = raw.raw
    while "like" in here:
        like = here["like"]
        place = raw.toml.place(("card", raw.index, "like"))
        if like in chain:
            loop = " -> ".join([*chain, str(like)])
            return whole, [
                Fault(
                    place,
                    raw.label,
                    f"is like itself: {loop}",
                    "",
                    "Break the circle: state the values in one of them.",
                )
            ]
        if like in raws:
            here = raws[like].raw
        elif like in known:
            here = known[like].raw
        else:
            return whole, [
                Fault(place, raw.label, f'is like "{like}", which is no card', "", nearest(str(like), [*raws, *known]))
            ]
        chain.append(str(like))
        whole = {**here, **whole}
    return whole, []


@cache
def load_catalogue() -> Cards:
    """The cards that come with Headrace: generic, invented, marked so."""
    folder = Path(str(resources.files("headrace.parts").joinpath("catalogue")))
    return load_cards(sorted(folder.glob("*.toml")), base=folder)
