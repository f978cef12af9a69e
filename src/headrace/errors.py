"""What can go wrong, and how it is said: place, subject, found, limit, what to do.

HeadraceError
  UnitFault         text that is no number with a fitting unit (raised by units, told as a fault of a file)
  BadInput          a file, a value or a word on the command line cannot be used; holds every fault at once
  NoSolution        the input reads well, but there is nothing to solve or no balance was reached
    OpenPump        a pump that has no closed path to push water through
    DeadBranch      a part that must carry water or heat sits where no water can flow
    NoRadiator      heat goes into a loop that has no way to give it off
    NoBalance       the solver stopped with pressure or energy left over
    Unknown         a value is needed that no card states
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """Where in a file something stands; line and column count from 1, 0 when only the file is known."""

    file: str = ""
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        parts = [self.file] if self.file else []
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)


@dataclass(frozen=True)
class Fault:
    """One thing wrong, in display units: what it is about, what was found, what is allowed, what to do."""

    place: Place
    subject: str
    found: str
    limit: str = ""
    fix: str = ""

    def __str__(self) -> str:
        head = ": ".join(text for text in (str(self.place), self.subject) if text)
        body = ", ".join(text for text in (self.found, self.limit) if text)
        return " ".join(text for text in (f"{head}: {body}." if head else f"{body}.", self.fix) if text)


class HeadraceError(Exception):
    """The root of everything Headrace raises on purpose."""


class BadInput(HeadraceError):
    """Input that cannot be used. `faults` holds all of them, in the order of the file."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class NoSolution(HeadraceError):
    """A loop that cannot be solved; `faults` says why, one or several."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class OpenPump(NoSolution):
    """A pump has no closed path."""


class DeadBranch(NoSolution):
    """Water or heat is wanted where nothing can flow."""


class NoRadiator(NoSolution):
    """Heat without a radiator in the same loop."""


class NoBalance(NoSolution):
    """The solver ran out of steps; the fault says how much is left and where."""


class Unknown(NoSolution):
    """A needed value is not stated on any card."""
