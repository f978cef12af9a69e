"""TUBE-11: every O-ring is squeezed enough to seal and not so much that it is cut.

Squeezed too little it weeps when the joint works or cools, too much it is nicked when it goes in and takes a set. A
thinner tube in a socket takes squeeze from its rings. Fittings that do not state cord and groove are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, all_ends, names, run_ends
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.errors import Place
from headrace.parts.tube import Fitting, Tube
from headrace.physics.seal import squeeze_frac
from headrace.units import show

CHECK = Check(
    "TUBE-11",
    "O-ring squeezed too little or too much",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="squeeze",
    unit="frac",
    limits=("squeeze_least", "squeeze_most", "hard_outside_difference"),
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The ring under every stud, card by card, then the rings on every hard tube."""
    bare: dict[str, Place] = {}
    judged: set[str] = set()
    for end in all_ends(build.loop):
        for fitting in end.fittings:
            if fitting.cord_m is None or fitting.groove_m is None:
                bare.setdefault(fitting.id, end.place)
            elif fitting.id not in judged:
                judged.add(fitting.id)
                subject = f'ring under the stud of fitting "{fitting.id}", as at "{end.port}"'
                yield from _judge(build, end, subject, float(fitting.cord_m), float(fitting.groove_m), fitting)
    for line, end in run_ends(build.loop):
        if line.tube.hard and end.fittings:
            yield from _socket(build, line.id, line.tube, end, bare)
    if bare:
        place = next(iter(bare.values()))
        yield CHECK.skipped(place, f"rings of fitting {names(bare)}", "no cord and groove on the card (cord, groove)")


def _socket(build: Build, run_id: str, tube: Tube, end: End, bare: dict[str, Place]) -> Iterator[Finding]:
    """The rings of a socket on its tube: half of what the tube is thinner is missing on each side."""
    fitting = end.fittings[-1]
    grip = fitting.tube
    if grip is None or grip.grip != "socket":
        return  # TUBE-01 says that no ring holds this tube
    if grip.cord_m is None or grip.groove_m is None or grip.outside_m is None:
        bare.setdefault(fitting.id, end.place)
        return
    thinner_m = float(grip.outside_m) - float(tube.outside_m)
    if abs(thinner_m) > build.loop.thresholds("hard_outside_difference") + _ROUNDING:
        return  # another tube altogether, see TUBE-01
    depth_m = float(grip.groove_m) + thinner_m / 2
    subject = f'rings of fitting "{fitting.id}" on tube "{tube.id}" of run "{run_id}" at "{end.port}"'
    yield from _judge(build, end, subject, float(grip.cord_m), depth_m, fitting)


def _judge(build: Build, end: End, subject: str, cord_m: float, depth_m: float, fitting: Fitting) -> Iterator[Finding]:
    squeeze = float(squeeze_frac(cord_m, depth_m))
    least, most = build.loop.thresholds("squeeze_least"), build.loop.thresholds("squeeze_most")
    low, high = depth_m / (1.0 - least), depth_m / (1.0 - most)
    cords = f"a cord of {show(low, 'cord_m')} to {show(high, 'cord_m')}" if low > 0.0 else "another ring"
    if squeeze < least - _ROUNDING:
        fix = (
            f'Take {cords} for "{fitting.id}" as its maker allows, or a tube as thick as it is made for; wet the ring.'
        )
        yield CHECK.finding(end.place, subject, found=squeeze, limit=least, fix=fix)
    elif squeeze > most + _ROUNDING:
        fix = f'Take {cords} for "{fitting.id}" as its maker allows; do not force the joint, a nicked ring drips.'
        yield CHECK.finding(end.place, subject, found=squeeze, limit=most, fix=fix)
