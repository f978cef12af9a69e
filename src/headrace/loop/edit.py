"""Change single values of a TOML text and nothing else: comments, order and blank lines stay as they are.

Answers   the text with one value set; a file saved whole or not at all
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Any

import tomlkit

from headrace.parts.tomltext import KeyPath


def set_value(text: str, path: KeyPath, value: str | float | bool | list[Any]) -> str:
    """`text` with the value at `path` set; only that value's characters change. KeyError or IndexError if its table
    is not there.
    """
    document = tomlkit.parse(text)
    here: Any = document
    for step in path[:-1]:
        here = here[step]
    here[path[-1]] = value
    return tomlkit.dumps(document)


def save_text(path: Path, text: str) -> None:
    """Write `text` so that a power cut leaves the old file or the new one, never a piece."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
