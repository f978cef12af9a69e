"""
The ways of the air: stacks and vents with their fans, and the network they make between room and case.

Answers   which airflow each way has, stated or to be found on its fans' curve, and what stands in it
Assumes   a fan that stands still closes its place: neighbours share no plenum, so its part of the core has no air
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from headrace.errors import Fault, Place
from headrace.loop.model import Loop, Stack, State, Vent
from headrace.parts.air import Fan, Screen
from headrace.parts.core import AIR_LOSS_KG_M3
from headrace.parts.radiator import Radiator
from headrace.physics.fan import free_flow_m3_s
from headrace.physics.grille import frame_face_m2
from headrace.physics.pump import PumpCurve
from headrace.solve.laws import Blowing, Curve, Fins, Imposed, Law, Mesh
from headrace.units import Array, Kind

ROOM, CASE = 0, 1
AIR_LOSS_PA_S = 1.82e-5  # viscosity of the air in which a core's loss is stated, at 20 °C


@dataclass(frozen=True)
class AirPath:
    """One way of the air: from zone to zone, through fans, cores and screens."""

    id: str
    place: Place
    owner: Stack | Vent
    fan: Fan | None
    abreast: int | None  # fans side by side, standing ones counted
    in_series: float  # fans behind one another, standing ones not counted
    live_frac: float  # share of its fan places that have air
    source: int
    sink: int
    speed_hz: float | None
    cores: tuple[Radiator, ...] = ()

    @property
    def stated(self) -> bool:
        """True when its airflow is stated and not to be found."""
        owner = self.owner
        per_fan = isinstance(owner, Stack) and owner.air_per_fan_m3_s is not None
        return owner.air_m3_s is not None or per_fan

    @property
    def known(self) -> bool:
        """True when a stated airflow can be told: its fans and, where it matters, their speed are known."""
        owner = self.owner
        if owner.air_m3_s is not None or self.speed_hz == 0.0:
            return self.stated
        if not isinstance(owner, Stack) or owner.air_per_fan_m3_s is None or self.abreast is None:
            return False
        return owner.air_at_hz is None or self.speed_hz is not None

    @property
    def findable(self) -> bool:
        """True when the airflow can be found on the fans' curve."""
        return not self.stated and not self.missing()

    def missing(self) -> str:
        """What keeps the airflow from being found on the fans' curve; empty when nothing does."""
        if self.fan is None:
            return "it names no fan"
        if self.fan.curve is None:
            return f'card "{self.fan.id}" states no curve'
        if self.abreast is None:
            return "the number of its fans is not known"
        if self.speed_hz is None:
            return "no fan speed"
        without = [card.id for card in self.cores if card.air_loss is None and card.geometry is None]
        return f'card "{without[0]}" states no air_loss' if without else ""

    def stated_m3_s(self, speed_hz: Array) -> Array:
        """Stated airflow at fan speeds; fans at rest move nothing whatever was stated."""
        owner = self.owner
        turning = np.where(speed_hz == 0.0, 0.0, self.live_frac)
        if owner.air_m3_s is not None:
            return float(owner.air_m3_s) * turning
        if not isinstance(owner, Stack) or owner.air_per_fan_m3_s is None or self.abreast is None:
            return 0.0 * turning
        whole = float(owner.air_per_fan_m3_s) * self.abreast * turning
        return whole if owner.air_at_hz is None else whole * speed_hz / float(owner.air_at_hz)

    def laws(self) -> Iterator[tuple[str, Law]]:
        """What its air meets: a stated airflow, or fans, cores and screens, with names."""
        if self.stated:
            yield "stated airflow", Imposed(0.0)
            return
        assert self.fan is not None
        assert self.abreast is not None
        yield f"fans {self.fan.id}", Blowing(self.curve(), self.speed_ratio(), self.live_fans(), self.in_series)
        for card in self.cores:
            yield f"core {card.id}", core_law(card, self.live_frac)
        for screen in self.owner.screens:
            yield f"screen {screen.id}", screen_law(screen, self.live_fans() * float(frame_face_m2(self.fan.size_m)))

    def live_fans(self) -> float:
        """Fans side by side that turn."""
        return (self.abreast or 0) * self.live_frac

    def curve(self) -> PumpCurve:
        """The curve of one of its fans."""
        assert self.fan is not None
        assert self.fan.curve is not None
        return self.fan.curve.fit()

    def free_m3_s(self) -> float:
        """What one of its fans moves at its speed against no pressure."""
        return float(free_flow_m3_s(self.curve(), self.speed_ratio()))

    def speed_ratio(self) -> float:
        """Speed over that of the curve."""
        assert self.fan is not None
        assert self.fan.curve is not None
        return float(self.speed_hz or 0.0) / float(self.fan.curve.speed_hz)


def core_law(card: Radiator, live_frac: float) -> Law:
    """What a core takes from the air when a share of its face has air."""
    if card.air_loss is not None:
        fit = card.air_loss.fit()
        return Curve(fit.a_pa_s2_m6 / live_frac**2, fit.b_pa_s_m3 / live_frac, AIR_LOSS_KG_M3, AIR_LOSS_PA_S)
    assert card.geometry is not None
    return Fins(card.geometry.core(), live_frac)


def screen_law(screen: Screen, face_m2: float) -> Law:
    """What a filter or grille takes before a face."""
    return Mesh(float(screen.face_loss_pa), float(screen.face_velocity_m_s), screen.exponent, face_m2)


def find_paths(loop: Loop, state: State) -> tuple[AirPath, ...]:
    """Every stack, then every vent with fans."""
    stacks = (_stack_path(stack, state) for stack in loop.stacks)
    vents = (_vent_path(vent, state) for vent in loop.vents if vent.fan is not None or vent.air_m3_s is not None)
    return (*stacks, *vents)


def _stack_path(stack: Stack, state: State) -> AirPath:
    from_case = sum(float(inlet.share_frac) for inlet in stack.inlets if inlet.from_ == "case")
    whole = AirPath(
        stack.id,
        stack.place,
        stack,
        stack.fan,
        stack.fans_abreast,
        2.0 if stack.mount == "push-pull" else 1.0,
        1.0,
        CASE if from_case > 0.5 else ROOM,
        CASE if stack.out == "case" else ROOM,
        find_speed_hz(stack.id, stack.fan, state),
        (stack.card, *(other.card for other in stack.behind)),
    )
    return _with_fans_out(whole, stack.fans, state.fans_out.get(stack.id, 0))


def _vent_path(vent: Vent, state: State) -> AirPath:
    zones = (ROOM, CASE) if vent.blows != "out" else (CASE, ROOM)
    speed_hz = find_speed_hz(vent.id, vent.fan, state)
    whole = AirPath(vent.id, vent.place, vent, vent.fan, vent.fans, 1.0, 1.0, *zones, speed_hz)
    return _with_fans_out(whole, vent.fans, state.fans_out.get(vent.id, 0))


def _with_fans_out(path: AirPath, fans: int | None, out: int) -> AirPath:
    """
    The path with some of its fans standing.

    All of them are fans at rest. In push-pull the other fan of a pair blows on alone; else a place without a running
    fan has no air.
    """
    if not fans or not out:
        return path
    if out >= fans:
        return replace(path, speed_hz=0.0)
    if path.in_series > 1.0 and path.findable and path.abreast:
        return replace(path, in_series=path.in_series - out / path.abreast)
    return replace(path, live_frac=1.0 - out / fans)


def find_speed_hz(id_: str, fan: Fan | None, state: State) -> float | None:
    """Speed of the fans of a stack or vent: stated in the state, else the card's full speed."""
    stated = state.speed.get(id_)
    full = fan.full_speed_hz if fan else None
    if stated is None:
        return float(full) if full is not None else None
    return float(stated) if stated.kind is Kind.SPEED else float(stated * (full or 0.0))


def no_air(path: AirPath, state: State) -> Fault:
    """What is missing of an airflow: the speed of this state, or any statement at all."""
    subject = f'{"stack" if isinstance(path.owner, Stack) else "vent"} "{path.id}"'
    if path.stated and path.abreast is None:
        return Fault(path.place, subject, "the number of its fans is not known", "", "Write fans = 3.")
    if path.speed_hz is None and (path.stated or path.fan is not None):
        fix = f'Write speed = {{ {path.id} = "1000 rpm" }} in the state.'
        return Fault(state.place, subject, f'its airflow is not known: no fan speed in state "{state.name}"', "", fix)
    fix = 'Write air = "150 m3/h", or air_per_fan and air_at with a speed in the state; or complete the card.'
    return Fault(path.place, subject, f"its airflow is not known: {path.missing()}", "", fix)
