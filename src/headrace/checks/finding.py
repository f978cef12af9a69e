"""A check, what it finds, and what it could not judge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from headrace.errors import Place
from headrace.units import show, show_with_sigma


class Gate(StrEnum):
    """What must wait until a finding is cured; the job passes them in this order."""

    BUYING = "buying"
    LIQUID = "liquid"
    POWER = "board power"
    HANDOVER = "hand-over"


class Group(StrEnum):
    """What a check is about."""

    TUBE = "tube and joints"
    PORTS = "ports and threads"
    SPACE = "space"
    SCREWS = "screws"
    WATER = "water"
    HEAT = "heat"
    MATERIALS = "materials"
    ELECTRICITY = "electricity"
    NOISE = "noise"
    SERVICE = "service"


_BEFORE_LIQUID = (Group.TUBE, Group.PORTS, Group.SPACE, Group.SCREWS, Group.WATER, Group.MATERIALS)

_SIZING = (Group.HEAT, Group.NOISE)


class Severity(StrEnum):
    """How bad a finding is, in the words of the bench."""

    STOP = "stop"
    BEFORE_POWER = "fix before power"
    BEFORE_HANDOVER = "fix before hand-over"
    NOTE = "note"

    @property
    def blocks(self) -> bool:
        """True for what must be cured; a note only informs."""
        return self is not Severity.NOTE

    @property
    def gate(self) -> Gate:
        """The gate that waits for it, where a check names no other."""
        gates = {Severity.STOP: Gate.BUYING, Severity.BEFORE_POWER: Gate.POWER}
        return gates.get(self, Gate.HANDOVER)


@dataclass(frozen=True)
class Finding:
    """One thing wrong: where, what was found against which limit, and what to do about it.

    `found` and `limit` are SI numbers when the check has a unit, else text; `spread` is the ± of a number found.
    """

    check: Check
    place: Place
    subject: str
    found: float | str
    limit: float | str
    fix: str
    spread: float | None = None

    @property
    def gate(self) -> Gate:
        """The gate that waits for this finding."""
        return self.check.waits

    def found_text(self) -> str:
        """What was found, in display units, with its ± (one standard uncertainty) where it has one."""
        return self.check.say(self.found, self.spread)

    def limit_text(self) -> str:
        """The limit, in display units."""
        return self.check.say(self.limit)

    def __str__(self) -> str:
        return f"{self.what_text()} {self.fix}"

    def what_text(self) -> str:
        """Place, subject, what was found and the limit; the fix stands apart."""
        word = "; wanted:" if isinstance(self.limit, str) else ", limit"
        limit = f"{word} {self.limit_text()}" if self.limit != "" else ""
        what = "" if isinstance(self.found, str) else f"{self.check.what} "  # a text says itself what it is
        return f"{self.place}: {self.subject}: {what}{self.found_text()}{limit}."


@dataclass(frozen=True)
class Skipped:
    """One thing that could not be judged, and which datum is missing."""

    check: Check
    place: Place
    subject: str
    reason: str


@dataclass(frozen=True)
class Check:
    """What a check is called and how bad it is when it finds something.

    `what` names the quantity found, for the message ("gap", "stretch"); `unit` is the suffix its numbers are in, and
    `digits` their decimals where the usual ones are too few. `limits` are the thresholds it judges by, `gate` what
    waits for it where that is not as usual for its severity.
    """

    id: str
    title: str
    severity: Severity
    group: Group
    what: str
    unit: str = ""
    digits: int | None = None
    limits: tuple[str, ...] = ()
    gate: Gate | None = None

    @property
    def waits(self) -> Gate:
        """The gate that waits for what it finds: buying for sizing, the liquid for joints, places and materials."""
        if self.gate is not None or not self.severity.blocks:
            return self.gate or self.severity.gate
        if self.severity is Severity.STOP or self.group in _SIZING:
            return Gate.BUYING
        return Gate.LIQUID if self.group in _BEFORE_LIQUID else self.severity.gate

    def say(self, value: float | str, spread: float | None = None) -> str:
        """A found or limiting value as text."""
        if isinstance(value, str):
            return value
        suffix = f"_{self.unit}" if self.unit else "_m"
        if spread is None:
            return show(value, suffix, digits=self.digits)
        return show_with_sigma(value, spread, suffix, digits=self.digits)

    def graded(self, severity: Severity) -> Check:
        """The same check for one finding that is worse or milder than usual; id and title stay."""
        return replace(self, severity=severity)

    def finding(
        self,
        place: Place,
        subject: str,
        *,
        found: float | str,
        limit: float | str = "",
        fix: str,
        spread: float | None = None,
    ) -> Finding:
        """A finding of this check."""
        return Finding(self, place, subject, found, limit, fix, spread)

    def skipped(self, place: Place, subject: str, reason: str) -> Skipped:
        """Say that this check could not judge `subject`."""
        return Skipped(self, place, subject, reason)
