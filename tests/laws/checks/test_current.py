"""Which outlet feeds what: the fans of a vent count as those of a stack do. Currents of the cards are invented."""

import pytest
from checkers.small_build import BUILD, cards

from headrace.checks.current import feeds, unfed
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_catalogue

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
