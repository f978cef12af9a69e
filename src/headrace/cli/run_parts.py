"""`headrace parts`: list cards, or show one."""

from __future__ import annotations

import argparse
from pathlib import Path

from headrace.cli.shown import print_json, print_report_here
from headrace.errors import BadInput, Fault, Place
from headrace.loop.loader import load_own_cards
from headrace.parts.faults import nearest
from headrace.parts.loader import load_catalogue


def run(words: argparse.Namespace) -> int:
    """List cards, or show one."""
    from headrace.report.parts import report_card, report_cards

    if words.schema:
        from headrace.loop.schema import card_schema

        print_json(card_schema())
        return 0
    if words.build and not Path(words.build).is_dir():
        raise BadInput(Fault(Place(words.build), "", "there is no such folder", "", "Name a build folder."))
    cards = load_own_cards(Path(words.build)) if words.build else load_catalogue()
    if words.card in cards:
        card = cards[words.card]
        if words.json:
            print_json(card.model_dump(mode="json", exclude_unset=True))
        else:
            print_report_here(report_card(card))
        return 0
    found = [
        card
        for card in cards.values()
        if not words.card or words.card.lower() in f"{card.id} {card.name} {getattr(card, 'kind', '')}".lower()
    ]
    if not found:
        raise BadInput(
            Fault(Place(), "parts", f'no card is called or holds "{words.card}"', "", nearest(words.card, cards))
        )
    if words.json:
        print_json([{"id": card.id, "kind": getattr(card, "kind", ""), "name": card.name} for card in found])
    else:
        print_report_here(report_cards(found))
    return 0
