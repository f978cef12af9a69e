"""What names and counts in a build file look like."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from headrace.parts.fields import as_list

Id = Annotated[str, Field(min_length=1, pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$")]
PortName = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*\.[A-Za-z0-9_.-]+$")]
Names = Annotated[tuple[str, ...], BeforeValidator(as_list, json_schema_input_type=str | tuple[str, ...])]
FanCount = Annotated[int, Field(strict=True, ge=0, le=72)]
