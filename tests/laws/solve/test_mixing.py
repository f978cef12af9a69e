"""Air that stands still or turns round: what a radiator breathes then."""

import pytest
from checkers.small_build import small

from headrace.loop.route import stated_route
from headrace.solve.steady import solve

SECOND = """
[[part]]
id = "rad2"
card = "radiator"
"""
ORDER = ('through = ["vessel", "pump", "cpu", "rad"]', 'through = ["vessel", "pump", "cpu", "rad", "rad2"]')


def test_a_radiator_behind_one_whose_air_stands_breathes_room_air():
    still = ('radiator = "rad"\nair = "120 m3/h"', 'radiator = "still"\nbehind = ["rad2"]\nair = "120 m3/h"')
    loop = small(
        ORDER,
        still,
        ('id = "rad"\ncard = "radiator"', 'id = "still"\ncard = "still"'),
        ('"cpu", "rad", "rad2"', '"cpu", "still", "rad2"'),
        ('speed = { pump = "60 %" }', 'speed = { pump = "60 %", front = "0 rpm" }'),
        more=SECOND,
        cards_too=(("points = [[40, 12.2], [80, 21.5], [120, 29], [180, 37.8]] }", "points = [[0, 2], [40, 12.2]] }"),),
    )
    solution = solve(loop, stated_route(loop), loop.state())
    for radiator in solution.radiators:
        assert radiator.air_in_temp_k == pytest.approx(solution.room_k)
    assert min(solution.coolant_temp_k.values()) > solution.room_k


VENTED = """
[[vent]]
id = "strong"
fan = "strong"
fans = 4
blows = "in"
"""


def test_air_that_is_driven_backwards_does_not_breathe_its_own_exhaust_too():
    # four strong fans blow in, one weak stack blows into the case as well: its air is turned round and is case air
    stack = (
        'air = "120 m3/h"',
        'fan = "weak"\nfans = 1\nout = "case"\nrecirculated = "30 %"',
    )
    fans = """
[[card]]
id = "strong"
kind = "fan"
size = "120 mm"
full_speed = "3000 rpm"
curve = { air = "m3/h", pressure = "Pa", points = [[0, 70], [85, 40], [170, 0]], speed = "3000 rpm" }
[[card]]
id = "weak"
like = "strong"
curve = { air = "m3/h", pressure = "Pa", points = [[0, 15], [38, 9], [75, 0]], speed = "1800 rpm" }
"""
    loss = 'air_loss = { air = "m3/h", loss = "Pa", points = [[60, 3], [120, 8]] }'
    strength = "points = [[40, 12.2], [80, 21.5], [120, 29], [180, 37.8]] }"
    loop = small(
        stack,
        ('speed = { pump = "60 %" }', 'speed = { pump = "60 %", front = "300 rpm" }\ncase_heat = "50 W"'),
        more=VENTED,
        cards_too=((strength, f"{strength}\n{loss}"), ('[[card]]\nid = "still"', f'{fans}[[card]]\nid = "still"')),
    )
    solution = solve(loop, stated_route(loop), loop.state())
    front = next(air for air in solution.air if air.id == "front")
    assert front.backwards
    assert solution.radiators[0].air_in_temp_k == pytest.approx(solution.case_k)
