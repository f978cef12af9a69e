"""A check, what it finds, and what it could not judge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from headrace.errors import Place
from headrace.units import show


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


@dataclass(frozen=True)
class Finding:
    """One thing wrong: where, what was found against which limit, and what to do about it.

    `found` and `limit` are SI numbers when the check has a unit, else text.
    """

    check: Check
    place: Place
    subject: str
    found: float | str
    limit: float | str
    fix: str

    def found_text(self) -> str:
        """What was found, in display units."""
        return self.check.say(self.found)

    def limit_text(self) -> str:
        """The limit, in display units."""
        return self.check.say(self.limit)

    def __str__(self) -> str:
        return f"{self.what_text()} {self.fix}"

    def what_text(self) -> str:
        """Place, subject, what was found and the limit; the fix stands apart."""
        limit = f", limit {self.limit_text()}" if self.limit != "" else ""
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
    `digits` their decimals where the usual ones are too few.
    """

    id: str
    title: str
    severity: Severity
    what: str
    unit: str = ""
    digits: int | None = None

    def say(self, value: float | str) -> str:
        """A found or limiting value as text."""
        if isinstance(value, str):
            return value
        return show(value, f"_{self.unit}" if self.unit else "_m", digits=self.digits)

    def graded(self, severity: Severity) -> Check:
        """The same check for one finding that is worse or milder than usual; id and title stay."""
        return replace(self, severity=severity)

    def finding(self, place: Place, subject: str, *, found: float | str, limit: float | str = "", fix: str) -> Finding:
        """A finding of this check."""
        return Finding(self, place, subject, found, limit, fix)

    def skipped(self, place: Place, subject: str, reason: str) -> Skipped:
        """Say that this check could not judge `subject`."""
        return Skipped(self, place, subject, reason)
