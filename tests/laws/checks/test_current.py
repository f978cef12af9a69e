"""Which outlet feeds what: the fans of a vent count as those of a stack do. Currents of the cards are invented."""

from pathlib import Path

import pytest
from checkers.small_build import BUILD, cards

from headrace.checks.current import feeds, find_room, unfed
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards, load_catalogue

CHECKS = Path(__file__).parent
CARDS = {**load_catalogue(), **cards()}
MORE = (
    '[[part]]\nid = "board"\ncard = "board"\n'
    '[[vent]]\nid = "rear"\nfan = "fan-120"\nfans = 2\nblows = "out"\n[[vent]]\nid = "slots"\narea = "60 cm2"\n'
)
LEAD = '[[lead]]\npart = "rear"\nto = "board.fan-1"\n'


def test_the_fans_of_a_vent_draw_from_their_outlet():
    (feed,) = feeds(parse_build(BUILD + MORE + LEAD, "build.toml", CARDS))
    (draw,) = feed.draws
    assert draw.label == '2 fans of vent "rear"'
    assert draw.current_a == pytest.approx(2 * CARDS["fan-120"].current_a)


def test_a_vent_that_nothing_feeds_is_named_and_an_opening_is_not():
    named = [label for _, label in unfed(parse_build(BUILD + MORE, "build.toml", CARDS))]
    assert 'fans of vent "rear"' in named
    assert not [label for label in named if "slots" in label]
    fed = [label for _, label in unfed(parse_build(BUILD + MORE + LEAD, "build.toml", CARDS))]
    assert 'fans of vent "rear"' not in fed


HEADERS = """[[card]]
id = "headers"
kind = "board"
invented = true
outlet = [
  { name = "one", max_current = "1 A", plug = "fan header" },
  { name = "two", max_current = "9 A", plug = "fan header" },
  { name = "exact", max_current = "EXACT", plug = "pump header" },
]
"""


@pytest.mark.parametrize(("bears", "room"), [("2.14 A", "more.exact"), ("2.13 A", None)])
def test_room_for_a_pump_keeps_the_share_in_hand_and_is_no_fan_header(tmp_path, bears, room):
    """1.92 A of 90 % are 2.133 A."""
    file = tmp_path / "more.toml"
    file.write_text("format = 1\n" + HEADERS.replace("EXACT", bears))
    catalogue = {**CARDS, **load_cards([CHECKS / "parts.toml", file], {})}
    text = (
        'format = 1\n[[part]]\nid = "strong"\ncard = "pump-23-w"\n[[part]]\nid = "more"\ncard = "headers"\n'
        '[[lead]]\npart = "strong"\nto = "more.one"\n'
    )
    loop = parse_build(text, "build.toml", catalogue)
    (feed,) = feeds(loop)
    assert find_room(loop, feed, feed.draws[0]) == room
