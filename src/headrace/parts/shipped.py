"""Files that come with Headrace outside its modules: the examples and the list of sources."""

from __future__ import annotations

from importlib import resources
from pathlib import Path


def shipped(name: str) -> Path:
    """The path of "examples" or "sources.md": in the installed package, else in the source tree it runs from."""
    package = Path(str(resources.files("headrace")))
    inside = package / name
    if inside.exists():
        return inside
    root = package.parent.parent
    return root / "docs" / name if name.endswith(".md") else root / name
