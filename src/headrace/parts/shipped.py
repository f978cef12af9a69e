"""Files that come with Headrace outside its modules: the examples, the list of sources, the pages of the checks."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

_IN_TREE = {"examples": "examples", "sources.md": "docs/sources.md", "check-pages": "docs/checks"}


def shipped(name: str) -> Path:
    """The path of a name in _IN_TREE: in the installed package, else in the source tree it runs from."""
    package = Path(str(resources.files("headrace")))
    inside = package / name
    if inside.exists():
        return inside
    return package.parent.parent / _IN_TREE[name]
