"""PORT-11: the collar of a fitting is no wider than the flat its port offers.

A collar that overhangs the flat may stand on its rim instead of its O-ring: it feels tight and weeps. The first
fitting in each port is looked at; a collar or a seat that is not known is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.errors import Place
from headrace.loop.model import PlacedPart, PortId
from headrace.parts.card import Port
from headrace.parts.tube import Fitting
from headrace.units import show

CHECK = Check(
    "PORT-11",
    "Collar wider than its seat",
    Severity.BEFORE_POWER,
    Group.PORTS,
    what="collar",
    unit="m",
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every port with something screwed in; what is not known is skipped card by card."""
    unknown: dict[str, list[tuple[str, Place]]] = {}
    for id_, part, port in build.loop.all_ports():
        for fitting in build.loop.fittings_at(id_)[:1]:
            reason = _lack(part, port, fitting)
            if reason:
                unknown.setdefault(reason, []).append((id_, part.place))
            else:
                yield from _judge(part, id_, port, fitting)
    for reason, ports in unknown.items():
        yield CHECK.skipped(ports[0][1], f"port {names(id_ for id_, _ in ports)}", reason)


def _lack(part: PlacedPart, port: Port, fitting: Fitting) -> str:
    if fitting.collar_m is None:
        return f'card "{fitting.id}" states no collar (collar)'
    if port.seat_m is None:
        return f'card "{part.card.id}" does not say how wide the flat around its ports is (seat)'
    return ""


def _judge(part: PlacedPart, id_: PortId, port: Port, fitting: Fitting) -> Iterator[Finding]:
    collar_m, seat_m = float(fitting.collar_m or 0.0), float(port.seat_m or 0.0)
    if collar_m > seat_m + _ROUNDING_M:
        fix = (
            f"Take a fitting or an extender whose collar is {show(seat_m, 'seat_m')} or less, and look whether its "
            "O-ring lies on the flat all round before any liquid goes in."
        )
        yield CHECK.finding(part.place, f'fitting "{fitting.id}" in "{id_}"', found=collar_m, limit=seat_m, fix=fix)
