"""What holds of every card of the catalogue: invented, plain of name, rising losses, falling pumps, fittings."""

from __future__ import annotations

import re
import tomllib
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from headrace.parts.air import Fan, Screen
from headrace.parts.block import Block
from headrace.parts.card import Card
from headrace.parts.kinds import KINDS
from headrace.parts.loader import load_catalogue
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.tables import find_thread
from headrace.parts.tube import Fitting, Tube
from headrace.parts.vessel import Inline

CARDS = load_catalogue()
FOLDER = Path(str(resources.files("headrace.parts").joinpath("catalogue")))
ACRONYMS = {"CPU", "GPU", "PETG", "PVC", "NPT1/4", "G1/4", "G3/8", "O-ring"}
AVOIDED = (  # words a part's name does without: scales of advertising, coined names, wattages of classes
    "extreme", "pro", "ultimate", "ultra", "max", "gaming", "distro", "monoblock", "aio", "tdp", "rgb",
)  # fmt: skip


def of_kind(kind: type[Card]) -> list[str]:
    return sorted(id_ for id_, card in CARDS.items() if isinstance(card, kind))


def test_wide_enough() -> None:
    assert len(CARDS) >= 60
    assert {str(getattr(card, "kind", "")) for card in CARDS.values()} >= set(KINDS) - {"distribution-plate"}


@pytest.mark.parametrize("id_", sorted(CARDS))
def test_card_is_marked_invented_and_says_where_its_numbers_come_from(id_: str) -> None:
    card = CARDS[id_]
    assert card.invented
    assert card.origin
    assert card.name


@pytest.mark.parametrize("id_", sorted(CARDS))
def test_name_is_plain_words(id_: str) -> None:
    """No capitals but for short forms of the trade, no words of advertising: nothing that reads like a product."""
    words = re.findall(r"[\w/-]+", CARDS[id_].name)
    capitals = {word for word in words if re.search("[A-Z]", word)}
    assert capitals <= ACRONYMS
    assert not {word.lower() for word in words} & set(AVOIDED)
    assert not re.search(r"[A-Za-z]\d{2,}", CARDS[id_].name)  # "X45": a model code


def test_every_file_says_that_it_is_invented() -> None:
    for path in FOLDER.glob("*.toml"):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("#")
        assert "invented" in first
        assert all(card["invented"] for card in tomllib.loads(path.read_text(encoding="utf-8"))["card"])


@pytest.mark.parametrize("id_", of_kind(Radiator))
def test_radiator_is_stronger_with_more_air_and_has_two_main_ports_alike(id_: str) -> None:
    card = CARDS[id_]
    assert isinstance(card, Radiator)
    assert card.strength is not None
    air = np.linspace(0.002, 0.15, 60)
    strength = np.asarray(card.strength.fit().strength_w_k(air))
    assert np.all(np.diff(strength) >= 0)
    ports = [card.find_port("in"), card.find_port("out")]
    assert ports[0] is not None
    assert ports[1] is not None
    assert ports[0].axis == ports[1].axis


@pytest.mark.parametrize("id_", of_kind(Radiator))
def test_radiator_points_are_below_what_their_air_can_carry(id_: str) -> None:
    """Points x: strength <= rho V cp of the air (1.19 kg/m3, 1006 J/kgK), but for still air, which no fan moves."""
    card = CARDS[id_]
    assert isinstance(card, Radiator)
    assert card.strength is not None
    assert card.strength.air is not None
    for air, strength in card.strength.points:
        assert air == 0 or strength < card.strength.air.to_si(air) * 1.19 * 1006


@pytest.mark.parametrize("id_", of_kind(Radiator))
def test_radiator_costs_its_air_what_its_thickness_does(id_: str) -> None:
    """7, 11 and 15 Pa at 1.2 m/s before 30, 45 and 60 mm, rising with about V^1.3: invented, as the file says."""
    card = CARDS[id_]
    assert isinstance(card, Radiator)
    assert card.air_loss is not None
    assert card.strength is not None
    assert card.core_m is not None
    assert card.fan_size_m is not None
    assert card.fan_places is not None
    fit = card.air_loss.fit()
    at_1_2_pa = {30: 7.0, 45: 11.0, 60: 15.0}[round(card.core_m * 1000)]
    for air, _ in card.air_loss.points:
        velocity_m_s = air / 3600.0 / (card.fan_places * card.fan_size_m**2)
        assert fit.dp_pa(air / 3600.0) == pytest.approx(at_1_2_pa * (velocity_m_s / 1.2) ** 1.3, rel=0.05)
    assert fit.worst_frac < 0.05
    assert fit.notes == ()
    assert [v for v, _ in card.air_loss.points] == [v for v, _ in card.strength.points if v > 0]


@pytest.mark.parametrize("id_", of_kind(Screen))
def test_screen_costs_what_filters_and_grilles_cost(id_: str) -> None:
    """2 to 6 Pa at 1 m/s: common practice, no source."""
    card = CARDS[id_]
    assert isinstance(card, Screen)
    assert 2.0 <= card.face_loss_pa * (1.0 / card.face_velocity_m_s) ** card.exponent <= 6.0


def test_thicker_and_longer_radiators_are_stronger() -> None:
    for thin, thick in (("radiator-360-30", "radiator-360-60"), ("radiator-240-30", "radiator-480-30")):
        one, other = CARDS[thin], CARDS[thick]
        assert isinstance(one, Radiator)
        assert isinstance(other, Radiator)
        assert one.strength is not None
        assert other.strength is not None
        assert other.strength.points[-1][1] > one.strength.points[-1][1]


@pytest.mark.parametrize("id_", of_kind(Pump))
def test_pump_falls_and_its_power_is_of_its_class(id_: str) -> None:
    """10 to 23 W and up to 2 A at 12 V: common practice, no source."""
    card = CARDS[id_]
    assert isinstance(card, Pump)
    flow = np.linspace(0.0, 400 / 60e3, 80)
    assert np.all(np.diff(np.asarray(card.fit().head_pa(flow))) < 0)
    assert card.power_points is not None
    full_w = card.power_points.points_si()[-1][1]
    assert 10 <= full_w <= 23
    assert card.current_a is not None
    assert card.current_a == pytest.approx(full_w / 12, rel=0.1)
    assert card.heat_share_frac is not None
    assert 0.8 <= card.heat_share_frac <= 0.9


@pytest.mark.parametrize("id_", of_kind(Pump))
def test_pump_is_as_loud_as_its_class(id_: str) -> None:
    """26 dBA for the larger class and 28 for the smaller one, at full speed and 0.6 m: invented, as the file says."""
    card = CARDS[id_]
    assert isinstance(card, Pump)
    assert card.sound is not None
    assert card.sound.level_db == (26.0 if "large" in id_ else 28.0)
    assert (card.sound.speed_frac, card.sound.distance_m, card.sound.exponent) == (1.0, 0.6, 45.0)


@pytest.mark.parametrize("id_", sorted(id_ for id_, card in CARDS.items() if card.loss is not None))
def test_loss_rises_with_flow(id_: str) -> None:
    loss = CARDS[id_].loss
    assert loss is not None
    fit = loss.fit()
    if fit is not None:
        assert np.all(np.diff(np.asarray(fit.dp_pa(np.linspace(0, 1e-4, 50)))) > 0)
        assert fit.worst_frac < 0.2


@pytest.mark.parametrize("id_", of_kind(Block))
def test_block_falls_with_flow_and_costs_what_blocks_cost(id_: str) -> None:
    """3 to 25 kPa at 4 L/min: common practice, no source."""
    card = CARDS[id_]
    assert isinstance(card, Block)
    assert card.loss is not None
    fit = card.loss.fit()
    assert fit is not None
    assert 3e3 <= fit.dp_pa(4 / 60e3) <= 25e3
    assert card.resistance is not None
    law = card.resistance.fit()
    assert law.resistance_k_w(2 / 60e3) > law.resistance_k_w(6 / 60e3)


@pytest.mark.parametrize("id_", of_kind(Fitting))
def test_fitting_seats_in_the_usual_port(id_: str) -> None:
    """G1/4 studs are 4 to 6 mm and ports 6 mm or deeper: common practice, no source. Two are made to be caught."""
    card = CARDS[id_]
    assert isinstance(card, Fitting)
    assert card.stud_m is not None
    if card.thread == "G1/4" and id_ != "collar-10-16-long":
        assert 0.004 <= card.stud_m <= 0.006
        assert card.collar_m is not None
        assert 0.016 <= card.collar_m <= 0.025
    if find_thread(card.thread).form == "tapered":
        assert id_ == "collar-10-16-npt"


def test_ports_are_deep_enough_for_the_usual_stud() -> None:
    for card in CARDS.values():
        for port in card.port:
            if port.thread == "G1/4":
                assert port.depth_m is not None
                assert port.depth_m >= 0.006


def test_every_soft_tube_has_a_collar_and_every_hard_one_a_socket() -> None:
    """A collar fits bore and outside (within 0.3 mm), a socket the outside (0.1 mm): common practice, no source."""
    fittings = [card for card in CARDS.values() if isinstance(card, Fitting) and card.tube is not None]
    for tube in (card for card in CARDS.values() if isinstance(card, Tube)):
        fitting = [
            card.id
            for card in fittings
            if card.tube is not None
            and card.tube.grip == ("socket" if tube.hard else "collar")
            and abs((card.tube.outside_m or 0.0) - tube.outside_m) <= (1e-4 if tube.hard else 3e-4)
            and (tube.hard or abs((card.tube.bore_m or 0.0) - tube.bore_m) <= 3e-4)
        ]
        if tube.id == "soft-3-8-5-8":  # 9.525 x 15.875 mm: the 10/16 collar is near, but 0.475 mm wide in the bore
            assert fitting == ["collar-3-8-5-8"]
        assert fitting, tube.id


@pytest.mark.parametrize("id_", of_kind(Tube))
def test_tube_bends_no_tighter_than_twice_its_outside(id_: str) -> None:
    card = CARDS[id_]
    assert isinstance(card, Tube)
    assert card.min_bend_radius_m is not None
    assert card.min_bend_radius_m >= 2 * card.outside_m


@pytest.mark.parametrize("id_", of_kind(Fan))
def test_fan_pressure_falls_and_it_starts_below_its_top(id_: str) -> None:
    card = CARDS[id_]
    assert isinstance(card, Fan)
    assert card.curve is not None
    pressures = [pressure for _, pressure in card.curve.points]
    assert pressures == sorted(pressures, reverse=True)
    assert card.min_speed_hz is not None
    assert card.full_speed_hz is not None
    assert card.min_speed_hz < card.full_speed_hz


def test_aluminium_is_wetted_by_the_planted_plug_only() -> None:
    """Radiators are copper and brass, blocks nickel-plated copper: common practice, no source."""
    wetted = {id_ for id_, card in CARDS.items() if "aluminium" in (card.wetted or ())}
    assert wetted == {"plug-aluminium"}


def test_the_loss_of_a_card_is_that_of_its_passage_whatever_the_ports_are_called() -> None:
    """A coupling whose channel is written out has the loss of its card, as one with ports "in" and "out" has."""
    loss = {"k": 1.0, "bore": "9 mm"}
    usual = Inline.model_validate(
        {"id": "a", "kind": "coupling", "loss": loss, "port": [{"name": "in"}, {"name": "out"}]}
    )
    named = Inline.model_validate(
        {
            "id": "b",
            "kind": "coupling",
            "loss": loss,
            "port": [{"name": "case"}, {"name": "hose"}],
            "channel": [{"from": "case", "to": "hose"}],
        }
    )
    assert [channel.loss for channel in named.channels()] == [channel.loss for channel in usual.channels()]
    assert named.channels()[0].loss is not None
