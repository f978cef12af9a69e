"""
The tables of build.toml that are about how a build is handled and what was let pass: postures and waivers.

Answers   how the case stands while it is filled, served and carried, and which findings somebody answers for
Assumes   a waiver names a check and one thing it is about; whether both exist, the checks say
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from headrace.errors import Place
from headrace.geometry.posture import POSTURES, UPRIGHT, Posture, PostureName
from headrace.geometry.turn import Axis, Turn
from headrace.parts.fields import Angle, Record, fault_error, within
from headrace.units import Kind, Range, read_figure

_LEAST_REASON, _LEAST_NAME = 10, 2  # letters: "ok" is no reason, and "-" is nobody
Tilt = Annotated[Angle, within(Range(-pi, pi), Kind.ANGLE, "30 deg")]
_LEVEL = read_figure("0 deg", Kind.ANGLE)


class TurnEntry(Record):
    """`turned` of a part: which way its card's +x and +z look in the case."""

    x: Axis = "+x"
    z: Axis = "+z"

    @model_validator(mode="after")
    def _at_right_angles(self) -> Self:
        if self.x[1] == self.z[1]:
            fix = 'Name two directions at right angles, such as { x = "+y", z = "+z" }.'
            raise fault_error(f"x and z both along {self.x[1]}", "", fix)
        return self

    def turn(self) -> Turn:
        """The turn it means."""
        return Turn(self.x, self.z)


class PostureEntry(Record):
    """How a case stands: a word, or how far its front edge and its right side are lifted."""

    word: PostureName | None = None
    front_up_rad: Tilt = _LEVEL
    right_up_rad: Tilt = _LEVEL

    @model_validator(mode="after")
    def _word_or_tilt(self) -> Self:
        if self.word is not None and len(self.model_fields_set) > 1:
            raise fault_error(
                "a word and a tilt", "limit one of them", "Write the word alone, or front_up and right_up."
            )
        return self

    def posture(self) -> Posture:
        """The posture it means."""
        if self.word is not None:
            return POSTURES[self.word]
        return Posture.tilted(float(self.front_up_rad), float(self.right_up_rad))


def _as_table(value: object) -> object:
    """A word where a table may stand, as a table. Raises a fault for a word that is no posture."""
    if isinstance(value, str) and value not in POSTURES:
        fix = f'Write {", ".join(POSTURES)}, or a tilt such as {{ front_up = "30 deg" }}.'
        raise fault_error(f'"{value}" is no posture', "", fix)
    return {"word": value} if isinstance(value, str) else value


PostureField = Annotated[PostureEntry, BeforeValidator(_as_table, json_schema_input_type=str | PostureEntry)]


class HandlingEntry(Record):
    """`[handling]`: postures of the case, and whether it travels filled."""

    fill: PostureField | None = None
    service: PostureField | None = None
    transport: PostureField | None = None
    transport_filled: bool | None = None

    def posture(self, when: Literal["fill", "service"]) -> Posture:
        """How the case stands while it is filled or served; upright where nothing is said."""
        entry: PostureEntry | None = getattr(self, when)
        return UPRIGHT if entry is None else entry.posture()


class WaiverEntry(Record):
    """`[[waiver]]`: a finding somebody lets pass, by name and with a reason."""

    check: str
    about: str = Field(min_length=1)
    by: str
    reason: str

    @field_validator("check")
    @classmethod
    def _is_an_id(cls, value: str) -> str:
        if re.fullmatch(r"[A-Za-z]+-[0-9]+", value) is None:
            raise fault_error(f'"{value}" is no id of a check', "", 'Write it as the finding does, such as "PORT-01".')
        return value.upper()

    @field_validator("by", "reason")
    @classmethod
    def _says_something(cls, value: str, info: ValidationInfo) -> str:
        least = _LEAST_REASON if info.field_name == "reason" else _LEAST_NAME
        letters = sum(letter.isalpha() for letter in value)
        if letters < least:
            fix = "Say why, so that another person can follow it." if info.field_name == "reason" else "Name a person."
            raise fault_error(f'"{value}" has {letters} letters', f"limit at least {least}", fix)
        return value


@dataclass(frozen=True)
class Waiver:
    """A finding of `check` about one thing that `by` lets pass."""

    check: str
    about: str
    by: str
    reason: str
    place: Place
