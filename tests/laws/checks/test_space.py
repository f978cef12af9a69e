"""What must hold of the checks of space and screws whatever the build: moves, order in the file, wider limits."""

from itertools import permutations
from time import perf_counter

import pytest
from checkers.rule_files import HERE, build_of
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.checks.bodies import fans_beside, stack_of, way_text
from headrace.checks.build import Build
from headrace.checks.finding import Finding, Severity
from headrace.checks.rules import fans_fit, memory_room, outside_case, parts_meet, screw_long, way_in
from headrace.loop.loader import parse_build
from headrace.loop.route import stated_route
from headrace.parts.loader import load_cards

CARDS = {
    **load_cards([HERE / "parts.toml", HERE / "SPACE-07" / "parts.toml"], {}),
    **load_cards([HERE / "SPACE-05" / "parts.toml"], {}),
    **load_cards([HERE / "parts.toml", HERE / "SCREW-01" / "parts.toml"], {}),
}
MM = st.integers(0, 100)
PLACE = st.tuples(MM, MM, MM)


def build(text):
    loop = parse_build("format = 1\n" + text, "build.toml", CARDS)
    return Build(loop, stated_route(loop), (), ())


def placed(*parts):
    return "".join(f'[[part]]\nid = "{i}"\ncard = "{card}"\nat_mm = {list(at)}\n' for i, card, at in parts)


def found(rule, text):
    return [result for result in rule.run(build(text)) if isinstance(result, Finding)]


def hard(rule, text):
    return [finding for finding in found(rule, text) if finding.check.severity is not Severity.NOTE]


@settings(max_examples=40, deadline=None)
@given(PLACE, PLACE, st.integers(1, 60))
def test_moving_one_part_away_never_deepens_an_overlap(one, other, by):
    further = tuple(b + by * (1 if b >= a else -1) for a, b in zip(one, other, strict=True))
    before = hard(parts_meet, placed(("a", "cube", one), ("b", "cube", other)))
    after = hard(parts_meet, placed(("a", "cube", one), ("b", "cube", further)))
    assert max([f.found for f in after], default=0.0) <= max([f.found for f in before], default=0.0) + 1e-12


@settings(max_examples=40, deadline=None)
@given(PLACE, PLACE)
def test_cubes_overlap_by_the_least_edge_they_share(one, other):
    for finding in hard(parts_meet, placed(("a", "cube", one), ("b", "cube", other))):
        assert finding.found == pytest.approx(min(0.04 - abs(a - b) / 1000 for a, b in zip(one, other, strict=True)))


@settings(max_examples=20, deadline=None)
@given(PLACE, PLACE, PLACE)
def test_the_order_of_parts_in_the_file_does_not_matter(one, two, three):
    parts = [("a", "cube", one), ("b", "hook", two), ("c", "clamp", three)]
    for rule in (parts_meet, outside_case, way_in):
        texts = ['[case]\ncard = "case"\n' + placed(*order) for order in permutations(parts)]
        depths = {tuple(sorted(str(f.found) for f in found(rule, text))) for text in texts}
        assert len(depths) == 1


@settings(max_examples=40, deadline=None)
@given(st.integers(26, 40), st.floats(0, 10), st.floats(0, 10))
def test_a_wider_reserve_never_adds_a_screw_that_is_too_long(screw, one, other):
    low, high = sorted((round(one, 2), round(other, 2)))
    text = '[[part]]\nid = "rad"\ncard = "rad-flange"\n[[stack]]\nid = "top"\nradiator = "rad"\nfan = "fan-120"\n'
    text += f'fans = 2\nscrew = "{screw} mm"\n[thresholds]\nscrew_reserve = '
    assert len(found(screw_long, f'{text}"{high} mm"\n')) <= len(found(screw_long, f'{text}"{low} mm"\n'))


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 30), st.integers(0, 30))
def test_lifting_what_hangs_over_memory_never_adds_a_finding(gap, lift):
    def text(over):
        return '[case]\ncard = "case"\n' + placed(("ram", "memory", (0, 0, 0)), ("plate", "plate", (0, 50 + over, 0)))

    assert len(found(memory_room, text(gap + lift))) <= len(found(memory_room, text(gap)))


def test_every_number_of_fans_up_to_the_places_passes():
    for fans in range(1, 6):
        text = '[[part]]\nid = "rad"\ncard = "rad-flange"\n[[stack]]\nid = "top"\nradiator = "rad"\n'
        assert bool(found(fans_fit, f'{text}fan = "fan-120"\nfans = {fans}\n')) is (fans > 2)


def test_sixty_parts_take_little_time():
    parts = [(f"p{n}", "hook", (n % 8 * 48, n // 8 % 4 * 50, n // 32 * 48)) for n in range(60)]
    loop = build('[case]\ncard = "case"\n' + placed(*parts))
    start = perf_counter()
    for rule in (parts_meet, outside_case, way_in, memory_room):
        list(rule.run(loop))
    assert perf_counter() - start < 1.0


def results(rule, file):
    return [
        result for result in rule.run(build_of(HERE / rule.CHECK.id / f"{file}.toml")) if isinstance(result, Finding)
    ]


def test_a_stack_moves_as_one_and_far_enough_for_all_its_clashes():
    cures = [finding.fix.partition(". ")[2] for finding in results(parts_meet, "fail-two-stacks")]
    assert len(cures) == 3
    assert set(cures) == {
        'Shift the whole stack ("top" and "fans-top") by 35 mm up, or shift the whole stack ("top" and "fans-top") by '
        "37 mm to the rear, or take a smaller part."
    }


def test_fans_in_their_own_radiator_move_alone():
    (finding,) = results(parts_meet, "fail-own-fans")
    assert 'Shift "fans" by 5 mm down' in finding.fix


def test_fans_are_those_of_the_radiator_whose_face_they_touch():
    loop = build_of(HERE / "SPACE-01" / "fail-two-stacks.toml").loop
    assert [[fans.id for fans in fans_beside(loop, loop.part(id_))] for id_ in ("front", "top")] == [
        ["fans-front"],
        ["fans-top"],
    ]
    assert stack_of(loop, loop.part("fans-top")) == ("top", "fans-top")


@pytest.mark.parametrize(
    ("file", "words"),
    [("fail-close", "away from the board tray"), ("fail-window-left", "towards the board tray")],
)
def test_the_board_tray_is_opposite_the_window(file, words):
    assert way_text(build_of(HERE / "SPACE-05" / f"{file}.toml").loop, "+y") == words


def test_without_a_window_no_way_is_told_by_the_board_tray():
    assert way_text(build_of(HERE / "SPACE-05" / "skip-no-case.toml").loop, "+y") == "to the right"
    assert way_text(build_of(HERE / "SPACE-05" / "skip-no-window.toml").loop, "-y") == "to the left"


@pytest.mark.parametrize(
    ("file", "severity", "measure"),
    [("fail-flange", Severity.BEFORE_POWER, True), ("fail-room", Severity.STOP, False)],
)
def test_a_guessed_room_for_a_screw_is_measured_first(file, severity, measure):
    (finding,) = results(screw_long, file)
    assert finding.check.severity is severity
    assert finding.fix.startswith("Measure") is measure
