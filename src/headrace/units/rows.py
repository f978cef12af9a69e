"""Tables that stand as CSV files beside the module that uses them; their first line, a comment, names the source."""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources


@cache
def read_rows(package: str, file: str) -> tuple[dict[str, str], ...]:
    """The rows of `file` in `package`, by column head. Lines that start with # are comments."""
    text = resources.files(package).joinpath(file).read_text(encoding="utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#")))
